"""Refuse numbers that cannot be meant, and say what would do."""

from math import isfinite
from operator import index


def whole(name: str, value: int, low: int = 0, high: int | None = None) -> int:
    """Return `value` if it is a whole number from `low` to `high`.

    Raises:
        ValueError: If it is not; the message names the argument, the value and the range.
    """
    try:
        number = index(value)
    except TypeError:
        raise _no_whole(name, value, low, high) from None
    if number < low or (high is not None and number > high):
        raise _no_whole(name, value, low, high)
    return number


def _no_whole(name: str, value: int, low: int, high: int | None) -> ValueError:
    wanted = f"from {low} to {high}" if high is not None else f"{low} or more"
    return ValueError(f"{name}={value!r} must be a whole number, {wanted}.")


def positive(name: str, value: float) -> float:
    """Return `value` as a float if it is finite and above 0.

    Raises:
        ValueError: If it is not.
    """
    if not (isfinite(value) and value > 0):
        msg = f"{name}={value!r} must be a number above 0."
        raise ValueError(msg)
    return float(value)


def within(name: str, value: float, low: float, high: float = float("inf")) -> float:
    """Return `value` as a float if it is finite and from `low` to `high`, both allowed.

    Raises:
        ValueError: If it is not.
    """
    if not (isfinite(value) and low <= value <= high):
        wanted = f"from {low:g} to {high:g}" if isfinite(high) else f"{low:g} or more"
        msg = f"{name}={value!r} must be a number, {wanted}."
        raise ValueError(msg)
    return float(value)


def between(name: str, value: float, low: float = 0.0, high: float = 1.0) -> float:
    """Return `value` as a float if it lies strictly between `low` and `high`.

    Raises:
        ValueError: If it does not.
    """
    if not low < value < high:
        msg = f"{name}={value!r} must be above {low:g} and below {high:g}."
        raise ValueError(msg)
    return float(value)
