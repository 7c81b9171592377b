"""How many pairs a market day wants, read from days that may have sold out.

Every kind keeps two numbers: events (pairs sold and requests noted) and exposure (market days
in which a buyer could have been counted). With a gamma prior the rate stays gamma: a sell-out
time shortens the exposure, and a request counts for the buyers who do not ask. A sell-out
without a time is the one case outside that family: it is integrated on a grid and matched back
by mean and variance.

Sources: sequential sampling of a Poisson process with its conjugate gamma prior (textbook);
matching two moments under censored demand: Berk, Gurler & Levine, EJOR (abstract seen).
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain
from math import exp, inf, log, sqrt

from sales.core.bounds import between, positive, whole, within
from sales.core.tails import (
    count_at_least,
    count_quantile,
    gamma_quantile,
    log_poisson_at_least,
)

LEAST_STRENGTH = 0.5
USUAL_DAY_NOISE = 0.06
DAYS_BEHIND_USUAL_NOISE = 8


@dataclass(frozen=True, slots=True)
class DayRecord:
    """One market day of one kind.

    Attributes:
        brought: Pairs that could be sold, with those fetched from the van [pairs].
        sold: Pairs sold at the table [pairs], at most `brought`; orders do not belong here.
        factor: Size of the day, known before it (half day 0.5) [normal days], above 0.
        sold_out_at: Share of the day's custom gone by at the last sale [0 to 1]; None if
            stock was left or the time is not known.
        requests_noted: Whether requests were noted that day at all, not whether any came.
        asked: Requests the table could not meet [pairs]; read only if `requests_noted`.
        returned: Of the sold, brought back later [pairs].
        substitutes: Of the sold, taken in place of another kind [pairs].
        empty_share: Share of the day the table lacked the kind before a refill [0 to 1].

    Raises:
        ValueError: If the numbers contradict each other.
    """

    brought: int
    sold: int
    factor: float = 1.0
    sold_out_at: float | None = None
    requests_noted: bool = False
    asked: int = 0
    returned: int = 0
    substitutes: int = 0
    empty_share: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what cannot have happened."""
        whole("brought", self.brought)
        whole("sold", self.sold, 0, self.brought)
        positive("factor", self.factor)
        whole("asked", self.asked)
        whole("returned", self.returned, 0, self.sold)
        whole("substitutes", self.substitutes, 0, self.sold - self.returned)
        last = 1.0
        if self.sold_out_at is not None:
            last = within("sold_out_at", self.sold_out_at, 0, 1)
            if not self.sold_out:
                msg = (
                    f"sold_out_at={self.sold_out_at!r} needs a sell-out: brought={self.brought}, "
                    f"sold={self.sold}. Use None when stock was left."
                )
                raise ValueError(msg)
        within("empty_share", self.empty_share, 0, last)

    @property
    def sold_out(self) -> bool:
        """Whether every pair brought was sold."""
        return self.brought > 0 and self.sold == self.brought

    @property
    def left(self) -> int:
        """Pairs that went home again [pairs]."""
        return self.brought - self.sold

    @property
    def untimed(self) -> bool:
        """Whether it sold out with no time known: a lower bound only."""
        return self.sold_out and self.sold_out_at is None

    @property
    def wanted(self) -> int:
        """Pairs counted as demand for this kind [pairs]."""
        kept = self.sold - self.returned - self.substitutes
        could_be_missing = self.sold_out or self.brought == 0 or self.empty_share > 0
        return kept + (self.asked if self.requests_noted and could_be_missing else 0)

    def exposure(self, ask_share: float) -> float:
        """Return the market days in which a buyer could have been counted [days].

        Args:
            ask_share: Share of buyers who ask when their kind is missing [0 to 1].
        """
        end = 0.0 if self.brought == 0 else 1.0 if self.sold_out_at is None else self.sold_out_at
        seen = max(0.0, end - self.empty_share) if self.brought else 0.0
        if self.requests_noted:
            seen += ask_share * (1 - seen)
        return self.factor * seen


