"""Tail probabilities of the few distributions the stall needs, from the standard library.

The formulas are the usual ones (series and continued fractions of the incomplete gamma and
beta functions: Abramowitz & Stegun 6.5 and 26.5, from memory). Each is checked against scipy.
"""

from collections.abc import Iterator
from functools import lru_cache
from math import exp, inf, lgamma, log, log1p

from sales.core.bounds import between, positive, within

TINY = 1e-300
SMALL = 1e-16
# A float cumulative sum may fall short of a round share by its last bits.
SLACK = 1e-12


def log_poisson_at_least(count: int, mean: float) -> float:
    """Return log P(X >= `count`) of a Poisson count, stable in both tails.

    Args:
        count: Pairs [pairs]; 0 or less is certain.
        mean: Mean of the count [pairs], 0 or more.

    Raises:
        ValueError: If `mean` is negative or not finite.
    """
    within("mean", mean, 0)
    if count <= 0:
        return 0.0
    if mean == 0:
        return -inf
    if count > mean:
        return count * log(mean) - mean - lgamma(count + 1) + log(_upward(count, mean, inf))
    term = below = exp(-mean)
    for j in range(1, count):
        term *= mean / j
        below += term
    return log1p(-below)


def count_at_least(count: int, mean: float, shape: float) -> float:
    """Return P(D >= `count`) of a negative binomial count.

    Args:
        count: Pairs [pairs]; 0 or less is certain.
        mean: Mean of the count [pairs], 0 or more.
        shape: Shape of the gamma mixing [unitless], above 0; `inf` is Poisson.
            scipy calls the same law `nbinom(shape, shape / (shape + mean))`.

    Raises:
        ValueError: If `mean` or `shape` is out of range.
    """
    _law(mean, shape)
    if count <= 0:
        return 1.0
    if mean == 0:
        return 0.0
    below = 0.0
    for j, log_mass in _log_masses(mean, shape):
        if j == count:
            # Past the middle the complement would lose digits: sum the tail itself.
            if below > 0.5:
                return exp(log_mass) * _upward(count, mean, shape)
            break
        below += exp(log_mass)
    return 1 - below


def count_quantile(share: float, mean: float, shape: float) -> int:
    """Return the smallest k [pairs] with P(D <= k) >= `share`.

    Args:
        share: Wanted probability [unitless], 0 up to but not 1.
        mean: Mean of the count [pairs], 0 or more.
        shape: Shape of the gamma mixing [unitless], above 0; `inf` is Poisson.

    Raises:
        ValueError: If an argument is out of range.
    """
    _law(mean, shape)
    if not 0 <= share < 1:
        msg = f"q={share!r} must be a share, from 0 up to but not 1."
        raise ValueError(msg)
    if mean == 0:
        return 0
    total = 0.0
    masses = _log_masses(mean, shape)
    while True:
        k, log_mass = next(masses)
        mass = exp(log_mass)
        total += mass
        # Far in the tail the sum can stall a few last bits short of a share near 1.
        if total >= share - SLACK or (k > mean and mass < SMALL):
            return k


def gamma_tails(shape: float, x: float) -> tuple[float, float]:
    """Return P(G <= x) and P(G > x) of a gamma with unit rate.

    Args:
        shape: Shape [unitless], above 0.
        x: Point [unitless], 0 or more.

    Raises:
        ValueError: If an argument is out of range.
    """
    positive("shape", shape)
    within("x", x, 0)
    if x == 0:
        return 0.0, 1.0
    front = exp(shape * log(x) - x - lgamma(shape))
    if x < shape + 1:
        lower = front * _gamma_series(shape, x)
        return lower, 1 - lower
    upper = front * _gamma_fraction(shape, x)
    return 1 - upper, upper


