"""When in the day buyers come, learned from sales that were recorded as they happened."""

from collections import defaultdict
from collections.abc import Mapping, Sequence

from sales.core.arrivals import ENOUGH_TIMED, HOURS, fit_rows_and_columns, hours_in_stock
from sales.models import MarketDay, SaleLine
from sales.services.tallies import Tally, days_typed_later

# Enough to tell morning from noon; more would only make the page slower.
NEWEST_SALES = 4000
PRIOR_RATE = 1.0


def learned_hours(
    days: Sequence[MarketDay], tallies: Mapping[tuple[int, int], Tally]
) -> tuple[float, ...]:
    """Return the custom of each sixth of a market day, mean 1; nothing before 40 timed sales.

    A kind that ran out at ten says nothing about the buyers of eleven, so hours are compared
    by the time in which there was something to buy.
    """
    by_id = {day.pk: day for day in days}
    counts, counted_days = _counts(by_id)
    if sum(map(sum, counts.values())) < ENOUGH_TIMED:
        return ()
    time: dict[int, list[float]] = {pattern: [0.0] * HOURS for pattern in counts}
    for (day_id, pattern_id), tally in tallies.items():
        if day_id in counted_days and pattern_id in time and tally.on_table and tally.timed:
            day = by_id[day_id]
            start, end = tally.clock_in_stock(day)
            last = 1.0 if end is None else end
            parts = hours_in_stock(min(start, last), last, HOURS, day.factor)
            time[pattern_id] = [a + b for a, b in zip(time[pattern_id], parts, strict=True)]
    order = sorted(counts)
    fit = fit_rows_and_columns(
        [counts[pattern] for pattern in order], [time[pattern] for pattern in order], PRIOR_RATE
    )
    return fit.weights


def _counts(days: Mapping[int, MarketDay]) -> tuple[dict[int, list[int]], set[int]]:
    """Return by pattern id the sales in each part of the day, and the days they are from."""
    typed_later = days_typed_later(list(days))
    found: dict[int, list[int]] = defaultdict(lambda: [0] * HOURS)
    rows = SaleLine.objects.filter(
        sale__day__in=[pk for pk in days if pk not in typed_later],
        sale__timed=True,
        sale__act__undone_by__isnull=True,
        pattern__isnull=False,
    ).order_by("-pk")
    counted_days = set()
    for day_id, pattern_id, at in rows.values_list("sale__day", "pattern", "sale__act__at")[
        :NEWEST_SALES
    ]:
        share = days[day_id].share_of_day(at)
        if share is not None:
            found[pattern_id][min(int(share * HOURS), HOURS - 1)] += 1
            counted_days.add(day_id)
    return dict(found), counted_days