@dataclass(frozen=True, slots=True)
class Rate:
    """A gamma belief about the pairs wanted on a normal market day.

    Attributes:
        a: Gamma shape [pairs].
        b: Gamma rate [market days].
        events: Pairs counted, untimed sell-outs left out [pairs].
        exposure: Market days they were counted in [days].
        untimed_days: Sold-out days with no time, read as "at least" [days].
    """

    a: float
    b: float
    events: float = 0.0
    exposure: float = 0.0
    untimed_days: int = 0

    def __post_init__(self) -> None:
        """Refuse a shape or rate that is not positive."""
        positive("a", self.a)
        positive("b", self.b)

    @property
    def mean(self) -> float:
        """Expected rate [pairs/day]."""
        return self.a / self.b

    @property
    def variance(self) -> float:
        """Variance of the rate [(pairs/day)^2]."""
        return self.a / self.b**2

    @property
    def guess(self) -> bool:
        """Whether nothing was observed, so that the mean is the prior's."""
        return not (self.events or self.exposure or self.untimed_days)

    def interval(self, level: float = 0.9) -> tuple[float, float]:
        """Return the central interval of the rate [pairs/day].

        Raises:
            ValueError: If `level` is not above 0 and below 1.
        """
        tail = (1 - between("level", level)) / 2
        low, high = gamma_quantile(tail, self.a), gamma_quantile(1 - tail, self.a)
        return low / self.b, high / self.b


@dataclass(frozen=True, slots=True)
class Prediction:
    """Demand over the days ahead, negative binomial.

    Attributes:
        mean: Expected pairs [pairs].
        shape: Shape of the gamma mixing [unitless]; `inf` is Poisson.
    """

    mean: float
    shape: float = inf

    def __post_init__(self) -> None:
        """Refuse a negative mean or a shape that is not positive."""
        count_at_least(0, self.mean, self.shape)

    @property
    def variance(self) -> float:
        """Variance [pairs^2]."""
        return self.mean + self.mean**2 / self.shape

    def at_least(self, k: int) -> float:
        """Return the probability that `k` pairs or more are wanted."""
        return count_at_least(k, self.mean, self.shape)

    def quantile(self, q: float) -> int:
        """Return the smallest count that covers demand with probability `q` [pairs].

        Raises:
            ValueError: If `q` is not from 0 up to but not 1.
        """
        return count_quantile(q, self.mean, self.shape)

    def expected_sales(self, pairs: int) -> float:
        """Return the expected sales of `pairs` brought; the mean less this is lost [pairs].

        Raises:
            ValueError: If `pairs` is negative.
        """
        return sum(self.at_least(k) for k in range(1, whole("pairs", pairs) + 1))


def demand_rate(
    days: Iterable[DayRecord],
    prior_rate: float,
    strength: float = 2.0,
    ask_share: float = 0.5,
    memory: float = 1.0,
) -> Rate:
    """Return what the days say about the rate of one kind.

    Args:
        days: Market days, oldest first.
        prior_rate: Rate expected before any record, usually `pooled_rate` [pairs/day], above 0.
        strength: Weight of that rate [pairs], 0.5 or more; 1 to 4 is safe.
        ask_share: Share of buyers who ask when their kind is missing [above 0, to 1].
        memory: Share of the evidence kept from one day to the next [above 0, to 1].

    Raises:
        ValueError: If an argument is out of range.
    """
    positive("prior_rate", prior_rate)
    within("strength", strength, LEAST_STRENGTH)
    _share("ask_share", ask_share)
    _share("memory", memory)
    events = exposure = 0.0
    untimed: Counter[tuple[int, float]] = Counter()
    weights: dict[tuple[int, float], float] = {}
    for age, day in enumerate(reversed(tuple(days))):
        weight = memory**age
        if day.untimed:
            key = (day.wanted, day.factor * (1 - day.empty_share))
            untimed[key] += 1
            weights[key] = weights.get(key, 0.0) + weight
        else:
            events += weight * day.wanted
            exposure += weight * day.exposure(ask_share)
    a, b = strength + events, strength / prior_rate + exposure
    a, b = _with_untimed(a, b, weights)
    return Rate(a, b, events, exposure, untimed.total())


