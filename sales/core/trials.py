"""Seasons invented by chance, to see how well the reading of demand and the plan do.

The true rates are known here, as they never are at a stall. Each season is lived twice with the
same buyers: once making what `making.make` says from what was seen so far, once making again
what was sold at the last market, spare hours on the best sellers. What is told is told as
it comes out.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from random import Random
from statistics import fmean, stdev

from sales.core.bounds import positive, whole, within
from sales.core.demand import DayRecord, Rate, demand_rate, pooled_rate, predict
from sales.core.making import Kind, make, most_worth_holding
from sales.core.seasons import draw_count

Season = Sequence[Sequence[Sequence[float]]]
Maker = Callable[["Table"], list[int]]


@dataclass(frozen=True, slots=True)
class Trial:
    """What the invented seasons are made of.

    Attributes:
        sizes: Kinds on the table.
        days: Market days of a season, one a week [days].
        minutes: Minutes for making between two of them [min].
        machine_minutes: At the machine for a pair [min].
        finish_minutes: Finishing a pair [min].
        price: Net price of a pair [money].
        cost: Yarn and packing of a pair [money].
        carried: Worth of a pair left at the end [money].
        keeping: Cost of keeping a pair a week [money].
        typical: Mean of the true rates [pairs/day].
        spread: Gamma shape of the true rates over sizes [unitless].
        start: Pairs of each size at the start [pairs].
        ask_share: True share of buyers who ask [0 to 1].
        day_noise: Squared relative spread a whole day shares [unitless].

    Raises:
        ValueError: If a figure is out of range.
    """

    sizes: int = 6
    days: int = 26
    minutes: float = 600
    machine_minutes: float = 50
    finish_minutes: float = 35
    price: float = 30
    cost: float = 9
    carried: float = 5
    keeping: float = 0.2
    typical: float = 1.5
    spread: float = 2
    start: int = 2
    ask_share: float = 0.5
    day_noise: float = 0.06

    def __post_init__(self) -> None:
        """Refuse what makes no season."""
        whole("sizes", self.sizes, 1)
        whole("days", self.days, 1)
        whole("start", self.start)
        within("minutes", self.minutes, 0)
        positive("machine_minutes", self.machine_minutes)
        for name in ("typical", "spread", "price", "day_noise"):
            positive(name, getattr(self, name))
        within("ask_share", self.ask_share, 0, 1)

    @property
    def pair_minutes(self) -> float:
        """All minutes of a pair [min]."""
        return self.machine_minutes + self.finish_minutes


@dataclass(slots=True)
class Table:
    """What the maker has and has seen so far."""

    stock: list[int]
    seen: list[list[DayRecord]]
    days_left: int

    def rates(self, trial: Trial) -> list[Rate]:
        """Return what was learned of every size."""
        pooled = pooled_rate(self.seen, trial.typical, trial.ask_share or 1.0)
        return [demand_rate(days, pooled, ask_share=trial.ask_share or 1.0) for days in self.seen]


@dataclass(frozen=True, slots=True)
class Lived:
    """One season as one way of making lived it."""

    profit: float
    sold: int
    missed: int
    left: int
    rates: tuple[Rate, ...]


@dataclass(frozen=True, slots=True)
class Report:
    """What the seasons say.

    Attributes:
        intervals: Intervals looked at, one for each size of each season.
        inside: Of these, how many held the true rate.
        bias: Mean of learned over true rate, less 1 [unitless].
        planned: Profit of each season as planned [money].
        repeated: Profit of each season making again what sold [money].
        planned_missed: Pairs missed a season as planned [pairs].
        repeated_missed: Pairs missed a season making again what sold [pairs].
    """

    intervals: int
    inside: int
    bias: float
    planned: tuple[float, ...] = field(repr=False)
    repeated: tuple[float, ...] = field(repr=False)
    planned_missed: float
    repeated_missed: float

    @property
    def coverage(self) -> float:
        """Share of the intervals that held the true rate [0 to 1]."""
        return self.inside / self.intervals

    @property
    def gain(self) -> float:
        """Profit as planned less the other, a season [money]."""
        return fmean(self.planned) - fmean(self.repeated)

    @property
    def gain_error(self) -> float:
        """Standard error of that [money]; 0 of a single season."""
        gains = [a - b for a, b in zip(self.planned, self.repeated, strict=True)]
        return stdev(gains) / len(gains) ** 0.5 if len(gains) > 1 else 0.0

    @property
    def seasons_won(self) -> int:
        """Seasons in which the plan brought more."""
        return sum(a > b for a, b in zip(self.planned, self.repeated, strict=True))


def live_seasons(
    seasons: int,
    seed: int = 1,
    level: float = 0.9,
    trial: Trial | None = None,
    told: Callable[[int], None] | None = None,
) -> Report:
    """Live seasons both ways and return how they went; the same seed lives the same.

    Args:
        seasons: How many seasons, 1 or more.
        seed: Where the draws start.
        level: Width of the intervals looked at [unitless].
        trial: What the seasons are made of; None for the usual.
        told: Called with the number of each season lived.

    Raises:
        ValueError: If an argument is out of range.
    """
    whole("seasons", seasons, 1)
    trial = trial or Trial()
    chance = Random(seed)  # noqa: S311 - invented seasons, nothing secret
    inside, ratios = 0, []
    planned, repeated = [], []
    for number in range(1, seasons + 1):
        truth = [
            chance.gammavariate(trial.spread, trial.typical / trial.spread)
            for _ in range(trial.sizes)
        ]
        season = draw_season(trial, truth, chance)
        planned.append(_live(trial, season, lambda table: _as_planned(trial, table)))
        repeated.append(_live(trial, season, lambda table: _as_sold(trial, table)))
        for rate, true in zip(planned[-1].rates, truth, strict=True):
            low, high = rate.interval(level)
            inside += low <= true <= high
            ratios.append(rate.mean / true)
        if told:
            told(number)
    return Report(
        intervals=seasons * trial.sizes,
        inside=inside,
        bias=fmean(ratios) - 1,
        planned=tuple(one.profit for one in planned),
        repeated=tuple(one.profit for one in repeated),
        planned_missed=fmean(one.missed for one in planned),
        repeated_missed=fmean(one.missed for one in repeated),
    )


def draw_season(trial: Trial, truth: Sequence[float], chance: Random) -> list[list[list[float]]]:
    """Return by day and size the times of every buyer, in order [share of the day].

    Args:
        trial: What the season is made of.
        truth: True rate of each size [pairs/day].
        chance: Where the draws come from.
    """
    season = []
    for _ in range(trial.days):
        busy = chance.gammavariate(1 / trial.day_noise, trial.day_noise)
        season.append(
            [
                sorted(chance.random() for _ in range(draw_count(chance, rate * busy)))
                for rate in truth
            ]
        )
    return season


def _live(trial: Trial, season: Season, maker: Maker) -> Lived:
    table = Table([trial.start] * trial.sizes, [[] for _ in range(trial.sizes)], trial.days)
    profit = 0.0
    sold = missed = 0
    for day, buyers in enumerate(season):
        table.days_left = trial.days - day
        if day:
            made = maker(table)
            table.stock = [s + m for s, m in zip(table.stock, made, strict=True)]
            profit -= trial.cost * sum(made)
        for size, times in enumerate(buyers):
            record = _record(trial, table.stock[size], times, day * trial.sizes + size)
            table.seen[size].append(record)
            table.stock[size] -= record.sold
            sold += record.sold
            missed += len(times) - record.sold
            profit += trial.price * record.sold
        profit -= trial.keeping * sum(table.stock)
    profit += trial.carried * sum(table.stock)
    return Lived(profit, sold, missed, sum(table.stock), tuple(table.rates(trial)))


def _record(trial: Trial, stock: int, times: Sequence[float], place: int) -> DayRecord:
    """Return the day of one size as the till would have seen it."""
    sold = min(stock, len(times))
    # The same missed buyers ask whichever way the season is lived.
    chance = Random(place * 1009 + len(times))  # noqa: S311 - nothing secret
    asked = sum(chance.random() < trial.ask_share for _ in range(len(times) - sold))
    out = times[sold - 1] if sold and sold == stock else None
    return DayRecord(stock, sold, sold_out_at=out, requests_noted=trial.ask_share > 0, asked=asked)


def _as_planned(trial: Trial, table: Table) -> list[int]:
    kinds = []
    for size, rate in enumerate(table.rates(trial)):
        rest = predict(rate, [1.0] * table.days_left, trial.day_noise)
        kinds.append(
            Kind(
                str(size), trial.machine_minutes, trial.finish_minutes, table.stock[size], 0,
                trial.price - trial.cost, trial.keeping,
                predict(rate, [1.0] * min(2, table.days_left), trial.day_noise),
                most=most_worth_holding(rest, trial.price, trial.cost, trial.carried),
            )
        )  # fmt: skip
    return list(make(kinds, trial.minutes).counts)


def _as_sold(trial: Trial, table: Table) -> list[int]:
    """Make again what sold last, the best sold first; spare minutes go to the best sellers.

    A size sold out says nothing here but its sales, which is what this way is about. Nobody
    piles up without end: twice the best day of a size is enough.
    """
    last = [days[-1].sold for days in table.seen]
    total = [sum(day.sold for day in days) for days in table.seen]
    enough = [2 * max(1, *(day.sold for day in days)) for days in table.seen]
    room = int(trial.minutes // trial.pair_minutes)
    order = sorted(range(len(last)), key=lambda i: (-last[i], -total[i]))
    made = [0] * len(last)
    for size in order:
        made[size] = min(last[size], room)
        room -= made[size]
    for size in sorted(order, key=lambda i: -total[i]):
        spare = min(room, max(0, enough[size] - table.stock[size] - made[size]))
        made[size] += spare
        room -= spare
    return made
