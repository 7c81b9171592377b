"""Sentences behind a suggestion: never a rate without its count, exposure and interval."""

from sales.core.demand import Prediction, Rate
from sales.core.making import Line
from sales.core.packing import PackLine


def rate_reason(rate: Rate, level: float = 0.8) -> str:
    """Return what a rate rests on, in words.

    Args:
        rate: Belief about one kind.
        level: Width of the interval told [unitless], above 0 and below 1.

    Raises:
        ValueError: If `level` is out of range.
    """
    low, high = rate.interval(level)
    spread = f"{rate.mean:.1f} a day, {level:.0%} sure between {low:.1f} and {high:.1f}"
    if rate.guess:
        return f"A guess from the other kinds: {spread}."
    parts = [f"{rate.events:.3g} wanted in {_count(rate.exposure, 'market day')}"]
    if rate.untimed_days:
        noun = "day" if rate.untimed_days == 1 else "days"
        parts.append(f"and {rate.untimed_days} sold-out {noun} without a time, read as at least")
    return f"{' '.join(parts)}: {spread}."


def prediction_reason(prediction: Prediction) -> str:
    """Return what the days ahead are expected to want, in words."""
    low, high = prediction.quantile(0.1), prediction.quantile(0.9)
    return f"{prediction.mean:.1f} wanted, 8 times in 10 from {low} to {high}."


def pack_reason(line: PackLine) -> str:
    """Return why a kind is packed in this number, in words."""
    following = f"{line.next_chance:.0%} for one more"
    if line.last_chance is None:
        return f"Bring none: {following}."
    return f"Bring {line.count}: the last one sells with {line.last_chance:.0%}, {following}."


def make_reason(line: Line) -> str:
    """Return why a kind is made in this number, in words."""
    after = line.next_step
    following = f"{after.chance:.0%} for the next one, {after.minutes} min"
    if not line.steps:
        return f"Make none: {following}."
    done = f"finish {line.to_finish}, make {line.count - line.to_finish}"
    last = line.steps[-1].chance
    return f"{done.capitalize()} ({line.minutes} min): the last is wanted with {last:.0%}, " + (
        f"{following}."
    )


def _count(number: float, noun: str) -> str:
    return f"{number:.1f} {noun}s"
