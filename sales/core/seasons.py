"""The weeks to the end of a season: what to make, and how stock and sales may run.

The plan spends the hours of each gap between market days on the pairs worth most a minute,
never more of a kind than the rest of its days can be expected to take. The band around it
comes from many seeded seasons: each draws rates, sizes of days and buyers by chance.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import exp
from random import Random

from sales.core.bounds import positive, whole, within
from sales.core.demand import Prediction, Rate, predict
from sales.core.making import most_worth_holding
from sales.core.packing import pair_worth

LOOK_AHEAD = 2
LARGEST_DRAW = 500.0
NO_LIMIT = 10_000


@dataclass(frozen=True, slots=True)
class SeasonKind:
    """One kind over the rest of a season.

    Attributes:
        name: What the maker calls it.
        rate: Belief about a normal market day.
        on_hand: Finished pairs [pairs].
        minutes: All minutes a pair takes [min], above 0.
        price: Net price of a pair [money], above `cost`.
        cost: What making a pair costs in yarn and packing [money], 0 or more.
        carried: Worth of a pair carried into the next season [money], at most `cost`.
        last_day: Market days of it left, counted from the first [days]; later ones do not
            want it.
        ends: Whether its season is known to end with that day, so that pairs may be too many.
        keeping: Cost of keeping a pair that does not sell on the next days [money], 0 or more.
    """

    name: str
    rate: Rate
    on_hand: int
    minutes: float
    price: float
    cost: float
    carried: float
    last_day: int
    ends: bool = True
    keeping: float = 0.0

    def __post_init__(self) -> None:
        """Refuse figures that no pair has."""
        whole("on_hand", self.on_hand)
        positive("minutes", self.minutes)
        whole("last_day", self.last_day)
        within("cost", self.cost, 0, self.price)
        within("carried", self.carried, 0, self.cost)
        within("keeping", self.keeping, 0)


@dataclass(frozen=True, slots=True)
class SeasonPlan:
    """What to make before each market day.

    Attributes:
        made: For each day, pairs of each kind made before it [pairs].
        last_worth: For each kind, the last day before which one more pair was worth making,
            counted from 1; 0 if none was.
        expected: For each day, the pairs of each kind expected in stock when it opens [pairs].
    """

    made: tuple[tuple[int, ...], ...]
    last_worth: tuple[int, ...]
    expected: tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True)
class Band:
    """Where a figure lies in nine seasons of ten, and in the middle one [pairs]."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class SeasonRun:
    """What many drawn seasons say.

    Attributes:
        sales: Pairs sold up to and with each day, all kinds.
        stock: Pairs left after each day, all kinds.
        left: Pairs of each kind left at the end.
        sold: Pairs of each kind sold in all.
        missed: Pairs wanted that were not there, all kinds.
    """

    sales: tuple[Band, ...]
    stock: tuple[Band, ...]
    left: tuple[Band, ...]
    sold: tuple[Band, ...]
    missed: Band


def plan_season(
    kinds: Sequence[SeasonKind],
    factors: Sequence[float],
    minutes: Sequence[float],
    day_noise: float = 0.06,
) -> SeasonPlan:
    """Return what to make before each market day.

    Args:
        kinds: What could be made.
        factors: Size of each market day left [normal days], each above 0.
        minutes: Minutes for making before each of them [min], 0 or more; what is not spent
            is carried to the next.
        day_noise: Squared relative spread a whole day shares [unitless].

    Raises:
        ValueError: If the lists differ in length or a figure is out of range.
    """
    _same_length(factors, minutes)
    stock = [float(kind.on_hand) for kind in kinds]
    made, expected = [], []
    last_worth = [0] * len(kinds)
    purse = 0.0
    for day in range(len(factors)):
        purse += within("minutes", minutes[day], 0)
        offers = [_offer(kind, factors, day, day_noise) for kind in kinds]
        for i, (kind, offer) in enumerate(zip(kinds, offers, strict=True)):
            if offer and offer.worth(kind, stock[i]) > 0:
                last_worth[i] = day + 1
        counts, purse = _spend(kinds, offers, stock, purse)
        stock = [s + count for s, count in zip(stock, counts, strict=True)]
        made.append(tuple(counts))
        expected.append(tuple(stock))
        stock = [
            max(0.0, s - _sold(kind, s, factors[day], day_noise)) if day < kind.last_day else s
            for kind, s in zip(kinds, stock, strict=True)
        ]
    return SeasonPlan(tuple(made), tuple(last_worth), tuple(expected))


