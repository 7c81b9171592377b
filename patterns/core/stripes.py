"""Self-striping yarn: how long a colour lasts and where the second sock starts."""

from patterns.core.bounds import LOOP_CM, require, require_needles

_REPEAT_M = (0.01, 10_000.0)
_USED_M = (0.0, 100_000.0)


def round_m(needles: int, loop_cm: float) -> float:
    """Return the yarn in one plain round [m].

    Args:
        needles: Needles in the cylinder, even, 12 to 200.
        loop_cm: Yarn in one stitch [cm].

    Raises:
        ValueError: If either is out of range.
    """
    return require_needles(needles) * require("loop_cm", loop_cm, LOOP_CM, "cm") / 100


def rounds_per_repeat(repeat_m: float, needles: int, loop_cm: float) -> float:
    """Return how many plain rounds one colour repeat lasts [rounds].

    Args:
        repeat_m: Length of the whole colour repeat [m].
        needles: Needles in the cylinder, even, 12 to 200.
        loop_cm: Yarn in one stitch [cm].

    Raises:
        ValueError: If an argument is out of range.
    """
    repeat = require("repeat_m", repeat_m, _REPEAT_M, "m")
    return repeat / round_m(needles, loop_cm)


def discard_m(used_m: float, repeat_m: float) -> float:
    """Return the yarn to pull off so that sock 2 starts at the same colour [m].

    One percent of error in `used_m` is more than a round: a guide, to match by eye.

    Args:
        used_m: Yarn of this colour sequence in sock 1 since its first stitch [m].
        repeat_m: Length of the whole colour repeat [m].

    Raises:
        ValueError: If an argument is out of range.
    """
    used = require("used_m", used_m, _USED_M, "m")
    repeat = require("repeat_m", repeat_m, _REPEAT_M, "m")
    return (repeat - used % repeat) % repeat


def pair_need_m(used_m: float, repeat_m: float) -> float:
    """Return the yarn a matching pair takes, the discard included [m].

    Raises:
        ValueError: If an argument is out of range.
    """
    return 2 * require("used_m", used_m, _USED_M, "m") + discard_m(used_m, repeat_m)


def cuff_rounds(extra_m: float, needles: int, loop_cm: float) -> float:
    """Return the rounds a longer cuff would take instead of discarding yarn [rounds].

    Raises:
        ValueError: If an argument is out of range.
    """
    return require("extra_m", extra_m, _USED_M, "m") / round_m(needles, loop_cm)