@lru_cache(maxsize=4096)
def gamma_quantile(probability: float, shape: float) -> float:
    """Return x with P(G <= x) = `probability` of a gamma with unit rate.

    Newton steps in log x, kept inside a bracket by bisection.

    Args:
        probability: Lower tail [unitless], above 0 and below 1.
        shape: Shape [unitless], above 0.

    Raises:
        ValueError: If an argument is out of range.
    """
    between("probability", probability)
    positive("shape", shape)
    # P(G <= x) is at most x^shape / Gamma(shape + 1), so this never overshoots.
    low = (log(probability) + lgamma(shape + 1)) / shape
    high = max(low, log(shape + 1)) + 1
    while gamma_tails(shape, exp(high))[0] < probability:
        high += 1
    y = min(max(log(shape), low), high)
    for _ in range(200):
        miss = _gamma_miss(probability, shape, exp(y))
        low, high = (y, high) if miss < 0 else (low, y)
        slope = exp(shape * y - exp(y) - lgamma(shape))
        step = y - miss / slope if slope > 0 else inf
        following = step if low < step < high else (low + high) / 2
        if abs(following - y) < 1e-15 * max(1.0, abs(y)):
            break
        y = following
    return exp(y)


def beta_cdf(a: float, b: float, x: float) -> float:
    """Return the regularised incomplete beta function I_x(a, b).

    Args:
        a: First shape [unitless], above 0.
        b: Second shape [unitless], above 0.
        x: Point [unitless], 0 to 1.

    Raises:
        ValueError: If an argument is out of range.
    """
    positive("a", a)
    positive("b", b)
    within("x", x, 0, 1)
    if x in (0, 1):
        return float(x)
    front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log1p(-x))
    # The fraction converges fast only on the near side of the mean.
    if x < (a + 1) / (a + b + 2):
        return front * _beta_fraction(a, b, x) / a
    return 1 - front * _beta_fraction(b, a, 1 - x) / b


def _law(mean: float, shape: float) -> None:
    within("mean", mean, 0)
    if not shape > 0:
        msg = f"shape={shape!r} must be above 0 (inf for Poisson)."
        raise ValueError(msg)


def _ratio(j: int, mean: float, shape: float) -> float:
    """Return P(D = j + 1) / P(D = j)."""
    spread = 1.0 if shape == inf else (shape + j) / (shape + mean)
    return mean / (j + 1) * spread


def _log_masses(mean: float, shape: float) -> Iterator[tuple[int, float]]:
    """Walk j = 0, 1, 2 ... with log P(D = j); logs, so that a large mean does not vanish."""
    log_mass = -mean if shape == inf else -shape * log1p(mean / shape)
    j = 0
    while True:
        yield j, log_mass
        log_mass += log(_ratio(j, mean, shape))
        j += 1


def _upward(count: int, mean: float, shape: float) -> float:
    """Return P(D >= count) / P(D = count)."""
    term = total = 1.0
    j = count
    while term > SMALL * total:
        term *= _ratio(j, mean, shape)
        total += term
        j += 1
    return total


def _gamma_series(shape: float, x: float) -> float:
    term = total = 1 / shape
    step = shape
    while term > SMALL * total:
        step += 1
        term *= x / step
        total += term
    return total


def _gamma_fraction(shape: float, x: float) -> float:
    b = x + 1 - shape
    c, d = 1 / TINY, 1 / b
    value = d
    for i in range(1, 100_000):
        a = -i * (i - shape)
        b += 2
        d = 1 / _not_zero(a * d + b)
        c = _not_zero(b + a / c)
        value *= c * d
        if abs(c * d - 1) < SMALL * 10:
            break
    return value


def _gamma_miss(probability: float, shape: float, x: float) -> float:
    """Return how far P(G <= x) overshoots, taken in whichever tail is small."""
    lower, upper = gamma_tails(shape, x)
    return lower - probability if probability <= 0.5 else (1 - probability) - upper


def _beta_fraction(a: float, b: float, x: float) -> float:
    c, d = 1.0, 1 / _not_zero(1 - (a + b) * x / (a + 1))
    value = d
    for m in range(1, 100_000):
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        change = 1.0
        for part in (even, odd):
            d = 1 / _not_zero(1 + part * d)
            c = _not_zero(1 + part / c)
            change = c * d
            value *= change
        if abs(change - 1) < SMALL * 10:
            break
    return value


def _not_zero(value: float) -> float:
    return value if abs(value) > TINY else TINY
