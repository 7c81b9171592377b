"""Which yarn runs low for the market days and orders ahead, and on which day it runs out."""

import datetime as dt
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from production.services.yarn_reach import LowYarn, Wanted, running_low
from sales.models import Order
from sales.services.report import KindHistory
from sales.services.sellbook import Book, read_book
from sales.services.underway import Underway, pairs_underway
from socktrade.models import Workshop


@dataclass(frozen=True, slots=True)
class YarnAhead:
    """Yarn beside what is to be made.

    Attributes:
        rows: Every yarn that the plan asks for, the first to run out at the top.
        pairs: Pairs that the plan makes anew [pairs].
        days: Market days that it looks at.
        last: The last of them; None without one.
    """

    rows: tuple[LowYarn, ...]
    pairs: int
    days: int
    last: dt.date | None


def yarn_ahead(*, workshop: Workshop, today: dt.date) -> YarnAhead:
    """Return the yarns that the orders and market days ahead ask for.

    Finished pairs and pairs in progress are sold first; what a day is expected to want beyond
    them has to be knitted by that day.
    """
    book = read_book(workshop=workshop, today=today)
    underway = pairs_underway()
    wanted = [*_orders(), *_markets(book, underway)]
    days = book.ahead.days
    return YarnAhead(
        rows=tuple(running_low(wanted, reserve_g=workshop.lot_reserve_g)),
        pairs=sum(one.pairs for one in wanted),
        days=len(days),
        last=days[-1].date if days else None,
    )


def _orders() -> Iterator[Wanted]:
    """Yield orders that nobody knitted yet."""
    waiting = Order.objects.due().filter(pair__isnull=True, run__isnull=True, version__isnull=False)
    for order in waiting.select_related("version__pattern__design"):
        if order.version is not None:
            yield Wanted(order.version, 1, order.promised_on)


def _markets(book: Book, underway: Mapping[int, Sequence[Underway]]) -> Iterator[Wanted]:
    for history in book.found.kinds:
        pk = history.pattern.pk
        there = book.on_hand.get(pk, 0) + len(underway.get(pk, ()))
        yield from _kind(book, history, there)


def _kind(book: Book, history: KindHistory, there: int) -> Iterator[Wanted]:
    """Yield the pairs of a kind beyond those there are, on the first day that wants them."""
    version = book.costs[history.pattern.pk].version
    if version is None:
        return
    expected, asked = 0.0, 0
    for day in book.ahead.days[: book.ahead.days_for(history.pattern.design_id)]:
        expected += history.rate.mean * day.factor
        short = math.ceil(expected) - there - asked
        if short > 0:
            yield Wanted(version, short, day.date)
            asked += short
