"""Tops of a sock: which ones a cylinder can make, and what they take (common practice)."""

import math
from dataclasses import dataclass

from patterns.core.bounds import LOOP_CM, require, require_needles
from patterns.core.words import say

_DIAMETER_MM = (50.0, 300.0)


@dataclass(frozen=True, slots=True)
class Top:
    """One way to start a sock.

    Attributes:
        kind: Short name.
        name: Name for reading.
        divisor: What the needle count must divide by.
        out_of: Of so many needles, one is taken out of the cylinder; 0 for none.
        ribber: Whether the needles taken out knit on a ribber instead of resting.
        rows: Rounds usually seen, 0 where the maker chooses freely.
    """

    kind: str
    name: str
    divisor: int
    out_of: int
    ribber: bool
    rows: int

    @property
    def is_hem(self) -> bool:
        """Whether it is knitted double and hung."""
        return self.kind in {"hung_hem", "picot_hem"}

    @property
    def is_cuff(self) -> bool:
        """Whether it is a cuff with a gauge of its own."""
        return self.out_of > 0


TOPS = (
    Top("plain", say("Plain, rolling edge"), 1, 0, ribber=False, rows=0),
    Top("hung_hem", say("Hung hem"), 1, 0, ribber=False, rows=10),
    Top("picot_hem", say("Picot hem"), 2, 0, ribber=False, rows=10),
    Top("mock_rib", say("Mock rib, every third needle out"), 3, 3, ribber=False, rows=38),
    Top("rib_1_1", say("Rib 1 x 1"), 2, 2, ribber=True, rows=30),
    Top("rib_2_1", say("Rib 2 x 1"), 3, 3, ribber=True, rows=30),
    Top("rib_3_1", say("Rib 3 x 1"), 4, 4, ribber=True, rows=30),
)
_BY_KIND = {top.kind: top for top in TOPS}


def tops_for(needles: int) -> tuple[Top, ...]:
    """Return the tops whose repeat goes into a cylinder without a remainder.

    Raises:
        ValueError: If the needle count is odd or not 12 to 200.
    """
    count = require_needles(needles)
    return tuple(top for top in TOPS if count % top.divisor == 0)


def top_named(kind: str) -> Top:
    """Return a top by its short name.

    Raises:
        ValueError: If the kind is unknown.
    """
    top = _BY_KIND.get(kind) if isinstance(kind, str) else None
    if top is None:
        msg = f"kind is {kind!r:.40}; allowed: {', '.join(_BY_KIND)}"
        raise ValueError(msg)
    return top


def top_needles(kind: str, needles: int) -> tuple[int, int]:
    """Return how many needles knit a top: in the cylinder and on the ribber.

    Raises:
        ValueError: If the kind is unknown or its repeat does not go into the needles.
    """
    count = require_needles(needles)
    top = top_named(kind)
    if count % top.divisor:
        suited = ", ".join(one.kind for one in tops_for(count))
        msg = (
            f"needles is {count}; {top.name} needs a count that divides by {top.divisor}; "
            f"allowed: {suited} on this cylinder"
        )
        raise ValueError(msg)
    moved = count // top.out_of if top.out_of else 0
    return count - moved, moved if top.ribber else 0


def hem_rounds(hem_rows: int) -> int:
    """Return the rounds knitted for a hung hem that shows `hem_rows`, turning row included."""
    return 2 * hem_rows + 1 if hem_rows else 0


def needle_pitch_mm(diameter_mm: float, needles: int) -> float:
    """Return the distance from needle to needle [mm].

    All cylinders of one machine share the diameter; only the needle count changes.

    Args:
        diameter_mm: Across the needles [mm], 50 to 300.
        needles: Needles in the cylinder, even, 12 to 200.

    Raises:
        ValueError: If either is out of range.
    """
    diameter = require("diameter_mm", diameter_mm, _DIAMETER_MM, "mm")
    return math.pi * diameter / require_needles(needles)


def mock_rib_yarn_share(pitch_mm: float, loop_cm: float) -> float:
    """Return the yarn of a mock rib round against a plain one, roughly 0.8 [share].

    Two needles of three draw a loop; past the third the yarn floats one pitch.

    Args:
        pitch_mm: Distance from needle to needle [mm], 1 to 20.
        loop_cm: Yarn in one stitch [cm].

    Raises:
        ValueError: If either is out of range.
    """
    pitch_cm = require("pitch_mm", pitch_mm, (1, 20), "mm") / 10
    return (2 + pitch_cm / require("loop_cm", loop_cm, LOOP_CM, "cm")) / 3
