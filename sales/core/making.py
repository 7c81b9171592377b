"""What to make in the minutes left before the next market, exactly.

Every further pair of a kind is worth what `packing` says of the pair after those on hand, and
costs minutes: pairs already in progress only need finishing. Choosing within the minutes is a
knapsack. It is solved by walking kind by kind and keeping only plans that no other plan beats
in minutes and worth together (Nemhauser & Ullmann 1969, from memory), and that could still
overtake a greedy plan by a relaxed bound (Dantzig 1957, from memory).
"""

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate
from math import floor, inf

from sales.core.bounds import between, positive, within
from sales.core.demand import Prediction
from sales.core.kinds import Kind, Started, Step, step_of
from sales.core.packing import worth_nothing

__all__ = ["Kind", "Line", "Plan", "Started", "Step", "make", "most_worth_holding"]

TIE = 1e-12
MIXES = ((1, 0), (4, 1), (2, 1), (1, 1), (1, 2), (1, 4), (0, 1))


@dataclass(frozen=True, slots=True)
class Line:
    """Why this many of one kind.

    Attributes:
        name: What the maker calls the kind.
        steps: The further pairs to make, in order.
        next_step: The first pair left out; its worth says why.
    """

    name: str
    steps: tuple[Step, ...]
    next_step: Step

    @property
    def count(self) -> int:
        """Pairs to make or finish [pairs]."""
        return len(self.steps)

    @property
    def to_finish(self) -> int:
        """Of these, pairs already in progress [pairs]."""
        return sum(step.in_progress for step in self.steps)

    @property
    def minutes(self) -> int:
        """All minutes they take [min]."""
        return sum(step.minutes for step in self.steps)

    @property
    def worth(self) -> float:
        """What they are expected to bring [money]."""
        return sum(step.worth for step in self.steps)


@dataclass(frozen=True, slots=True)
class Plan:
    """What to make.

    Attributes:
        counts: Further pairs of each kind, those in progress first [pairs].
        value: What they are expected to bring [money].
        minutes: All minutes used [min].
        machine_minutes: Of these, at the machine [min].
        lines: Reasons, one per kind.
    """

    counts: tuple[int, ...]
    value: float
    minutes: int
    machine_minutes: int
    lines: tuple[Line, ...]


def make(kinds: Sequence[Kind], minutes: float, machine_minutes: float | None = None) -> Plan:
    """Return the plan that is expected to bring most in the time left.

    Args:
        kinds: What could be made; equal plans favour the order given.
        minutes: All minutes left before the market [min], 0 or more; rounded down.
        machine_minutes: Minutes left at the machine before the wash must start [min],
            0 or more; None when only the total counts.

    Raises:
        ValueError: If an argument is out of range.
    """
    total = floor(within("minutes", minutes, 0))
    machine = total
    if machine_minutes is not None:
        machine = min(total, floor(within("machine_minutes", machine_minutes, 0)))
    limits = _Limits(total, machine, machine_minutes is not None)
    ladders = [_worthwhile(kind, limits) for kind in kinds]
    counts = _best_counts(ladders, limits)
    lines = tuple(
        Line(kind.name, tuple(ladder[:count]), step_of(kind, count + 1))
        for kind, ladder, count in zip(kinds, ladders, counts, strict=True)
    )
    taken = [step for line in lines for step in line.steps]
    return Plan(
        counts=tuple(counts),
        value=sum(step.worth for step in taken),
        minutes=sum(step.minutes for step in taken),
        machine_minutes=sum(step.machine_minutes for step in taken),
        lines=lines,
    )


def most_worth_holding(
    rest_of_season: Prediction, price: float, cost: float, carried_worth: float
) -> int:
    """Return the most pairs of a kind worth holding this late in the season [pairs].

    A pair that meets no buyer in all the days left is worth only `carried_worth` next year.

    Args:
        rest_of_season: Demand over all days left.
        price: Net price of a pair [money], above `cost`.
        cost: What making one costs [money], above `carried_worth`.
        carried_worth: Worth of a pair carried into next season [money], 0 or more.

    Raises:
        ValueError: If the three are not in that order.
    """
    positive("price", price)
    within("carried_worth", carried_worth, 0)
    between("cost", cost, carried_worth, price)
    return rest_of_season.quantile((price - cost) / (price - carried_worth))


@dataclass(frozen=True, slots=True)
class _Limits:
    total: int
    machine: int
    counts_machine: bool

    @property
    def mixes(self) -> tuple[tuple[int, int], ...]:
        """Ways to weigh all minutes against machine minutes."""
        return MIXES if self.counts_machine else MIXES[:1]

    def allow(self, minutes: int, machine: int) -> bool:
        return minutes <= self.total and (not self.counts_machine or machine <= self.machine)


@dataclass(frozen=True, slots=True)
class _State:
    """A plan for the kinds walked so far; earlier counts hang on `parent`."""

    minutes: int
    machine: int
    worth: float
    count: int
    parent: "_State | None"


