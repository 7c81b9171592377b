"""The lines sold on market days, each placed in the opening hours of its day."""

import datetime as dt
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.utils import timezone

from sales.core.arrivals import BURST
from sales.models import MarketDay, SaleLine


@dataclass(frozen=True, slots=True)
class DayClock:
    """The opening hours of one day, to place many moments in."""

    date: dt.date
    opens: float
    span: float
    zone: dt.tzinfo

    @classmethod
    def of(cls, day: MarketDay) -> "DayClock":
        """Return the clock of a day where the workshop is."""
        opens = _minutes(day.opens)
        return cls(day.date, opens, _minutes(day.closes) - opens, timezone.get_current_timezone())

    def place(self, moment: dt.datetime) -> float:
        """Return the share of the opening hours gone by; below 0 before, above 1 after them."""
        local = moment.astimezone(self.zone)
        minutes = (local.date() - self.date).days * 24 * 60 + _minutes(local)
        return (minutes - self.opens) / self.span


@dataclass(frozen=True, slots=True)
class SoldLine:
    """One standing line.

    Attributes:
        day_id: The market day.
        pattern_id: Its kind, where the book knows it.
        place: When it went, as its day's clock places it [share of the opening hours].
        timed: Whether it was recorded as it happened.
        holds: Whether it was not brought back.
        ordered: Whether it was made for a customer.
    """

    day_id: int
    pattern_id: int | None
    place: float
    timed: bool
    holds: bool
    ordered: bool


@dataclass(frozen=True, slots=True)
class DaySales:
    """What was sold on some market days.

    Attributes:
        lines: The lines, the newest first.
        typed_later: Days with more sales in one minute than anybody makes at a stall.
    """

    lines: tuple[SoldLine, ...]
    typed_later: frozenset[int]


def clocks_of(days: Sequence[MarketDay]) -> dict[int, DayClock]:
    """Return by day id the clock of each day."""
    return {day.pk: DayClock.of(day) for day in days}


def day_sales(clocks: Mapping[int, DayClock]) -> DaySales:
    """Return what stands sold on the days of these clocks, in one question."""
    rows = (
        SaleLine.objects.filter(sale__day__in=list(clocks), sale__act__undone_by__isnull=True)
        .order_by("-pk")
        .values_list(
            "sale__day_id", "pattern_id", "sale__act__at", "sale__timed", "holds",
            "sale__hand_over__pk", "sale_id",
        )
    )  # fmt: skip
    lines, timed_sales = [], {}
    for day_id, pattern_id, at, timed, holds, hand_over, sale_id in rows:
        place = clocks[day_id].place(at)
        lines.append(SoldLine(day_id, pattern_id, place, timed, holds, hand_over is not None))
        if timed:
            timed_sales[sale_id] = day_id, int(at.timestamp()) // 60
    a_minute = Counter(timed_sales.values())
    bursts = frozenset(day_id for (day_id, _), sales in a_minute.items() if sales >= BURST)
    return DaySales(tuple(lines), bursts)


def _minutes(time: dt.time | dt.datetime) -> float:
    return time.hour * 60 + time.minute + time.second / 60
