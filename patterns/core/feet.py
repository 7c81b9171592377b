"""Foot lengths and shoe sizes, both ways, and sock numbers made from them.

The scales are the usual last-length formulas (a barleycorn is 1/3 in, a Paris point
2/3 cm) moved to foot length with the last 2/3 in (EU: two points) longer than the foot.
Two charts can differ by 0.2 in: store millimetres, show sizes as a derived label.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

from patterns.core.bounds import FOOT_MM, MM_PER_INCH, nearest, require
from patterns.core.words import Phrase, say

_BARLEYCORNS_PER_MM = 3 / MM_PER_INCH
_POINTS_PER_MM = 0.15
_MONDOPOINT_STEP_MM = 5


class SizeSystem(NamedTuple):
    """A scale of shoe sizes.

    Attributes:
        name: What it is called where one is chosen.
        slope: Growth of the size with the foot [sizes/mm].
        offset: Size of a foot of no length.
        sold: Smallest and largest size that shoes are sold in.
        wearer: `adult`, `child`, or `any` where one ladder runs through all ages.
        reading: Whether it is a second reading of another one, which the workshop settles.
    """

    name: Phrase
    slope: float
    offset: float
    sold: tuple[float, float]
    wearer: str
    reading: bool = False


SIZE_SYSTEMS = {
    "us_women": SizeSystem(say("US women"), _BARLEYCORNS_PER_MM, -20.5, (3, 20), "adult"),
    "us_women_athletic": SizeSystem(
        say("US women, athletic scale (men’s + 1)"),
        _BARLEYCORNS_PER_MM,
        -21,
        (3, 20),
        "adult",
        reading=True,
    ),
    "us_men": SizeSystem(say("US men"), _BARLEYCORNS_PER_MM, -22, (3, 20), "adult"),
    "us_child": SizeSystem(say("US child"), _BARLEYCORNS_PER_MM, -29 / 3, (0, 13.5), "child"),
    "us_youth": SizeSystem(say("US youth"), _BARLEYCORNS_PER_MM, -68 / 3, (1, 7), "child"),
    "us_youth_as_men": SizeSystem(
        say("US youth, numbered like men’s"),
        _BARLEYCORNS_PER_MM,
        -22,
        (1, 7),
        "child",
        reading=True,
    ),
    "uk_adult": SizeSystem(say("UK"), _BARLEYCORNS_PER_MM, -23, (0, 19), "adult"),
    "uk_child": SizeSystem(say("UK child"), _BARLEYCORNS_PER_MM, -10, (0, 13.5), "child"),
    "eu": SizeSystem(say("EU"), _POINTS_PER_MM, 2, (14, 56), "any"),
    "mondopoint": SizeSystem(say("Mondopoint (foot in mm)"), 1, 0, (60, 400), "any"),
}
SYSTEMS = tuple(SIZE_SYSTEMS)

# US Army survey of 2012 (report NATICK/TR-15/007), 6,068 men and women.
_BALL_CONSTANT_MM = 45.83
_BALL_SLOPE = 0.7541
_BALL_SD_MM = 10.57
SURVEYED_FOOT_MM = (200.0, 323.0)

_SOCK_FOOT_MM = (40.0, 420.0)
_SAME_FOOT_MM = 1e-6
_EU_PAIRS = tuple(range(19, 48, 4))


class _Rung(NamedTuple):
    """A stretch of a size ladder: its scale, printed name and lowest printed size."""

    system: str
    name: Phrase
    lowest: float


_CHILD = _Rung("us_child", say("US child"), 0)
_YOUTH = _Rung("us_youth", say("US youth"), 1)
_YOUTH_AS_MEN = _Rung("us_youth_as_men", say("US youth"), 1)
_GROWN_YOUTH = _Rung("us_men", say("US men"), 7.5)
_UK = (_Rung("uk_adult", say("UK"), 1), _Rung("uk_child", say("UK child"), 0))

# Systems that run on into others, largest first: a foot too small for one rung is named on
# the next. Any other is a ladder of one rung.
_LADDERS: dict[str, tuple[_Rung, ...]] = {
    "us_men": (_Rung("us_men", say("US men"), 3), _YOUTH, _CHILD),
    "us_women": (_Rung("us_women", say("US women"), 4.5), _YOUTH, _CHILD),
    "us_women_athletic": (_Rung("us_women_athletic", say("US women"), 4), _YOUTH, _CHILD),
    "us_child": (_GROWN_YOUTH, _YOUTH, _CHILD),
    "us_youth": (_GROWN_YOUTH, _YOUTH, _CHILD),
    "us_youth_as_men": (_GROWN_YOUTH, _YOUTH_AS_MEN, _CHILD),
    "uk_adult": _UK,
    "uk_child": _UK,
    "mondopoint": (_Rung("mondopoint", say("Mondopoint"), 0),),
}


class _Step(NamedTuple):
    """A size as printed: its rung and the size in halves (Mondopoint: fives)."""

    rung: _Rung
    size: float

    @property
    def foot_mm(self) -> float:
        scale = SIZE_SYSTEMS[self.rung.system]
        return (self.size - scale.offset) / scale.slope

    def number(self) -> str:
        """Write 9.5 as 9½."""
        whole, half = divmod(self.size, 1)
        if not half:
            return f"{whole:.0f}"
        return f"{whole:.0f}½" if whole else "½"

    def said(self) -> Phrase:
        if self.size < self.rung.lowest:
            return say(
                "under {system} {number:.0f}", system=self.rung.name, number=self.rung.lowest
            )
        return say("{system} {number}", system=self.rung.name, number=self.number())


@dataclass(frozen=True, slots=True)
class BallGuess:
    """Ball circumference guessed from foot length.

    Attributes:
        mean: Most likely circumference [mm].
        sd: Spread, one standard deviation [mm].
        extrapolated: Whether the foot lies outside the surveyed lengths: measure it.
    """

    mean: float
    sd: float
    extrapolated: bool


def foot_length_mm(system: str, size: float) -> float:
    """Return the foot length a shoe size is made for [mm].

    Args:
        system: One of `SYSTEMS`. The second women's scale (men plus 1) and the second
            youth scale (numbered like men's) are systems of their own.
        size: Size in that system; Mondopoint is the foot in mm.

    Raises:
        ValueError: If the system is unknown or the foot would not be 60 to 400 mm.
    """
    scale = _scale(system)
    low, high = (scale.slope * end + scale.offset for end in FOOT_MM)
    size = require("size", size, (low, high), f"in {system}")
    return (size - scale.offset) / scale.slope


def shoe_size(system: str, foot_length_mm: float) -> float:
    """Return the shoe size of a foot, unrounded (Mondopoint: to the nearest 5).

    Args:
        system: One of `SYSTEMS`.
        foot_length_mm: Length of the longer foot [mm], 60 to 400.

    Raises:
        ValueError: If the system is unknown or the length is out of range.
    """
    scale = _scale(system)
    foot = require("foot_length_mm", foot_length_mm, FOOT_MM, "mm")
    if system == "mondopoint":
        return float(nearest(foot / _MONDOPOINT_STEP_MM) * _MONDOPOINT_STEP_MM)
    return scale.slope * foot + scale.offset


def hosiery_size(sock_foot_mm: float) -> float:
    """Return the US hosiery number of a sock [in, by halves], never rounded up.

    The number names the sock's own foot, not the wearer's. Trade practice allows no
    shortness: 8 3/4 in is marked 8 1/2 (English stocking trade handbook).

    Raises:
        ValueError: If the sock's foot is not 40 to 420 mm.
    """
    sock = require("sock_foot_mm", sock_foot_mm, _SOCK_FOOT_MM, "mm")
    return math.floor(round(2 * sock / MM_PER_INCH, 9)) / 2


def guess_ball_mm(foot_length_mm: float) -> BallGuess:
    """Guess the ball circumference of a foot whose girth was not measured [mm].

    Regression of the US Army survey of 2012. Outside the surveyed lengths the line is
    only extended, so the spread is doubled and the guess says so.

    Raises:
        ValueError: If the foot is not 60 to 400 mm.
    """
    foot = require("foot_length_mm", foot_length_mm, FOOT_MM, "mm")
    low, high = SURVEYED_FOOT_MM
    outside = not low <= foot <= high
    return BallGuess(
        mean=_BALL_CONSTANT_MM + _BALL_SLOPE * foot,
        sd=_BALL_SD_MM * (2 if outside else 1),
        extrapolated=outside,
    )


def eu_sock_pair(foot_length_mm: float) -> tuple[int, int] | None:
    """Return the EU sock size pair of a foot, such as (39, 42), or None outside 19 to 50.

    Each shoe size keeps its half-point band, so no foot falls between two pairs.

    Raises:
        ValueError: If the foot is not 60 to 400 mm.
    """
    whole = nearest(shoe_size("eu", foot_length_mm))
    for low in _EU_PAIRS:
        if low <= whole <= low + 3:
            return low, low + 3
    return None


def size_text(system: str, foot_length_mm: float) -> str:
    """Return a foot's size as people say it, such as "US women 8½" or "US child 9".

    Halves are nearest (Mondopoint: fives). A foot too small or too large for the part
    of the ladder asked for is named on the next: child, then youth, then adult.

    Raises:
        ValueError: If the system is unknown or the foot is not 60 to 400 mm.
    """
    _scale(system)
    foot = require("foot_length_mm", foot_length_mm, FOOT_MM, "mm")
    return str.__str__(_step(system, foot, nearest).said())


def size_range_text(system: str, low_mm: float, high_mm: float) -> str:
    """Return the sizes whose feet lie inside a range, such as "US men 9 to 11½".

    In English whatever language is spoken: tags are lettered by it. See `size_range`.

    Raises:
        ValueError: If the system is unknown, a length is out of range or low is above high.
    """
    return str.__str__(size_range(system, low_mm, high_mm))


def size_range(system: str, low_mm: float, high_mm: float) -> Phrase:
    """Return the sizes whose feet lie inside a range, such as "US men 9 to 11½", for reading.

    Both ends are real half sizes inside the range: never rounded to a foot that the
    sock does not fit. When none lies inside, the text says between which two it falls.

    Args:
        system: One of `SYSTEMS`.
        low_mm: Shortest foot that fits [mm].
        high_mm: Longest foot that fits [mm].

    Raises:
        ValueError: If the system is unknown, a length is out of range or low is above high.
    """
    _scale(system)
    low = require("low_mm", low_mm, FOOT_MM, "mm")
    high = require("high_mm", high_mm, (low, FOOT_MM[1]), "mm")
    first, last = _step(system, low, _ceil), _step(system, high, _floor)
    if last.size < last.rung.lowest:
        return last.said()
    if first.size < first.rung.lowest:
        first = _Step(first.rung, first.rung.lowest)
    if first.foot_mm > last.foot_mm + _SAME_FOOT_MM:
        return say("between {last} and {first}", last=last.said(), first=first.said())
    if first == last:
        return first.said()
    end = last.number() if first.rung == last.rung else last.said()
    return say("{first} to {end}", first=first.said(), end=end)


def _step(system: str, foot_mm: float, rounding: Callable[[float], int]) -> _Step:
    for rung in _LADDERS.get(system, (_Rung(system, _scale(system).name, 0),)):
        slope, offset = SIZE_SYSTEMS[rung.system][1:3]
        unit = _MONDOPOINT_STEP_MM if rung.system == "mondopoint" else 0.5
        step = _Step(rung, rounding((slope * foot_mm + offset) / unit) * unit)
        if step.size >= rung.lowest:
            break
    return step


def _ceil(value: float) -> int:
    return math.ceil(round(value, 9))


def _floor(value: float) -> int:
    return math.floor(round(value, 9))


def _scale(system: str) -> SizeSystem:
    scale = SIZE_SYSTEMS.get(system) if isinstance(system, str) else None
    if scale is None:
        msg = f"system is {system!r:.40}; allowed: {', '.join(SYSTEMS)}"
        raise ValueError(msg)
    return scale
