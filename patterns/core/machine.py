"""How one machine stands when a heel or a toe begins: carrier, halves, and the seam.

A turn takes an even number of passes, so the yarn carrier ends where it began. Heel and
sole are knitted on the same needles; a toe folds over from the half that knits it and is
closed on the other one (common practice).
"""

from dataclasses import dataclass

from patterns.core.words import Phrase, say

CARRIER_RESTS = ("", "left", "right", "front", "back")
HEEL_HALVES = ("", "front", "back")
TOE_HALVES = ("same", "other")

_HEEL = {
    "front": say("The front half knits the heel."),
    "back": say("The back half knits the heel."),
}
# By the half of the heel and that of the toe: the toe's seam lies opposite its own half.
_TOE = {
    ("", "same"): say("The toe is knitted on the heel's half: its seam lies on top of the toes."),
    ("", "other"): say(
        "The toe is knitted on the half that did not knit the heel: its seam lies under the toes."
    ),
    ("front", "same"): say(
        "The toe is knitted on the front half: its seam lies on top of the toes."
    ),
    ("front", "other"): say("The toe is knitted on the back half: its seam lies under the toes."),
    ("back", "same"): say("The toe is knitted on the back half: its seam lies on top of the toes."),
    ("back", "other"): say("The toe is knitted on the front half: its seam lies under the toes."),
}
_CARRIER = {
    "left": say(
        "Begin with the yarn carrier at the left, where your rounds end; "
        "after the last pass it stands there again."
    ),
    "right": say(
        "Begin with the yarn carrier at the right, where your rounds end; "
        "after the last pass it stands there again."
    ),
    "front": say(
        "Your rounds end with the yarn carrier at the front: stop the round "
        "before a quarter early, at the side. After the last pass that quarter ends it."
    ),
    "back": say(
        "Your rounds end with the yarn carrier at the back: stop the round "
        "before a quarter early, at the side. After the last pass that quarter ends it."
    ),
}


@dataclass(frozen=True, slots=True)
class Machine:
    """What she told once about her machine.

    Attributes:
        carrier: Where the yarn carrier stands when a round is full, empty if not said.
        heel_half: Half of the needles that knits the heel, empty if not said.
        toe_half: Whether the toe is knitted on the "same" half as the heel or the "other".

    Raises:
        ValueError: If one is unknown.
    """

    carrier: str = ""
    heel_half: str = ""
    toe_half: str = "same"

    def __post_init__(self) -> None:
        _require("carrier", self.carrier, CARRIER_RESTS)
        _require("heel_half", self.heel_half, HEEL_HALVES)
        _require("toe_half", self.toe_half, TOE_HALVES)

    def heel_notes(self) -> tuple[Phrase, ...]:
        """Return what to mind at the heel of this machine."""
        half = (_HEEL[self.heel_half],) if self.heel_half else ()
        return (*half, *self._carrier_notes())

    def toe_notes(self) -> tuple[Phrase, ...]:
        """Return what to mind at the toe of this machine."""
        return (_TOE[self.heel_half, self.toe_half], *self._carrier_notes())

    def _carrier_notes(self) -> tuple[Phrase, ...]:
        return (_CARRIER[self.carrier],) if self.carrier else ()


def _require(name: str, value: str, allowed: tuple[str, ...]) -> None:
    if value not in allowed:
        shown = ", ".join(word or "empty" for word in allowed)
        msg = f"{name} is {value!r:.40}; allowed: {shown}"
        raise ValueError(msg)
