"""Sentences behind a suggestion: never a rate without its count, exposure and interval."""

from patterns.core.words import Phrase, say, say_count
from sales.core.demand import Prediction, Rate
from sales.core.making import Line


def rate_reason(rate: Rate, level: float = 0.8) -> Phrase:
    """Return what a rate rests on, in words.

    Args:
        rate: Belief about one kind.
        level: Width of the interval told [unitless], above 0 and below 1.

    Raises:
        ValueError: If `level` is out of range.
    """
    low, high = rate.interval(level)
    spread = say(
        "{mean:.1f} a day, {level:.0%} sure between {low:.1f} and {high:.1f}",
        mean=rate.mean,
        level=level,
        low=low,
        high=high,
    )
    if rate.guess:
        return say("A guess from the other kinds: {spread}.", spread=spread)
    if rate.untimed_days:
        return say_count(
            "{events:.3g} wanted in {days:.1f} market days and {count} sold-out day without "
            "a time, read as at least: {spread}.",
            "{events:.3g} wanted in {days:.1f} market days and {count} sold-out days without "
            "a time, read as at least: {spread}.",
            rate.untimed_days,
            events=rate.events,
            days=rate.exposure,
            spread=spread,
        )
    return say(
        "{events:.3g} wanted in {days:.1f} market days: {spread}.",
        events=rate.events,
        days=rate.exposure,
        spread=spread,
    )


def prediction_reason(prediction: Prediction) -> Phrase:
    """Return what the days ahead are expected to want, in words."""
    return say(
        "{mean:.1f} wanted, 8 times in 10 from {low} to {high}.",
        mean=prediction.mean,
        low=prediction.quantile(0.1),
        high=prediction.quantile(0.9),
    )


def make_reason(line: Line) -> Phrase:
    """Return why a kind is made in this number, in words."""
    after = line.next_step
    following = {"following": after.chance, "more": after.minutes}
    if not line.steps:
        return say("Make none: {following:.0%} for the next one, {more} min.", **following)
    return say(
        "Finish {finish}, make {make} ({minutes} min): the last is wanted with {last:.0%}, "
        "{following:.0%} for the next one, {more} min.",
        finish=line.to_finish,
        make=line.count - line.to_finish,
        minutes=line.minutes,
        last=line.steps[-1].chance,
        **following,
    )
