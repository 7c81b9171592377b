"""Yarn on the shelf, and strings as the services log them."""

import datetime as dt
from decimal import Decimal
from typing import Any

import factory
from django.contrib.auth.models import User

from production.core.places import STEPS
from production.models import DyeLot, String, Yarn
from production.services import baskets
from production.services.acts import Who
from production.services.strings import Run, log_string
from production.services.yarn import receive_yarn
from tests.factories.patterns import PatternVersionFactory
from tests.factories.socktrade import UserFactory

AT = dt.datetime(2026, 6, 4, 9, 30, tzinfo=dt.UTC)


class YarnFactory(factory.django.DjangoModelFactory):
    """A sock yarn of wool and nylon, 250 tex."""

    class Meta:
        model = Yarn

    name = factory.Sequence("Sock wool {}".format)
    colour = "Kelp"
    content = factory.LazyFunction(lambda: {"wool": 75, "nylon": 25})
    count_text = "100 g / 400 m"
    tex = 250.0
    price_minor = 900
    spun_in = "home"
    care = "Superwash/nylon"


class DyeLotFactory(factory.django.DjangoModelFactory):
    """A lot with nothing received yet; see `stocked_lot`."""

    class Meta:
        model = DyeLot

    yarn = factory.SubFactory(YarnFactory)
    code = factory.Sequence("L{}".format)
    tare_g = Decimal(38)


def who(by: User | None = None, at: dt.datetime = AT) -> Who:
    """Return somebody who acts, at the tests' own moment."""
    return Who(by=by or UserFactory(), at=at)


def stocked_lot(*, grams: int = 1000, by: User | None = None, **facts: Any) -> DyeLot:
    """Return a lot of which one cone with `grams` of yarn was received."""
    lot = DyeLotFactory(**facts)
    receive_yarn(lot=lot, gross_g=lot.tare_g + grams, packages=1, who=who(by))
    return lot


def logged_string(
    *,
    count: int = 2,
    version: Any = None,
    lot: DyeLot | None = None,
    by: User | None = None,
    at: dt.datetime = AT,
    **of_run: Any,
) -> String:
    """Return a string of one run; `of_run` goes to the run, such as `faults={2: "hole"}`."""
    run = Run(
        version=version or PatternVersionFactory(),
        count=count,
        lot=lot or stocked_lot(),
        **of_run,
    )
    return log_string(runs=[run], who=who(by, at))


def brought_to(key: str, *, count: int = 2, **of_string: Any) -> String:
    """Return a string whose socks wait in the basket of step `key`."""
    string = logged_string(count=count, **of_string)
    ids = list(string.socks.values_list("pk", flat=True))
    for step in STEPS:
        if step.key == key:
            break
        baskets.do_step(step=step.key, sock_ids=ids, who=who())
    return string


def ids_of(string: String) -> list[int]:
    """Return the keys of its socks, in their order."""
    return list(string.socks.order_by("position").values_list("pk", flat=True))


def places(string: String) -> list[str]:
    """Return where its socks are, in their order."""
    return list(string.socks.order_by("position").values_list("place", flat=True))
