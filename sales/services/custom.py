"""When in the day buyers come, learned from sales that were recorded as they happened."""

from collections import defaultdict
from collections.abc import Hashable, Mapping, Sequence
from itertools import islice

from django.utils import timezone

from production.services.kept import Standing, standing_of
from sales.core.arrivals import ENOUGH_TIMED, HOURS, fit_rows_and_columns, hours_in_stock
from sales.models import (
    Ask,
    CountCure,
    DayAct,
    HandOver,
    MarketDay,
    Sale,
    SaleLine,
    TakenBack,
)
from sales.services.daysales import DaySales, clocks_of, day_sales
from sales.services.tallies import Tally, day_tallies

# Enough to tell morning from noon; more would only make the page slower.
NEWEST_SALES = 4000
PRIOR_RATE = 1.0


def standing_of_days() -> Standing:
    """Return how far all has come that is told of market days."""
    return standing_of(DayAct, Sale, SaleLine, HandOver, TakenBack, Ask, CountCure)


def facts_of(days: Sequence[MarketDay]) -> Hashable:
    """Return what of the days themselves their acts are read with."""
    zone = str(timezone.get_current_timezone())
    rows = ((d.pk, d.date, d.opens, d.closes, d.factor, d.requests_noted) for d in days)
    return zone, tuple(rows)


def read_days(
    days: Sequence[MarketDay], standing: Standing | None = None
) -> tuple[dict[tuple[int, int], Tally], tuple[float, ...]]:
    """Return what the acts of these days say, and the custom of each sixth of a day.

    Args:
        days: Market days to read.
        standing: How far their history has come, where that was looked at already.
    """
    standing = standing or standing_of_days()
    return standing.kept(("days", facts_of(days)), lambda: _read(days), weight=len(days))


def _read(
    days: Sequence[MarketDay],
) -> tuple[dict[tuple[int, int], Tally], tuple[float, ...]]:
    sales = day_sales(clocks_of(days))
    tallies = day_tallies(days, sales)
    return tallies, learned_hours(days, tallies, sales)


def learned_hours(
    days: Sequence[MarketDay], tallies: Mapping[tuple[int, int], Tally], sales: DaySales
) -> tuple[float, ...]:
    """Return the custom of each sixth of a market day, mean 1; nothing before 40 timed sales.

    A kind that ran out at ten says nothing about the buyers of eleven, so hours are compared
    by the time in which there was something to buy.
    """
    by_id = {day.pk: day for day in days}
    counts, counted_days = _counts(sales)
    if sum(map(sum, counts.values())) < ENOUGH_TIMED:
        return ()
    time: dict[int, list[float]] = {pattern: [0.0] * HOURS for pattern in counts}
    for (day_id, pattern_id), tally in tallies.items():
        if day_id in counted_days and pattern_id in time and tally.on_table and tally.timed:
            day = by_id[day_id]
            start, end = tally.clock_in_stock()
            last = 1.0 if end is None else end
            parts = hours_in_stock(min(start, last), last, HOURS, day.factor)
            time[pattern_id] = [a + b for a, b in zip(time[pattern_id], parts, strict=True)]
    order = sorted(counts)
    fit = fit_rows_and_columns(
        [counts[pattern] for pattern in order], [time[pattern] for pattern in order], PRIOR_RATE
    )
    return fit.weights


def _counts(sales: DaySales) -> tuple[dict[int, list[int]], set[int]]:
    """Return by pattern id the sales in each part of the day, and the days they are from."""
    found: dict[int, list[int]] = defaultdict(lambda: [0] * HOURS)
    counted_days = set()
    usable = (
        line
        for line in sales.lines
        if line.timed and line.pattern_id is not None and line.day_id not in sales.typed_later
    )
    for line in islice(usable, NEWEST_SALES):
        if 0 <= line.place <= 1:
            found[line.pattern_id][min(int(line.place * HOURS), HOURS - 1)] += 1
            counted_days.add(line.day_id)
    return dict(found), counted_days
