"""What could be made of a kind: its minutes, its worth and the pairs begun of it."""

from dataclasses import dataclass
from itertools import pairwise
from math import ceil

from sales.core.bounds import whole, within
from sales.core.packing import LOWEST, Demand, pair_worth


@dataclass(frozen=True, slots=True)
class Started:
    """A pair of which something is knitted already.

    Attributes:
        minutes: All minutes it still takes [min], 0 or more; rounded up.
        machine_minutes: Of these, at the machine (the partner of an odd sock) [min].
        sunk: Cost already in it [money], 0 or more; a new pair would still have to pay it.

    Raises:
        ValueError: If a figure is negative or more is at the machine than there is in all.
    """

    minutes: float
    machine_minutes: float = 0.0
    sunk: float = 0.0

    def __post_init__(self) -> None:
        """Refuse minutes that contradict each other."""
        within("minutes", self.minutes, 0)
        within("machine_minutes", self.machine_minutes, 0, self.minutes)
        within("sunk", self.sunk, 0)


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind that could be made.

    Attributes:
        name: What the maker calls it.
        machine_minutes: At the machine for one pair [min], 0 or more; rounded up.
        finish_minutes: Finishing one pair [min], 0 or more; rounded up.
        on_hand: Finished pairs [pairs].
        in_progress: Pairs already off the machine [pairs].
        gain: Worth of a sale [money].
        loss: Cost of keeping a pair that does not sell [money], 0 or more.
        demand: Demand over the days ahead, as a rule two market days.
        most: Most pairs worth holding in all [pairs], see `most_worth_holding`; None for
            no limit.
        started: The pairs in progress one by one, when their minutes differ; the least left
            to do comes first. It replaces `in_progress`.
    """

    name: str
    machine_minutes: float
    finish_minutes: float
    on_hand: int
    in_progress: int
    gain: float
    loss: float
    demand: Demand
    most: int | None = None
    started: tuple[Started, ...] = ()

    def __post_init__(self) -> None:
        """Refuse negative minutes, counts and losses."""
        within("machine_minutes", self.machine_minutes, 0)
        within("finish_minutes", self.finish_minutes, 0)
        whole("on_hand", self.on_hand)
        whole("in_progress", self.in_progress)
        within("gain", self.gain, LOWEST)
        within("loss", self.loss, 0)
        if self.most is not None:
            whole("most", self.most)
        self._check_started()

    @property
    def begun(self) -> int:
        """Pairs in progress, however they were told [pairs]."""
        return len(self.started) or self.in_progress

    def _check_started(self) -> None:
        if self.started and self.in_progress not in (0, len(self.started)):
            msg = f"in_progress={self.in_progress!r} must be 0 or {len(self.started)}, as started."
            raise ValueError(msg)
        for before, after in pairwise(self.started):
            rising = before.minutes <= after.minutes and (
                before.machine_minutes <= after.machine_minutes and before.sunk >= after.sunk
            )
            if not rising:
                msg = f"started={self.started!r} must be in order, the least left to do first."
                raise ValueError(msg)


@dataclass(frozen=True, slots=True)
class Step:
    """One further pair of a kind.

    Attributes:
        nth: Which further pair, counted from 1.
        chance: Probability that it is wanted.
        worth: What it is expected to bring [money].
        minutes: All minutes it takes [min].
        machine_minutes: Of these, at the machine [min].
        in_progress: Whether it only needs finishing.
    """

    nth: int
    chance: float
    worth: float
    minutes: int
    machine_minutes: int
    in_progress: bool


def step_of(kind: Kind, nth: int) -> Step:
    """Return the `nth` further pair of a kind, counted from 1."""
    in_progress = nth <= kind.begun
    began = kind.started[nth - 1] if nth <= len(kind.started) else None
    machine = 0 if in_progress else ceil(kind.machine_minutes)
    minutes = machine + ceil(kind.finish_minutes)
    if began:
        machine, minutes = ceil(began.machine_minutes), ceil(began.minutes)
    chance = kind.demand.at_least(kind.on_hand + nth)
    worth = pair_worth(kind.demand, kind.on_hand + nth, kind.gain, kind.loss)
    return Step(
        nth=nth,
        chance=chance,
        worth=worth + (began.sunk * chance if began else 0.0),
        minutes=minutes,
        machine_minutes=machine,
        in_progress=in_progress,
    )
