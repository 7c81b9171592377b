"""When in the day buyers come, and what sale times say about a sell-out.

Until about forty sales were timed as they happened, custom is taken as even over the day. A
learned profile is a Poisson regression with a rate per kind and a weight per hour, the hours
in stock being the exposure; it is fitted by turns.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from sales.core.bounds import positive, whole, within

BURST = 4
ENOUGH_TIMED = 40
HOURS = 6
ROUNDS = 500
STILL = 1e-13


@dataclass(frozen=True, slots=True)
class Fit:
    """Rates by row and weights by column.

    Attributes:
        rates: One per row (kind or size) [pairs/day].
        weights: One per column (hour or design), mean 1 [unitless].
    """

    rates: tuple[float, ...]
    weights: tuple[float, ...]


def share_of_day(
    minute: float, opens: float, closes: float, weights: Sequence[float] = ()
) -> float:
    """Return the share of the day's custom gone by at `minute` [0 to 1].

    Args:
        minute: Clock time [min after midnight]; outside the day it counts as its end.
        opens: Start of the market [min after midnight].
        closes: End of the market [min after midnight], after `opens`.
        weights: Custom of equal parts of the day, each 0 or more; none means even.

    Raises:
        ValueError: If the day has no length or the weights are all 0 or negative.
    """
    if not opens < closes:
        msg = f"closes={closes!r} must be after opens={opens!r}."
        raise ValueError(msg)
    parts = [within("weights", w, 0) for w in weights] or [1.0]
    total = positive("sum of weights", sum(parts))
    at = min(1.0, max(0.0, (minute - opens) / (closes - opens))) * len(parts)
    gone = int(at)
    part = parts[gone] * (at - gone) if gone < len(parts) else 0.0
    return (sum(parts[:gone]) + part) / total


def clock_of_share(share: float, weights: Sequence[float] = ()) -> float:
    """Return how much of the opening hours is over when `share` of the custom is [0 to 1].

    Where a part of the day brings nobody, the end of that part is returned.

    Args:
        share: Share of the day's custom gone by [0 to 1].
        weights: As in `share_of_day`.

    Raises:
        ValueError: If an argument is out of range.
    """
    within("share", share, 0, 1)
    parts = [within("weights", w, 0) for w in weights] or [1.0]
    left = share * positive("sum of weights", sum(parts))
    for number, part in enumerate(parts):
        if left < part:
            return (number + left / part) / len(parts)
        left -= part
    return 1.0


@lru_cache(maxsize=4096)
def hours_in_stock(
    start: float, end: float, parts: int = HOURS, size: float = 1.0
) -> tuple[float, ...]:
    """Return the time in stock in each of equal parts of the day [normal days].

    Args:
        start: When stock began, as a share of the opening hours [0 to 1].
        end: When it ended [0 to 1], `start` or later.
        parts: Into how many parts the day is cut.
        size: Size of the day [normal days], above 0.

    Raises:
        ValueError: If an argument is out of range.
    """
    within("start", start, 0, 1)
    within("end", end, start, 1)
    whole("parts", parts, 1)
    positive("size", size)
    edges = [number / parts for number in range(parts + 1)]
    return tuple(
        size * max(0.0, min(end, right) - max(start, left)) for left, right in pairwise(edges)
    )


def fit_rows_and_columns(
    events: Sequence[Sequence[float]],
    exposure: Sequence[Sequence[float]],
    prior_rate: float,
    strength: float = 2.0,
    smoothing: float = 1.0,
) -> Fit:
    """Fit a rate per row and a weight per column to a table of counts.

    Rows are kinds and columns hours for the custom of a day; rows are sizes and columns
    designs for the prior rate of a cell, which is rate times weight.

    Args:
        events: Counts, row by row [pairs].
        exposure: Time in stock of the same cells [days].
        prior_rate: Rate of a row expected before any record [pairs/day], above 0.
        strength: Weight of that rate [pairs], 0 or more.
        smoothing: Pull of the weights towards 1 [pairs], 0 or more.

    Raises:
        ValueError: If the tables differ in shape or a number is out of range.
    """
    columns = _check_tables(events, exposure)
    positive("prior_rate", prior_rate)
    within("strength", strength, 0)
    within("smoothing", smoothing, 0)
    weights = [1.0] * columns
    rates: list[float] = []
    for _ in range(ROUNDS):
        rates = [
            _over(strength + sum(row), strength / prior_rate + _dot(weights, time))
            for row, time in zip(events, exposure, strict=True)
        ]
        before, weights = weights, _column_weights(events, exposure, rates, smoothing)
        if max(abs(w - v) for w, v in zip(weights, before, strict=True)) < STILL:
            break
    return Fit(tuple(rates), tuple(weights))


def _column_weights(
    events: Sequence[Sequence[float]],
    exposure: Sequence[Sequence[float]],
    rates: Sequence[float],
    smoothing: float,
) -> list[float]:
    weights = [
        _over(smoothing + sum(count), smoothing + _dot(rates, time))
        for count, time in zip(zip(*events, strict=True), zip(*exposure, strict=True), strict=True)
    ]
    mean = sum(weights) / len(weights)
    return [w / mean for w in weights] if mean else [1.0] * len(weights)


def _check_tables(events: Sequence[Sequence[float]], exposure: Sequence[Sequence[float]]) -> int:
    shape = [len(row) for row in events]
    if not shape or not shape[0] or len(set(shape)) > 1:
        msg = f"events has rows of {shape} columns; it must have equal rows, not empty."
        raise ValueError(msg)
    if [len(row) for row in exposure] != shape:
        msg = f"exposure must have {len(shape)} rows of {shape[0]} columns, like events."
        raise ValueError(msg)
    for row in (*events, *exposure):
        for value in row:
            within("events and exposure", value, 0)
    return shape[0]


def _dot(left: Sequence[float], right: Sequence[float]) -> float:
    return sum(a * b for a, b in zip(left, right, strict=True))


def _over(part: float, whole_of: float) -> float:
    return part / whole_of if whole_of else 0.0
