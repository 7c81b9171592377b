"""Allowed ranges of what comes in, and the one rounding rule for rows and sizes."""

import math
import operator

MM_PER_INCH = 25.4

FOOT_MM = (60.0, 400.0)
BALL_MM = (60.0, 450.0)
HEIGHT_MM = (20.0, 600.0)
WALES_PER_10CM = (8.0, 80.0)
COURSES_PER_10CM = (8.0, 120.0)
TEX = (10.0, 2000.0)
NEEDLES = (12, 200)
KS = (10.0, 40.0)
SHRINK = (0.0, 0.5)
EASE = (0.0, 0.25)
LOOP_CM = (0.1, 10.0)
FACTOR = (0.3, 1.3)
HANG = (0.8, 2.0)
ROWS = (0, 5000)


def require(name: str, value: float, allowed: tuple[float, float], unit: str = "") -> float:
    """Return `value` as a float when it lies inside `allowed`, ends included.

    Raises:
        ValueError: If the value is not a number or lies outside; names all three.
    """
    low, high = allowed
    try:
        number = math.nan if isinstance(value, str) else float(value)
    except (TypeError, ValueError, OverflowError):
        number = math.nan
    # A comparison with NaN is false, so no-number and out-of-range share one refusal.
    if not low <= number <= high:
        msg = f"{name} is {_shown(value)}; allowed: {low:g} to {high:g} {unit}".rstrip()
        raise ValueError(msg)
    return number


def require_whole(name: str, value: int, allowed: tuple[int, int]) -> int:
    """Return `value` when it is a whole number inside `allowed`, ends included.

    Raises:
        ValueError: If it is not whole or lies outside.
    """
    low, high = allowed
    try:
        number = low - 1 if isinstance(value, bool) else operator.index(value)
    except TypeError:
        number = low - 1
    if not low <= number <= high:
        msg = f"{name} is {_shown(value)}; allowed: a whole number, {low} to {high}"
        raise ValueError(msg)
    return number


def require_needles(value: int, name: str = "needles") -> int:
    """Return the needle count of a cylinder when it is even and 12 to 200.

    Raises:
        ValueError: If it is odd, not whole or out of range.
    """
    count = require_whole(name, value, NEEDLES)
    if count % 2:
        msg = f"{name} is {count}; allowed: an even number, {NEEDLES[0]} to {NEEDLES[1]}"
        raise ValueError(msg)
    return count


def nearest(value: float) -> int:
    """Round to the nearest whole number, halves up.

    Rows often fall on exact halves; the inner rounding keeps a float a hair under
    one from losing a row, and Python's own `round` would send halves to even.
    """
    return math.floor(round(value, 9) + 0.5)


def _shown(value: object) -> str:
    return repr(value)[:40]