def pooled_rate(
    kinds: Iterable[Iterable[DayRecord]], guess: float, ask_share: float = 0.5
) -> float:
    """Return the rate of a typical kind, the prior of each [pairs/day].

    The guess weighs as one pair. Untimed sell-outs count as "at least", because leaving them
    out would read the busiest days as no days.

    Args:
        kinds: The days of each kind.
        guess: Rate expected before any market at all [pairs/day], above 0.
        ask_share: Share of buyers who ask when their kind is missing [above 0, to 1].

    Raises:
        ValueError: If an argument is out of range.
    """
    positive("guess", guess)
    return demand_rate(chain.from_iterable(kinds), guess, 1.0, ask_share).mean


def day_noise(
    totals: Sequence[float],
    expected: Sequence[float],
    usual: float = USUAL_DAY_NOISE,
    weight: float = DAYS_BEHIND_USUAL_NOISE,
) -> float:
    """Return the squared relative spread that a whole day shares (weather) [unitless].

    The moment estimate is shrunk towards `usual`, so a few days cannot make it wild.

    Args:
        totals: Events of each day over all kinds [pairs].
        expected: What the rates expected of the same days [pairs], above 0.
        usual: Spread assumed before any record [unitless], 0 or more.
        weight: How many days `usual` is worth [days], 0 or more.

    Raises:
        ValueError: If the lists differ in length or a number is out of range.
    """
    if len(totals) != len(expected):
        msg = f"expected has {len(expected)} days; it must have {len(totals)}, one per total."
        raise ValueError(msg)
    within("usual", usual, 0)
    within("weight", weight, 0)
    if not totals:
        return usual
    over = sum(
        (within("totals", t, 0) - positive("expected", m)) ** 2 - t
        for t, m in zip(totals, expected, strict=True)
    )
    seen = max(0.0, over / sum(m * m for m in expected))
    return (weight * usual + len(totals) * seen) / (weight + len(totals))


def predict(
    rate: Rate, factors: float | Sequence[float], day_noise: float = USUAL_DAY_NOISE
) -> Prediction:
    """Return the demand of the days ahead.

    Both doubts are in the shape: about the rate, and about the size of each day.

    Args:
        rate: Belief about a normal day.
        factors: Size of each day ahead, known before it [normal days], each above 0.
        day_noise: Squared relative spread a whole day shares [unitless], 0 or more.

    Raises:
        ValueError: If there is no day, a factor is not above 0 or the noise is negative.
    """
    sizes = [factors] if isinstance(factors, int | float) else list(factors)
    if not sizes:
        msg = "factors=[] must hold at least one day."
        raise ValueError(msg)
    total = sum(positive("factors", f) for f in sizes)
    within("day_noise", day_noise, 0)
    evenness = sum(f * f for f in sizes) / total**2
    shape = 1 / (1 / rate.a + day_noise * (1 + 1 / rate.a) * evenness)
    return Prediction(rate.mean * total, shape)


def _share(name: str, value: float) -> None:
    if not 0 < value <= 1:
        msg = f"{name}={value!r} must be above 0 and at most 1."
        raise ValueError(msg)


def _with_untimed(
    a: float, b: float, untimed: Mapping[tuple[int, float], float]
) -> tuple[float, float]:
    """Return the gamma with the mean and variance of the belief after untimed sell-outs.

    The trapezoid runs in log rate, which folds the Jacobian into the gamma's own power.
    """
    untimed = {key: weight for key, weight in untimed.items() if key[0] > 0}
    if not untimed:
        return a, b
    rates = _grid(a, b, untimed)
    logs = [
        a * log(x)
        - b * x
        + sum(w * log_poisson_at_least(s, x * f) for (s, f), w in untimed.items())
        for x in rates
    ]
    top = max(logs)
    masses = [exp(value - top) for value in logs]
    total = sum(masses)
    mean = sum(m * x for m, x in zip(masses, rates, strict=True)) / total
    variance = sum(m * (x - mean) ** 2 for m, x in zip(masses, rates, strict=True)) / total
    return mean * mean / variance, mean / variance


def _grid(a: float, b: float, untimed: Mapping[tuple[int, float], float]) -> list[float]:
    pairs = sum(s * w for (s, _), w in untimed.items())
    days = sum(f * w for (_, f), w in untimed.items())
    low = log(a / (b + days)) - 40 / a - 3
    high = log((a + 2 * pairs + 3) / b) + 3
    step = min(0.05, 0.3 / sqrt(a + pairs))
    return [exp(low + i * step) for i in range(int((high - low) / step) + 1)]