class _Relaxation:
    """What steps could bring at best if pairs could be cut to size.

    One mix of both kinds of minutes is limited instead of each; every mix is an upper bound.
    """

    def __init__(self, steps: Iterable[Step], mix: tuple[int, int]) -> None:
        self._mix = mix
        costs = [(_cost(step, mix), step.worth) for step in steps]
        costs.sort(key=lambda c: -c[1] / c[0] if c[0] else -inf)
        self._minutes = list(accumulate((cost for cost, _ in costs), initial=0))
        self._worth = list(accumulate((worth for _, worth in costs), initial=0.0))

    def bound(self, minutes: int, machine: int) -> float:
        """Return an upper bound of the worth within the minutes left."""
        room = self._mix[0] * minutes + self._mix[1] * machine
        fit = bisect_right(self._minutes, room) - 1
        if fit == len(self._minutes) - 1:
            return self._worth[-1]
        part = (room - self._minutes[fit]) / (self._minutes[fit + 1] - self._minutes[fit])
        return self._worth[fit] + part * (self._worth[fit + 1] - self._worth[fit])


class _Rest:
    """Upper bound over the kinds not yet walked."""

    def __init__(self, ladders: Sequence[Sequence[Step]], limits: _Limits) -> None:
        steps = [step for ladder in ladders for step in ladder]
        self._limits = limits
        self._relaxations = [_Relaxation(steps, mix) for mix in limits.mixes]

    def bound(self, state: _State) -> float:
        minutes = self._limits.total - state.minutes
        machine = self._limits.machine - state.machine
        return min(relaxed.bound(minutes, machine) for relaxed in self._relaxations)


def _cost(step: Step, mix: tuple[int, int]) -> int:
    return mix[0] * step.minutes + mix[1] * step.machine_minutes


def _worthwhile(kind: Kind, limits: _Limits) -> list[Step]:
    """Return the steps that are worth something and fit when taken alone.

    Worth falls and minutes rise along a kind, so a best plan always takes them in order.
    """
    steps: list[Step] = []
    minutes = machine = 0
    while kind.most is None or kind.on_hand + len(steps) < kind.most:
        step = step_of(kind, len(steps) + 1)
        minutes += step.minutes
        machine += step.machine_minutes
        if step.worth <= worth_nothing(kind.gain, kind.loss) or not limits.allow(minutes, machine):
            break
        steps.append(step)
    return steps


def _greedy_worth(
    ladders: Sequence[Sequence[Step]], limits: _Limits, mix: tuple[int, int]
) -> float:
    """Return the worth of taking steps by worth per minute while they fit: a floor to beat."""
    steps = [(_cost(step, mix), step) for ladder in ladders for step in ladder]
    steps.sort(key=lambda c: -c[1].worth / c[0] if c[0] else -inf)
    worth = 0.0
    minutes = machine = 0
    for _, step in steps:
        if limits.allow(minutes + step.minutes, machine + step.machine_minutes):
            worth += step.worth
            minutes += step.minutes
            machine += step.machine_minutes
    return worth


def _best_counts(ladders: Sequence[Sequence[Step]], limits: _Limits) -> list[int]:
    floor_worth = max(_greedy_worth(ladders, limits, mix) for mix in limits.mixes) - 1e-9
    states = [_State(0, 0, 0.0, 0, None)]
    for position, ladder in enumerate(ladders):
        rest = _Rest(ladders[position + 1 :], limits)
        grown = _undominated(_grow(states, ladder, limits))
        states = [s for s in grown if s.worth + rest.bound(s) >= floor_worth]
    return _counts_of(_richest(states))


def _grow(states: Sequence[_State], ladder: Sequence[Step], limits: _Limits) -> Iterator[_State]:
    for state in states:
        minutes, machine, worth = state.minutes, state.machine, state.worth
        yield _State(minutes, machine, worth, 0, state)
        for step in ladder:
            minutes += step.minutes
            machine += step.machine_minutes
            worth += step.worth
            if not limits.allow(minutes, machine):
                break
            yield _State(minutes, machine, worth, step.nth, state)


def _undominated(states: Iterable[_State]) -> list[_State]:
    """Keep the states that no other matches in minutes, machine minutes and worth at once."""
    kept: list[_State] = []
    machines: list[int] = []
    worths: list[float] = []
    for state in sorted(states, key=lambda s: (s.minutes, s.machine, -s.worth)):
        # `worths` rises along `machines`: the best seen so far at no more machine minutes.
        at = bisect_right(machines, state.machine)
        if at and worths[at - 1] >= state.worth - TIE:
            continue
        kept.append(state)
        end = at
        while end < len(worths) and worths[end] <= state.worth:
            end += 1
        start = at - 1 if at and machines[at - 1] == state.machine else at
        machines[start:end] = [state.machine]
        worths[start:end] = [state.worth]
    return kept


def _richest(states: Sequence[_State]) -> _State:
    """Return the state worth most; of equals, the one that takes the fewest minutes."""
    best = states[0]
    for state in states[1:]:
        if state.worth > best.worth + TIE:
            best = state
    return best


def _counts_of(state: _State) -> list[int]:
    counts: list[int] = []
    walk: _State | None = state
    while walk is not None and walk.parent is not None:
        counts.append(walk.count)
        walk = walk.parent
    return counts[::-1]
