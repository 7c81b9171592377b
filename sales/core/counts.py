"""Small counts read honestly: intervals, ratios with their denominators, classes."""

from typing import Literal

from sales.core.bounds import between, positive, whole
from sales.core.tails import beta_cdf, gamma_quantile


def poisson_interval(n: int, level: float = 0.95) -> tuple[float, float]:
    """Return the exact (Garwood) interval of the mean behind a count of `n`.

    Source: Garwood 1936 (from memory): chi-squared quantiles with 2n and 2n + 2 degrees.

    Args:
        n: Counted events [pairs], 0 or more.
        level: Confidence [unitless], above 0 and below 1.

    Returns:
        Low and high [pairs]; low is 0 when nothing was counted.

    Raises:
        ValueError: If `n` is not a whole number from 0 or `level` is out of range.
    """
    n = whole("n", n)
    tail = (1 - between("level", level)) / 2
    low = gamma_quantile(tail, n) if n else 0.0
    return low, gamma_quantile(1 - tail, n + 1)


def per_exposure(n: int, exposure: float, level: float = 0.95) -> tuple[float, tuple[float, float]]:
    """Return `n` per unit of exposure and its exact interval.

    Args:
        n: Counted events [pairs].
        exposure: Stall hours or market days they were counted in, above 0.
        level: Confidence [unitless], above 0 and below 1.

    Returns:
        The rate, and low and high [pairs per unit of exposure].

    Raises:
        ValueError: If an argument is out of range.
    """
    positive("exposure", exposure)
    low, high = poisson_interval(n, level)
    return n / exposure, (low / exposure, high / exposure)


def faster_odds(shape_a: float, rate_a: float, shape_b: float, rate_b: float) -> float:
    """Return the probability that kind A sells faster than kind B.

    Both rates are gamma, as `Rate.a` and `Rate.b` give them; then B's share of the scaled sum
    is beta distributed.

    Args:
        shape_a: Gamma shape of A [pairs], above 0.
        rate_a: Gamma rate of A [market days], above 0.
        shape_b: Gamma shape of B [pairs], above 0.
        rate_b: Gamma rate of B [market days], above 0.

    Raises:
        ValueError: If an argument is not above 0.
    """
    for name, value in (
        ("shape_a", shape_a),
        ("rate_a", rate_a),
        ("shape_b", shape_b),
        ("rate_b", rate_b),
    ):
        positive(name, value)
    return beta_cdf(shape_b, shape_a, rate_b / (rate_a + rate_b))


def sell_through(
    sold: int, rest: int, of: Literal["available", "received"] = "available"
) -> float | None:
    """Return the share sold, with its denominator named.

    Two are in use (common practice): of what was available, sold / (sold + on hand), and of
    what was received, sold / received. A day's 100 % is a sign of a sell-out, not of success.

    Args:
        sold: Pairs sold [pairs].
        rest: Pairs still on hand for "available", pairs received for "received" [pairs].
        of: Which denominator `rest` stands for.

    Returns:
        The share [unitless], or None when there was nothing to sell.

    Raises:
        ValueError: If a count is negative or `of` is unknown.
    """
    whole("sold", sold)
    whole("rest", rest)
    if of not in ("available", "received"):
        msg = f"of={of!r} must be 'available' or 'received'."
        raise ValueError(msg)
    base = sold + rest if of == "available" else rest
    return sold / base if base else None
