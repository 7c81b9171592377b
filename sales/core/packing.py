"""How many pairs of each kind to bring when the table has limited room.

The k-th pair of a kind is worth gain * P(D >= k) - loss * (1 - P(D >= k)). That never rises
with k, so the largest worths always form a feasible plan and taking them one by one is exact
(exchange argument: Gross 1956, seen in the abstract of Federgruen & Groenevelt 1986).
"""

import heapq
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from sales.core.bounds import whole, within

SLACK = 1e-12
LOWEST = -1e12


class Demand(Protocol):
    """Anything that knows how likely it is that `k` pairs or more are wanted."""

    def at_least(self, k: int) -> float:
        """Return P(D >= k)."""
        ...


@dataclass(frozen=True, slots=True)
class PackLine:
    """Why this many pairs of one kind.

    Attributes:
        count: Pairs to bring [pairs].
        last_chance: Probability that the last of them is wanted; None if none is brought.
        last_worth: What that pair is expected to bring [money]; None if none is brought.
        next_chance: Probability that one more would be wanted.
        next_worth: What one more would be expected to bring [money].
        expected_sales: Expected sales of `count` [pairs].
    """

    count: int
    last_chance: float | None
    last_worth: float | None
    next_chance: float
    next_worth: float
    expected_sales: float


def pair_worth(demand: Demand, k: int, gain: float, loss: float) -> float:
    """Return what the `k`-th pair is expected to bring [money].

    Args:
        demand: Demand over the days it is brought for.
        k: Which pair, counted from 1 [pairs].
        gain: Worth of selling it against keeping it at home [money].
        loss: Cost of carrying it for nothing [money], 0 or more.
    """
    chance = demand.at_least(k)
    return gain * chance - loss * (1 - chance)


def worth_nothing(gain: float, loss: float) -> float:
    """Return the worth below which a pair is not worth the trouble [money].

    It is 0 up to the last bits of a float sum: with no loss at all a worth never quite
    reaches 0.
    """
    return SLACK * (abs(gain) + loss)


def pack(
    demands: Sequence[Demand],
    gain: float | Sequence[float],
    loss: float | Sequence[float],
    places: int | None = None,
    available: Sequence[int] | None = None,
) -> list[int]:
    """Return how many pairs of each kind to bring.

    Equal worths go to the kind named first, so the plan does not flicker.

    Args:
        demands: Demand of each kind until stock can be fetched again.
        gain: Worth of a sale against keeping the pair, one for all or one per kind [money].
        loss: Cost of carrying a pair unsold, one for all or one per kind [money], 0 or more.
        places: Room on the table [pairs]; None for no limit.
        available: Finished pairs of each kind [pairs]; None for no limit.

    Raises:
        ValueError: If an argument is out of range or the lists differ in length.
    """
    gains = _per_kind("gain", gain, len(demands), LOWEST)
    losses = _per_kind("loss", loss, len(demands), 0)
    room = None if places is None else whole("places", places)
    stock = _stock(available, len(demands))
    counts = [0] * len(demands)
    heap: list[tuple[float, int]] = []

    def offer(kind: int) -> None:
        following = counts[kind] + 1
        if stock is not None and following > stock[kind]:
            return
        worth = pair_worth(demands[kind], following, gains[kind], losses[kind])
        if worth > worth_nothing(gains[kind], losses[kind]):
            heapq.heappush(heap, (-worth, kind))

    for kind in range(len(demands)):
        offer(kind)
    while heap and (room is None or sum(counts) < room):
        _, kind = heapq.heappop(heap)
        counts[kind] += 1
        offer(kind)
    return counts


def pack_lines(
    demands: Sequence[Demand],
    gain: float | Sequence[float],
    loss: float | Sequence[float],
    counts: Sequence[int],
) -> list[PackLine]:
    """Return the reasons behind a plan, one line per kind.

    Args:
        demands: Demand of each kind.
        gain: As in `pack` [money].
        loss: As in `pack` [money].
        counts: Pairs of each kind [pairs].

    Raises:
        ValueError: If an argument is out of range or the lists differ in length.
    """
    gains = _per_kind("gain", gain, len(demands), LOWEST)
    losses = _per_kind("loss", loss, len(demands), 0)
    _one_each("counts", counts, len(demands))
    return [
        _line(demand, whole("counts", count), u, o)
        for demand, count, u, o in zip(demands, counts, gains, losses, strict=True)
    ]


def _line(demand: Demand, count: int, gain: float, loss: float) -> PackLine:
    return PackLine(
        count=count,
        last_chance=demand.at_least(count) if count else None,
        last_worth=pair_worth(demand, count, gain, loss) if count else None,
        next_chance=demand.at_least(count + 1),
        next_worth=pair_worth(demand, count + 1, gain, loss),
        expected_sales=sum(demand.at_least(k) for k in range(1, count + 1)),
    )


def _per_kind(name: str, value: float | Sequence[float], kinds: int, low: float) -> list[float]:
    values = [value] * kinds if isinstance(value, int | float) else list(value)
    _one_each(name, values, kinds)
    return [within(name, v, low) for v in values]


def _stock(available: Sequence[int] | None, kinds: int) -> list[int] | None:
    if available is None:
        return None
    _one_each("available", available, kinds)
    return [whole("available", pairs) for pairs in available]


def _one_each(name: str, values: Sequence[float], kinds: int) -> None:
    if len(values) != kinds:
        msg = f"{name} has {len(values)} entries; it must have {kinds}, one per kind."
        raise ValueError(msg)
