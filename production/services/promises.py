"""Who waits for yarn of a lot that is still on hand.

Orders live above yarn, so the app that keeps them hands its promises in at start-up; without
one nothing is kept back.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True, slots=True)
class Promise:
    """Yarn of a lot that is kept back.

    Attributes:
        what: For what, in words.
        grams: How much, if that is known [g].
        address: Its page.
    """

    what: str
    grams: float | None
    address: str


@dataclass(frozen=True, slots=True)
class KeptBack:
    """All that is kept back of one lot."""

    promises: tuple[Promise, ...] = ()

    @property
    def grams(self) -> float:
        """Grams kept back, where they are known."""
        return sum(promise.grams or 0.0 for promise in self.promises)


class Promises(Protocol):
    """What production asks of whoever takes orders."""

    def of_lot(self, lot_id: int) -> Sequence[Promise]:
        """Return what is kept back of a lot, the nearest promise first."""


_handed_in: list[Promises] = []


def hand_in(promises: Promises) -> None:
    """Ask these promises from now on."""
    _handed_in[:] = [promises]


def kept_back(lot_id: int) -> KeptBack:
    """Return what is kept back of a lot."""
    return KeptBack(tuple(p for asked in _handed_in for p in asked.of_lot(lot_id)))
