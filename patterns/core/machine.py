"""How one machine stands when a heel or a toe begins: carrier, halves, and the seam.

A turn takes an even number of passes, so the yarn carrier ends where it began. Heel and
sole are knitted on the same needles; a toe folds over from the half that knits it and is
closed on the other one (common practice).
"""

from dataclasses import dataclass

CARRIER_RESTS = ("", "left", "right", "front", "back")
HEEL_HALVES = ("", "front", "back")
TOE_HALVES = ("same", "other")


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

    def heel_notes(self) -> tuple[str, ...]:
        """Return what to mind at the heel of this machine."""
        half = (f"The {self.heel_half} half knits the heel.",) if self.heel_half else ()
        return (*half, *self._carrier_notes())

    def toe_notes(self) -> tuple[str, ...]:
        """Return what to mind at the toe of this machine."""
        if self.toe_half == "same":
            half = f"The toe is knitted on {self._named('same')}: its seam lies on top of the toes."
        else:
            half = f"The toe is knitted on {self._named('other')}: its seam lies under the toes."
        return (half, *self._carrier_notes())

    def _named(self, toe_half: str) -> str:
        if not self.heel_half:
            return (
                "the heel's half" if toe_half == "same" else "the half that did not knit the heel"
            )
        opposite = "back" if self.heel_half == "front" else "front"
        return f"the {self.heel_half if toe_half == 'same' else opposite} half"

    def _carrier_notes(self) -> tuple[str, ...]:
        if self.carrier in {"left", "right"}:
            return (
                f"Begin with the yarn carrier at the {self.carrier}, where your rounds end; "
                "after the last pass it stands there again.",
            )
        if self.carrier:
            return (
                f"Your rounds end with the yarn carrier at the {self.carrier}: stop the round "
                "before a quarter early, at the side. After the last pass that quarter ends it.",
            )
        return ()


def _require(name: str, value: str, allowed: tuple[str, ...]) -> None:
    if value not in allowed:
        shown = ", ".join(word or "empty" for word in allowed)
        msg = f"{name} is {value!r:.40}; allowed: {shown}"
        raise ValueError(msg)
