"""Flow through the baskets: how long work waits, and when to look at it.

Little's law and the batch wait are from Little & Graves (2008) and Hopp & Spearman, Factory
Physics, section 9.4.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import Final

from patterns.core.words import say

NEVER: Final = math.inf

ENOUGH: Final = 8
"""Finished jobs from which her own figures replace the defaults."""


def _refuse_unless(*, ok: bool, name: str, value: float, wanted: str) -> None:
    if not (math.isfinite(value) and ok):
        msg = f"{name} is {value}; it must be {wanted}."
        raise ValueError(msg)


def _positive(name: str, value: float) -> None:
    _refuse_unless(ok=value > 0, name=name, value=value, wanted="a number above 0")


def _not_negative(name: str, value: float) -> None:
    _refuse_unless(ok=value >= 0, name=name, value=value, wanted="a number of 0 or more")


def time_in_system(waiting: float, per_day: float) -> float:
    """Return how long a piece stays on average [days]: W = L / lambda.

    Exact over a window that starts and ends empty; otherwise say "about".

    Args:
        waiting: Mean number in the system [pieces].
        per_day: Mean number that passes through [pieces/day].

    Raises:
        ValueError: If `waiting` is negative or `per_day` is not positive.
    """
    _not_negative("waiting", waiting)
    _positive("per_day", per_day)
    return waiting / per_day


@dataclass(frozen=True, slots=True)
class ClearTime:
    """When a queue is worked off.

    Attributes:
        days: Days until it is empty [days]; infinite when it never is.
        clears: Whether it ever empties.
        reason: The numbers behind it.
    """

    days: float
    clears: bool
    reason: str


def clear_time(
    waiting: float, minutes_each: float, minutes_a_day: float, inflow_a_day: float = 0.0
) -> ClearTime:
    """Return when a queue is worked off: n f / (C - r f) days, or never when C <= r f.

    Args:
        waiting: Pieces in the queue now [pieces].
        minutes_each: Work on one piece [min].
        minutes_a_day: Time for this work [min/day].
        inflow_a_day: Pieces that still arrive [pieces/day].

    Raises:
        ValueError: If a number is negative, or `minutes_each` is not positive.
    """
    _not_negative("waiting", waiting)
    _positive("minutes_each", minutes_each)
    _not_negative("minutes_a_day", minutes_a_day)
    _not_negative("inflow_a_day", inflow_a_day)
    spare = minutes_a_day - inflow_a_day * minutes_each
    if waiting == 0:
        return ClearTime(0.0, clears=True, reason=say("Nothing is waiting."))
    work = waiting * minutes_each
    figures = {
        "minutes_a_day": float(minutes_a_day),
        "arriving": float(inflow_a_day * minutes_each),
        "work": float(work),
    }
    if spare <= 0:
        reason = say(
            "{minutes_a_day:.0f} min a day, of which {arriving:.0f} go to what arrives, against "
            "{work:.0f} min of work waiting: it never clears.",
            **figures,
        )
        return ClearTime(NEVER, clears=False, reason=reason)
    reason = say(
        "{minutes_a_day:.0f} min a day, of which {arriving:.0f} go to what arrives, against "
        "{work:.0f} min of work waiting: {days:.1f} days.",
        days=work / spare,
        **figures,
    )
    return ClearTime(work / spare, clears=True, reason=reason)


@dataclass(frozen=True, slots=True)
class BatchWait:
    """What a load costs in waiting.

    Attributes:
        mean_days: Mean wait until the load is full [days].
        first_days: Wait of the first piece in it [days].
    """

    mean_days: float
    first_days: float


def batch_wait(size: int, arrivals_a_day: float) -> BatchWait:
    """Return the wait to fill a load of `size`: mean (k - 1)/(2 r), the first (k - 1)/r.

    Args:
        size: Pieces in a full load [pieces].
        arrivals_a_day: Pieces that reach the basket [pieces/day].

    Raises:
        ValueError: If `size` is below 1 or the arrivals are not positive.
    """
    _refuse_unless(ok=size >= 1, name="size", value=size, wanted="1 or more")
    _positive("arrivals_a_day", arrivals_a_day)
    first = (size - 1) / arrivals_a_day
    return BatchWait(first / 2, first)


def wash_now(waiting: int, full_load: int, days_to_market: float, days_to_dry: float) -> bool:
    """Return whether to wash: when the load is full or the market leaves just time to dry.

    Args:
        waiting: Pieces in the basket [pieces].
        full_load: Pieces of a full load [pieces].
        days_to_market: Days until the next market day [days].
        days_to_dry: Days from wash to tagged [days].

    Raises:
        ValueError: If `full_load` is below 1 or another number is negative.
    """
    _refuse_unless(ok=full_load >= 1, name="full_load", value=full_load, wanted="1 or more")
    _not_negative("waiting", waiting)
    _not_negative("days_to_market", days_to_market)
    _not_negative("days_to_dry", days_to_dry)
    return waiting > 0 and (waiting >= full_load or days_to_market <= days_to_dry)


def learned_minutes(values: Sequence[float], default: float, enough: int = ENOUGH) -> float:
    """Return the median of her own times once there are `enough`, else the default [min].

    Args:
        values: Minutes per piece of finished jobs [min].
        default: Figure used until then [min].
        enough: Finished jobs needed [jobs].

    Raises:
        ValueError: If a time or the default is negative, or `enough` is below 1.
    """
    _refuse_unless(ok=enough >= 1, name="enough", value=enough, wanted="1 or more")
    _not_negative("default", default)
    for value in values:
        _not_negative("values", value)
    return float(median(values)) if len(values) >= enough else default


def age_flag_days(cycle_days: Sequence[float], fallback_days: float, enough: int = ENOUGH) -> float:
    """Return the age from which work is flagged [days]: the 85th percentile of finished times.

    Read from finished work only: long jobs are over-represented in what is still under way.
    Between two ranks the percentile is interpolated.

    Args:
        cycle_days: Days from start to finish of finished work [days].
        fallback_days: Flag age used until there is enough of it [days].
        enough: Finished jobs needed [jobs].

    Raises:
        ValueError: If a time is negative or `enough` is below 1.
    """
    _refuse_unless(ok=enough >= 1, name="enough", value=enough, wanted="1 or more")
    _not_negative("fallback_days", fallback_days)
    for value in cycle_days:
        _not_negative("cycle_days", value)
    if len(cycle_days) < enough:
        return fallback_days
    ordered = sorted(cycle_days)
    at = 0.85 * (len(ordered) - 1)
    low = math.floor(at)
    high = min(low + 1, len(ordered) - 1)
    return ordered[low] + (at - low) * (ordered[high] - ordered[low])
