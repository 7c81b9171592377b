"""What the scale teaches of the grams that plans say.

Between two weighings of a lot the book takes the planned grams of every sock off it. What the
scale then says more or less falls on those socks in proportion to their plans. Tare cancels
between two weighings of the same packages (common practice).
"""

from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass
from typing import Final

USE_ASKED_ABOVE: Final = 1.25
"""Use above this share of the plan, or below nothing, is asked about (common practice)."""


@dataclass(frozen=True, slots=True)
class Interval:
    """What happened to a lot between two weighings.

    Attributes:
        planned_g: What the book took off for each kind of sock [g].
        difference_g: What the scale then said more (+) or less (-) than the book [g].
    """

    planned_g: Mapping[Hashable, float]
    difference_g: float

    @property
    def all_planned_g(self) -> float:
        """Planned grams of all kinds together [g]."""
        return sum(self.planned_g.values())

    @property
    def used_g(self) -> float:
        """Grams that left the lot by the scale [g]; may be below 0 when something is wrong."""
        return self.all_planned_g - self.difference_g

    @property
    def teaches(self) -> bool:
        """Whether anything was knitted and the use makes sense."""
        return self.all_planned_g > 0 and self.used_g > 0

    @property
    def is_doubtful(self) -> bool:
        """Whether the use is so far from the plan that it should be asked about."""
        if not self.all_planned_g:
            return False
        return not 0 <= self.used_g <= USE_ASKED_ABOVE * self.all_planned_g


@dataclass(frozen=True, slots=True)
class Lesson:
    """What weighings say of one kind of sock.

    Attributes:
        planned_g: Its planned grams over all intervals [g].
        used_g: The same set right by the scale [g].
        weighings: How many weighings stand behind it.
    """

    planned_g: float
    used_g: float
    weighings: int

    @property
    def ratio(self) -> float:
        """Grams used for each gram planned."""
        return self.used_g / self.planned_g

    @property
    def percent(self) -> int:
        """Grams used in 100 planned."""
        return round(100 * self.ratio)


def lessons(intervals: Iterable[Interval]) -> dict[Hashable, Lesson]:
    """Return what the intervals teach of each kind of sock knitted in them."""
    learned: dict[Hashable, Lesson] = {}
    for interval in intervals:
        if not interval.teaches:
            continue
        ratio = interval.used_g / interval.all_planned_g
        for kind, planned in interval.planned_g.items():
            before = learned.get(kind, Lesson(0.0, 0.0, 0))
            learned[kind] = Lesson(
                before.planned_g + planned, before.used_g + planned * ratio, before.weighings + 1
            )
    return {kind: lesson for kind, lesson in learned.items() if lesson.planned_g > 0}