def run_season(
    kinds: Sequence[SeasonKind],
    factors: Sequence[float],
    made: Sequence[Sequence[int]],
    *,
    day_noise: float = 0.06,
    seasons: int = 300,
    seed: int = 1,
) -> SeasonRun:
    """Return how sales and stock run over many drawn seasons; the same seed draws the same.

    Args:
        kinds: What is sold.
        factors: Size of each market day left [normal days], each above 0.
        made: Pairs of each kind made before each day, as in `SeasonPlan.made` [pairs].
        day_noise: Squared relative spread a whole day shares [unitless], 0 or more.
        seasons: How many seasons to draw, 20 or more.
        seed: Where the draws start.

    Raises:
        ValueError: If the lists differ in length or a figure is out of range.
    """
    _same_length(factors, made)
    whole("seasons", seasons, 20)
    within("day_noise", day_noise, 0)
    chance = Random(seed)  # noqa: S311 - drawn seasons, nothing secret
    drawn = [_draw(kinds, factors, made, day_noise, chance) for _ in range(seasons)]
    days = range(len(factors))
    return SeasonRun(
        sales=tuple(_band([run.sales[day] for run in drawn]) for day in days),
        stock=tuple(_band([run.stock[day] for run in drawn]) for day in days),
        left=tuple(_band([run.left[i] for run in drawn]) for i in range(len(kinds))),
        sold=tuple(_band([run.sold[i] for run in drawn]) for i in range(len(kinds))),
        missed=_band([run.missed for run in drawn]),
    )


def draw_count(chance: Random, mean: float) -> int:
    """Return a Poisson count by multiplying uniforms (Knuth, from memory); long means in parts."""
    count = 0
    while mean > LARGEST_DRAW:
        count += draw_count(chance, LARGEST_DRAW)
        mean -= LARGEST_DRAW
    floor, product = exp(-mean), chance.random()
    while product > floor:
        count += 1
        product *= chance.random()
    return count


@dataclass(frozen=True, slots=True)
class _Offer:
    """What a further pair of a kind is worth from one day on."""

    ahead: Prediction
    most: int

    def worth(self, kind: SeasonKind, stock: float) -> float:
        """Return what one more pair beside `stock` is expected to bring [money]."""
        following = int(stock + 0.5) + 1
        if following > self.most:
            return 0.0
        return pair_worth(self.ahead, following, kind.price - kind.cost, kind.keeping)


@dataclass(frozen=True, slots=True)
class _Drawn:
    sales: list[int]
    stock: list[int]
    left: list[int]
    sold: list[int]
    missed: int


def _offer(kind: SeasonKind, factors: Sequence[float], day: int, day_noise: float) -> _Offer | None:
    rest = factors[day : kind.last_day]
    if not rest:
        return None
    most = NO_LIMIT
    if kind.ends and kind.carried < kind.cost < kind.price:
        most = most_worth_holding(
            predict(kind.rate, rest, day_noise), kind.price, kind.cost, kind.carried
        )
    return _Offer(predict(kind.rate, rest[:LOOK_AHEAD], day_noise), most)


def _spend(
    kinds: Sequence[SeasonKind],
    offers: Sequence[_Offer | None],
    stock: Sequence[float],
    purse: float,
) -> tuple[list[int], float]:
    """Spend minutes on the pair worth most a minute until none fits."""
    counts = [0] * len(kinds)
    while True:
        best, choice = 0.0, None
        for i, (kind, offer) in enumerate(zip(kinds, offers, strict=True)):
            if offer is None or kind.minutes > purse:
                continue
            worth = offer.worth(kind, stock[i] + counts[i]) / kind.minutes
            if worth > best + 1e-9:
                best, choice = worth, i
        if choice is None:
            return counts, purse
        counts[choice] += 1
        purse -= kinds[choice].minutes


def _sold(kind: SeasonKind, stock: float, factor: float, day_noise: float) -> float:
    """Return expected sales of a stock that need not be whole [pairs]."""
    ahead = predict(kind.rate, factor, day_noise)
    whole_pairs = int(stock)
    part = stock - whole_pairs
    return ahead.expected_sales(whole_pairs) + part * ahead.at_least(whole_pairs + 1)


def _draw(
    kinds: Sequence[SeasonKind],
    factors: Sequence[float],
    made: Sequence[Sequence[int]],
    day_noise: float,
    chance: Random,
) -> _Drawn:
    rates = [chance.gammavariate(kind.rate.a, 1 / kind.rate.b) for kind in kinds]
    stock = [kind.on_hand for kind in kinds]
    sold = [0] * len(kinds)
    drawn = _Drawn([], [], stock, sold, 0)
    missed = 0
    for day, factor in enumerate(factors):
        busy = chance.gammavariate(1 / day_noise, day_noise) if day_noise else 1.0
        for i, kind in enumerate(kinds):
            stock[i] += made[day][i]
            if day >= kind.last_day:
                continue
            wanted = draw_count(chance, rates[i] * factor * busy)
            sales = min(wanted, stock[i])
            stock[i] -= sales
            sold[i] += sales
            missed += wanted - sales
        drawn.sales.append(sum(sold))
        drawn.stock.append(sum(stock))
    return replace(drawn, missed=missed)


def _band(values: Sequence[float]) -> Band:
    ordered = sorted(values)
    last = len(ordered) - 1
    return Band(
        ordered[round(0.05 * last)], ordered[round(0.5 * last)], ordered[round(0.95 * last)]
    )


def _same_length(factors: Sequence[float], other: Sequence[object]) -> None:
    if len(factors) != len(other):
        msg = f"{len(other)} entries for {len(factors)} market days; give one for each day."
        raise ValueError(msg)
    for factor in factors:
        positive("factors", factor)
