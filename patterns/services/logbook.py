"""What the finished work says about a plan: minutes of her own, and measured feet.

Strings and socks live above patterns, so the app that holds them hands its logbook in at
start-up; without one every figure stays the planned one.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import Protocol

ENOUGH = 5
NEWEST = 10


@dataclass(frozen=True, slots=True)
class TimedString:
    """One logged string of one cylinder.

    Attributes:
        needles: Its cylinder.
        minutes: What she logged [min].
        planned: What its socks were planned to take at the machine [min].
    """

    needles: int
    minutes: float
    planned: float


class Logbook(Protocol):
    """What patterns asks of the finished work."""

    def timed_strings(self) -> Sequence[TimedString]:
        """Return the strings with logged minutes, newest first."""

    def seam_minutes(self) -> Sequence[float]:
        """Return the minutes of one toe seam by each act that logged them, newest first."""

    def feet_mm(self, version_id: int) -> Sequence[float]:
        """Return the feet measured at blocking of socks of a version [mm]."""


class _Blank:
    """The logbook of a book without finished work."""

    def timed_strings(self) -> Sequence[TimedString]:
        return ()

    def seam_minutes(self) -> Sequence[float]:
        return ()

    def feet_mm(self, version_id: int) -> Sequence[float]:  # noqa: ARG002 - as the others
        return ()


_open: list[Logbook] = [_Blank()]


def hand_in(logbook: Logbook) -> None:
    """Answer from this logbook from now on."""
    _open[0] = logbook


@dataclass(frozen=True, slots=True)
class Minutes:
    """The time of a pair, planned or learned.

    Attributes:
        machine: At the machine [min].
        seam: For the two seams [min].
        strings: Strings behind the first figure, 0 when it is the planned one.
        seams: Acts behind the second figure, 0 when it is the planned one.
    """

    machine: float
    seam: float
    strings: int = 0
    seams: int = 0

    @property
    def total(self) -> float:
        """Both together [min]."""
        return self.machine + self.seam


class Times:
    """Her own times, read once for a whole page."""

    def __init__(self) -> None:
        self._ratios: dict[int, list[float]] = {}
        for string in _open[0].timed_strings():
            ratios = self._ratios.setdefault(string.needles, [])
            if len(ratios) < NEWEST:
                ratios.append(string.minutes / string.planned)
        self._seams = list(_open[0].seam_minutes())[:NEWEST]

    def of(self, *, needles: int, machine_minutes: float, seam_minutes: float) -> Minutes:
        """Return the time of a pair: planned, or her own medians once there are enough.

        Sizes differ on one cylinder, so it is the ratio of logged to planned minutes whose
        median scales the plan.

        Args:
            needles: Cylinder of the plan.
            machine_minutes: Planned at the machine for a pair [min].
            seam_minutes: Planned for the two seams [min].
        """
        ratios = self._ratios.get(needles, [])
        machine, strings = machine_minutes, 0
        if len(ratios) >= ENOUGH:
            machine, strings = machine_minutes * median(ratios), len(ratios)
        if len(self._seams) >= ENOUGH:
            return Minutes(machine, 2 * median(self._seams), strings, len(self._seams))
        return Minutes(machine, seam_minutes, strings)


def measured_foot_mm(version_id: int) -> tuple[float, int] | None:
    """Return the median foot of washed socks of a version [mm] and how many, or None."""
    feet = _open[0].feet_mm(version_id)
    return (float(median(feet)), len(feet)) if feet else None
