"""The small book that is served: made for one run, in a place of its own."""

import datetime as dt
import os
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

LEFT_OUT = ("BOOK", "DEBUG", "TLS", "HOSTS", "ORIGINS", "SECRET_KEY")
PASSWORD = "undyed-wool-7"
OWNER, HELPERS, STALLS = "maker", ("helper1", "helper2", "helper3"), ("Aunt", "Neighbour")
PAIRS_IN_BOX, PAIRS_AT_HOME, SOCKS_AT_BENCH = 40, 12, 24


@dataclass(frozen=True, slots=True)
class Seed:
    """What is in the book before anyone acts."""

    day: int
    version: int
    lot: int
    pattern: int
    secrets: tuple[str, ...]
    last_act: int


@contextmanager
def new_ground(settings: str) -> Iterator[Path]:
    """Prepare an empty book, and Django in this process to look into it; gone afterwards."""
    with tempfile.TemporaryDirectory(prefix="socktrade-load-", ignore_cleanup_errors=True) as name:
        for variable in LEFT_OUT:
            os.environ.pop(f"SOCKTRADE_{variable}", None)
        os.environ.update(SOCKTRADE_DATA=name, DJANGO_SETTINGS_MODULE=settings)
        _set_up()
        try:
            yield Path(name)
        finally:
            _empty()


def _set_up() -> None:
    import django
    from django.core.management import call_command
    from django.db import connection

    django.setup()
    if "production_act" in connection.introspection.table_names() and _has_acts():
        sys.exit("The database that DATABASE_URL names holds a book. Name an empty one.")
    call_command("migrate", verbosity=0, interactive=False)
    if connection.vendor == "postgresql":
        call_command("collectstatic", verbosity=0, interactive=False)


def _has_acts() -> bool:
    from production.models import Act

    return Act.objects.exists()


def _empty() -> None:
    from django.core.management import call_command
    from django.db import connections

    call_command("flush", verbosity=0, interactive=False)
    connections.close_all()


def new_book() -> Seed:
    """Empty the book and fill it with a small workshop whose stall is open today."""
    from django.contrib.auth.models import User
    from django.db import connections

    from production.models import Act
    from production.services.acts import Who
    from socktrade.access.people import add_helper, make_pass
    from tests.factories.socktrade import WorkshopFactory

    _empty()
    now = dt.datetime.now(tz=dt.UTC)
    WorkshopFactory()
    who = Who(by=User.objects.create_superuser(OWNER, password=PASSWORD), at=now)
    for name in HELPERS:
        add_helper(name=name, password=PASSWORD)
    day, version, lot = _fill(who)
    secrets = tuple(make_pass(day=day, name=name, at=now)[1] for name in STALLS)
    last = Act.objects.order_by("pk").last()
    connections.close_all()
    return Seed(day.pk, version.pk, lot.pk, version.pattern_id, secrets, last.pk)


def _fill(who):
    from django.utils import timezone

    from production.services.strings import Run, log_string
    from sales.services import days
    from tests.factories.shelf import lot_of, pairs_on_shelf, planned_day, version_of

    made = pairs_on_shelf(PAIRS_IN_BOX + PAIRS_AT_HOME, who)
    version, lot = version_of(made[0].pattern, who), lot_of(who)
    log_string(runs=[Run(version=version, count=SOCKS_AT_BENCH, lot=lot)], who=who)
    day = planned_day(timezone.localdate(who.at))
    days.pack_pairs(day=day, pair_ids=[pair.pk for pair in made[:PAIRS_IN_BOX]], who=who)
    days.open_day(day=day, float_minor=5000, who=who)
    day.refresh_from_db()
    return day, version, lot


def disagreements() -> list[str]:
    """Return what `check_books` would print of the book as it is now."""
    from production.services import books as bench_books
    from sales.services import books as stall_books

    return [*bench_books.disagreements(), *stall_books.disagreements()]
