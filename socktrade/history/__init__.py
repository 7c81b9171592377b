"""A made-up past of one maker: the seasons of an invented workshop, written in bulk."""

import datetime as dt
import random
from collections.abc import Callable
from dataclasses import dataclass
from itertools import chain, islice

from django.db import connection, transaction
from django.utils import timezone

from patterns.models import Cylinder, Design
from production.models import Act, Yarn
from production.services import books as bench_books
from sales.models import Market
from sales.services import books as stall_books
from socktrade.demo.scene import KINDS
from socktrade.history.agenda import BENCH, STALL, Agenda
from socktrade.history.house import House, set_up
from socktrade.history.ink import Ink
from socktrade.history.opening import bring_old_stock
from socktrade.history.orders import Orders
from socktrade.history.present import DAYS, leave_work_about
from socktrade.history.season import WEEKS, Season, prices_of
from socktrade.history.state import State, moment
from socktrade.history.tagtexts import TagTexts

MOST_SEASONS, LEAST_PAIRS, MOST_PAIRS = 100, 40, 5000
SHOWN = 20


class HistoryError(Exception):
    """A past cannot be made up here; the message says what would do."""


@dataclass(frozen=True, slots=True)
class Made:
    """What was written: rows in all, and what the books check says of them."""

    rows: int
    disagreements: tuple[str, ...]


def make_history(
    *,
    seasons: int,
    seed: int,
    pairs: int = 1000,
    today: dt.date | None = None,
    say: Callable[[str], object] = print,
    check: bool = True,
) -> Made:
    """Write the past of one maker into the empty book in use.

    The newest season ends today with socks in every basket; the older ones are sold and gone,
    so that the present is of one size whatever lies behind it. The same figures make the same
    book.

    Args:
        seasons: How many years of it, 1 to 100.
        seed: Whose luck.
        pairs: Pairs made in a season, 40 to 5000.
        today: The day it ends; none for the day it is.
        say: Told how far it is.
        check: Whether the books are checked at the end.

    Raises:
        HistoryError: If a figure is out of range or the book is not empty.
    """
    _refuse_absurd(seasons, pairs)
    with transaction.atomic():
        _refuse_full_book()
        rows = _write(seasons, seed, pairs, today or timezone.localdate(), say)
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")  # the server plans its queries by what it counted last
    found: tuple[str, ...] = ()
    if check:
        lines = chain(bench_books.disagreements(), stall_books.disagreements())
        found = tuple(islice(lines, SHOWN))
    return Made(rows, found)


def _write(
    seasons: int, seed: int, pairs: int, today: dt.date, say: Callable[[str], object]
) -> int:
    ready = today - dt.timedelta(days=DAYS)
    newest = ready - dt.timedelta(days=ready.weekday(), weeks=WEEKS - 1)
    first = newest - dt.timedelta(weeks=WEEKS * (seasons - 1))
    house = set_up(moment(first - dt.timedelta(days=10), 9))
    ink = Ink(house.maker)
    bring_old_stock(ink, house, moment(first - dt.timedelta(days=5), 9))
    for ago in reversed(range(seasons)):
        monday = newest - dt.timedelta(weeks=WEEKS * ago)
        season = _season(ink, house, monday, ago, seed, pairs)
        season.live()
        if ago == 0:
            leave_work_about(season, today)
        count = ink.write()
        say(f"Season {seasons - ago} of {seasons}: {count} rows.")
    ink.set_sequences()
    return ink.written


def _season(ink: Ink, house: House, monday: dt.date, ago: int, seed: int, pairs: int) -> Season:
    at = moment(monday - dt.timedelta(days=1), 12)
    # Its own dice: the newest season is the same however many came before.
    dice = random.Random(f"{seed} {ago}")  # noqa: S311
    state = State(ink, house, dice, pairs)
    prices = {price.pattern_id: price for price in prices_of(state, ago, at)}
    return Season(
        state=state, monday=monday, newest=ago == 0, texts=TagTexts(house, prices),
        orders=Orders(state), revised=KINDS[ago % len(KINDS)], bench=Agenda(BENCH, pairs),
        stalls=Agenda(STALL, pairs), sold=[],
    )  # fmt: skip


def _refuse_absurd(seasons: int, pairs: int) -> None:
    if not 1 <= seasons <= MOST_SEASONS:
        msg = f"seasons is {seasons}; 1 to {MOST_SEASONS} would do."
        raise HistoryError(msg)
    if not LEAST_PAIRS <= pairs <= MOST_PAIRS:
        msg = f"pairs is {pairs}; {LEAST_PAIRS} to {MOST_PAIRS} a season would do."
        raise HistoryError(msg)


def _refuse_full_book() -> None:
    acts = Act.objects.count()
    if acts:
        held = f"{acts} acts"
    elif any(model.objects.exists() for model in (Cylinder, Design, Yarn, Market)):
        held = "cylinders, designs, yarns or markets"
    else:
        return
    msg = (
        f"This book holds {held}; a made-up past goes into an empty book only. Name another data "
        "folder with SOCKTRADE_DATA, run “migrate” there, and make the history in it."
    )
    raise HistoryError(msg)
