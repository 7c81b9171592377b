"""What the acts say about demand: the questions behind “what sells” and “what to bring”."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Count, Max, Q

from patterns.models import Pattern
from production.core.places import PairPlace
from production.models import ActKind
from sales.core.demand import DayRecord, Rate, demand_rate, pooled_rate
from sales.models import Ask, DayAct, DayState, MarketDay, SaleLine

GUESSED_PAIRS_A_DAY = 1.0  # before anything was sold: one pair of a kind on a normal day


@dataclass(frozen=True, slots=True)
class KindHistory:
    """One pattern and its market days."""

    pattern: Pattern
    days: tuple[DayRecord, ...]
    rate: Rate

    @property
    def sold(self) -> int:
        """Pairs sold on these days."""
        return sum(day.sold for day in self.days)

    @property
    def brought(self) -> int:
        """Pairs brought to these days, each day counted."""
        return sum(day.brought for day in self.days)

    @property
    def asked(self) -> int:
        """Requests noted when there was none."""
        return sum(day.asked for day in self.days)

    @property
    def sold_out_days(self) -> int:
        """Days that ended with none left."""
        return sum(1 for day in self.days if day.brought and day.sold >= day.brought)


def closed_days(
    *, since: dt.date | None = None, until: dt.date | None = None, market_id: int | None = None
) -> list[MarketDay]:
    """Return the market days that are over, oldest first."""
    days = MarketDay.objects.filter(state=DayState.CLOSED).with_market().order_by("date", "pk")
    if since:
        days = days.filter(date__gte=since)
    if until:
        days = days.filter(date__lte=until)
    if market_id:
        days = days.filter(market_id=market_id)
    return list(days)


def histories(
    days: Sequence[MarketDay], *, ask_share: float, patterns: Iterable[Pattern] = ()
) -> list[KindHistory]:
    """Return for every pattern that was ever brought, sold or asked for its days and rate.

    Args:
        days: Closed market days to read.
        ask_share: Share of buyers who ask when their size is missing, 0 to 1.
        patterns: Patterns to list even if they never came to market.
    """
    records = day_records(days)
    known = {pattern.pk: pattern for pattern in patterns}
    missing = [pk for pk in records if pk not in known]
    known |= Pattern.objects.select_related("design").in_bulk(missing)
    empty = [_nothing(day) for day in days]
    lists = {pk: records.get(pk, empty) for pk in known}
    pooled = pooled_rate(list(lists.values()), GUESSED_PAIRS_A_DAY)
    found = [
        KindHistory(
            pattern=known[pk],
            days=tuple(rows),
            rate=demand_rate(rows, pooled, ask_share=ask_share),
        )
        for pk, rows in lists.items()
    ]
    return sorted(found, key=lambda h: (h.pattern.foot_length_mm, h.pattern.design.name))


def day_records(days: Sequence[MarketDay]) -> dict[int, list[DayRecord]]:
    """Return by pattern id one record for each of the days, in their order."""
    brought = _pairs_brought(days)
    sold = _pairs_sold(days)
    asked = _asks(days)
    patterns = {pattern for _, pattern in (*brought, *sold, *asked)}
    return {
        pattern: [_day_record(day, pattern, brought, sold, asked) for day in days]
        for pattern in patterns
    }


@dataclass(frozen=True, slots=True)
class _Sold:
    count: int
    back: int
    last: dt.datetime
    all_timed: bool


def _day_record(
    day: MarketDay,
    pattern: int,
    brought: dict[tuple[int, int], int],
    sold: dict[tuple[int, int], _Sold],
    asked: dict[tuple[int, int], int],
) -> DayRecord:
    key = (day.pk, pattern)
    sale = sold.get(key)
    count = sale.count if sale else 0
    # What was sold was on the table, even when nobody had ticked it as packed.
    on_table = max(brought.get(key, 0), count)
    sold_out_at = None
    if sale and count == on_table and sale.all_timed:
        sold_out_at = day.share_of_day(sale.last)
    return DayRecord(
        brought=on_table,
        sold=count,
        factor=day.factor,
        sold_out_at=sold_out_at,
        requests_noted=day.requests_noted,
        asked=asked.get(key, 0) if day.requests_noted else 0,
        returned=sale.back if sale else 0,
    )


def _nothing(day: MarketDay) -> DayRecord:
    return DayRecord(0, 0, factor=day.factor, requests_noted=day.requests_noted)


def _pairs_brought(days: Sequence[MarketDay]) -> dict[tuple[int, int], int]:
    """Count pairs packed for each day, less those taken out again, by day and pattern."""
    counts: dict[tuple[int, int], int] = defaultdict(int)
    for kind, end, sign in (
        (ActKind.PACK, PairPlace.STALL, 1),
        (ActKind.UNPACK, PairPlace.SHELF, -1),
    ):
        rows = (
            DayAct.objects.filter(
                day__in=days,
                act__kind=kind,
                act__undone_by__isnull=True,
                act__pair_moves__end=end,
            )
            .values_list("day_id", "act__pair_moves__pair__pattern_id")
            .annotate(pairs=Count("act__pair_moves"))
        )
        for day_id, pattern_id, pairs in rows:
            counts[day_id, pattern_id] += sign * pairs
    return counts


def _pairs_sold(days: Sequence[MarketDay]) -> dict[tuple[int, int], _Sold]:
    rows = (
        SaleLine.objects.filter(
            sale__day__in=days, sale__act__undone_by__isnull=True, pattern__isnull=False
        )
        .values_list("sale__day_id", "pattern_id")
        .annotate(
            pairs=Count("pk"),
            back=Count("pk", filter=Q(holds=False)),
            untimed=Count("pk", filter=Q(sale__timed=False)),
            last=Max("sale__act__at"),
        )
    )
    return {
        (day_id, pattern_id): _Sold(pairs, back, last, untimed == 0)
        for day_id, pattern_id, pairs, back, untimed, last in rows
    }


def _asks(days: Sequence[MarketDay]) -> dict[tuple[int, int], int]:
    rows = (
        Ask.objects.filter(day__in=days, act__undone_by__isnull=True, pattern__isnull=False)
        .values_list("day_id", "pattern_id")
        .annotate(times=Count("pk"))
    )
    return {(day_id, pattern_id): times for day_id, pattern_id, times in rows}
