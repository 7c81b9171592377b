"""Gauge of a knitted tube, and the loop length, shrinkage and settings behind it.

Munden's relation ties them: stitches per cm2 = ks / loop_length**2, with the loop in cm.
Constants for washed (fully relaxed) plain wool: kc 5.5, kw 4.2, ks 23.1; cotton is
within about 5 % (from memory).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Self

from patterns.core.bounds import (
    COURSES_PER_10CM,
    KS,
    LOOP_CM,
    MM_PER_INCH,
    SHRINK,
    TEX,
    WALES_PER_10CM,
    require,
    require_needles,
)

STATES = ("raw", "washed")
KC_WASHED = 5.5
KW_WASHED = 4.2
KS_WASHED = 23.1
# Dry-relaxed plain wool (Munden 1959, from memory) against washed: what a tube off the
# machine loses when nothing better is known.
USUAL_LENGTH_SHRINK = 1 - 5.0 / KC_WASHED
USUAL_WIDTH_SHRINK = 1 - 3.8 / KW_WASHED

_INCHES_PER_10CM = 100 / MM_PER_INCH
_TURNS = (-100.0, 100.0)


@dataclass(frozen=True, slots=True)
class Gauge:
    """Stitches and rows of a relaxed tube, and whether it has been washed.

    Attributes:
        wales_per_10cm: Stitches across [per 10 cm], 8 to 80.
        courses_per_10cm: Rows along [per 10 cm], 8 to 120.
        state: "washed" or "raw" (off the machine and rested); the two are never mixed.

    Raises:
        ValueError: If a count is out of range or the state is unknown.
    """

    wales_per_10cm: float
    courses_per_10cm: float
    state: str = "washed"

    def __post_init__(self) -> None:
        require("wales_per_10cm", self.wales_per_10cm, WALES_PER_10CM)
        require("courses_per_10cm", self.courses_per_10cm, COURSES_PER_10CM)
        if self.state not in STATES:
            msg = f"state is {self.state!r:.40}; allowed: {', '.join(STATES)}"
            raise ValueError(msg)

    @classmethod
    def per_inch(cls, wales: float, courses: float, state: str = "washed") -> Self:
        """Make a gauge from stitches and rows per inch.

        Raises:
            ValueError: If a count is out of range or the state is unknown.
        """
        wales = require("wales", wales, _per_inch(WALES_PER_10CM), "per inch")
        courses = require("courses", courses, _per_inch(COURSES_PER_10CM), "per inch")
        return cls(wales * _INCHES_PER_10CM, courses * _INCHES_PER_10CM, state)

    @property
    def wales_per_inch(self) -> float:
        """Stitches across [per inch]."""
        return self.wales_per_10cm / _INCHES_PER_10CM

    @property
    def courses_per_inch(self) -> float:
        """Rows along [per inch]."""
        return self.courses_per_10cm / _INCHES_PER_10CM

    @property
    def courses_per_wale(self) -> float:
        """Shape of a stitch; plain sock fabric lies within 1.15 to 1.55."""
        return self.courses_per_10cm / self.wales_per_10cm


@dataclass(frozen=True, slots=True)
class SettingLine:
    """Loop length against turns of the stitch screw, for one yarn on one cylinder.

    Attributes:
        intercept_cm: Loop length at her own mark [cm].
        slope_cm: Change of loop length per turn [cm].
        turns: Lowest and highest setting measured; beyond them the line only guesses.
    """

    intercept_cm: float
    slope_cm: float
    turns: tuple[float, float]

    def loop_cm(self, turns: float) -> float:
        """Return the loop length at a setting [cm].

        Raises:
            ValueError: If the line gives a loop no sock can have.
        """
        turns = require("turns", turns, _TURNS)
        return require("loop_cm", self.intercept_cm + self.slope_cm * turns, LOOP_CM, "cm")

    def turns_for(self, loop_cm: float) -> float:
        """Return the setting that draws a loop of this length [turns].

        Raises:
            ValueError: If the loop is out of range or the screw changed nothing.
        """
        loop_cm = require("loop_cm", loop_cm, LOOP_CM, "cm")
        if self.slope_cm == 0:
            msg = "slope_cm is 0; the swatches must differ in loop length to choose a setting"
            raise ValueError(msg)
        return (loop_cm - self.intercept_cm) / self.slope_cm


def gauge_from_count(stitches: float, over_mm: float) -> float:
    """Return stitches (or rows) per 10 cm from a count over any length.

    Args:
        stitches: Stitches or rows counted, 1 to 1000.
        over_mm: Length they were counted over [mm], 10 to 1000.

    Raises:
        ValueError: If either is out of range.
    """
    stitches = require("stitches", stitches, (1, 1000))
    return stitches * 100 / require("over_mm", over_mm, (10, 1000), "mm")


def loop_length_cm(gauge: Gauge, ks: float = KS_WASHED) -> float:
    """Return the yarn in one stitch of a washed tube [cm], by Munden's relation.

    Args:
        gauge: Washed gauge.
        ks: Munden's constant [loops/cm2 x cm2], 10 to 40.

    Raises:
        ValueError: If the gauge is raw or ks is out of range.
    """
    require_washed(gauge)
    ks = require("ks", ks, KS)
    return math.sqrt(ks / (gauge.wales_per_10cm * gauge.courses_per_10cm / 100))


def loop_from_round_cm(round_cm: float, needles: int) -> float:
    """Return the yarn in one stitch from the yarn unravelled out of one round [cm].

    The surest way: unravel ten rounds, measure, and take a tenth.

    Args:
        round_cm: Yarn in one round [cm], 1 to 2000.
        needles: Needles in the cylinder, even, 12 to 200.

    Raises:
        ValueError: If a value is out of range or the result is no possible loop.
    """
    around = require("round_cm", round_cm, (1, 2000), "cm")
    return require("round_cm / needles", around / require_needles(needles), LOOP_CM, "cm")


def relaxed(gauge: Gauge, width_shrink: float, length_shrink: float) -> Gauge:
    """Return the washed gauge of a raw tube that shrinks by these shares.

    Args:
        gauge: Raw gauge.
        width_shrink: Share of the width lost in the wash, 0 to 0.5.
        length_shrink: Share of the length lost in the wash, 0 to 0.5.

    Raises:
        ValueError: If the gauge is washed already or a value is out of range.
    """
    if gauge.state != "raw":
        msg = f"gauge.state is {gauge.state!r}; allowed: 'raw', a washed tube has shrunk already"
        raise ValueError(msg)
    width = require("width_shrink", width_shrink, SHRINK)
    length = require("length_shrink", length_shrink, SHRINK)
    return Gauge(gauge.wales_per_10cm / (1 - width), gauge.courses_per_10cm / (1 - length))


def shrink_between(raw: Gauge, washed: Gauge) -> tuple[float, float]:
    """Return what a tube lost in the wash: shares of its width and its length.

    Args:
        raw: The tube off the machine.
        washed: The same tube washed and dried.

    Raises:
        ValueError: If the states are others than these, or it did not shrink by 0 to 0.5.
    """
    require_washed(washed)
    if raw.state != "raw":
        msg = f"raw.state is {raw.state!r}; allowed: 'raw', the tube as it left the machine"
        raise ValueError(msg)
    width = 1 - raw.wales_per_10cm / washed.wales_per_10cm
    length = 1 - raw.courses_per_10cm / washed.courses_per_10cm
    return require("width_shrink", width, SHRINK), require("length_shrink", length, SHRINK)


def tightness(tex: float, loop_cm: float) -> float:
    """Return the tightness factor sqrt(tex) / loop length [sqrt(tex)/cm].

    Plain fabric is usually 13 to 15; socks 12 to 16 for wear (from memory).

    Raises:
        ValueError: If either is out of range.
    """
    return math.sqrt(require("tex", tex, TEX)) / require("loop_cm", loop_cm, LOOP_CM, "cm")


def fit_setting(turns: Sequence[float], loop_lengths: Sequence[float]) -> SettingLine:
    """Fit loop length against screw turns by least squares.

    Args:
        turns: Settings of the swatch bands [turns from her mark], two or more different.
        loop_lengths: Loop length of each band [cm].

    Raises:
        ValueError: If the counts differ, fewer than two settings differ, or a value is off.
    """
    if len(turns) != len(loop_lengths):
        msg = f"loop_lengths has {len(loop_lengths)} values; allowed: one for each of turns"
        raise ValueError(msg)
    x = [require("turns", value, _TURNS) for value in turns]
    y = [require("loop_lengths", value, LOOP_CM, "cm") for value in loop_lengths]
    if len(set(x)) < 2:
        msg = f"turns has {len(set(x))} different settings; allowed: two or more"
        raise ValueError(msg)
    mean_x, mean_y = math.fsum(x) / len(x), math.fsum(y) / len(y)
    spread = math.fsum((a - mean_x) ** 2 for a in x)
    slope = math.fsum((a - mean_x) * (b - mean_y) for a, b in zip(x, y, strict=True)) / spread
    return SettingLine(mean_y - slope * mean_x, slope, (min(x), max(x)))


def require_washed(gauge: Gauge) -> None:
    """Refuse a raw gauge where finished measures are computed.

    Raises:
        ValueError: If the gauge is raw.
    """
    if gauge.state != "washed":
        msg = f"gauge.state is {gauge.state!r}; allowed: 'washed', use relaxed() or wash the swatch"
        raise ValueError(msg)


def _per_inch(per_10cm: tuple[float, float]) -> tuple[float, float]:
    low, high = per_10cm
    return low / _INCHES_PER_10CM, high / _INCHES_PER_10CM
