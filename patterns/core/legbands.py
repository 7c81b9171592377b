"""Stitch settings up a long leg: the needles stay, so the stitch must widen the tube."""

from dataclasses import dataclass

from patterns.core.bounds import EASE, FOOT_MM, require, require_needles
from patterns.core.feet import SURVEYED_FOOT_MM
from patterns.core.gauge import KW_WASHED, SettingLine

GIRTH_MM = (60.0, 700.0)
_KW = (3.0, 6.0)

# US Army survey of 2012 (report NATICK/TR-15/007), 6,068 men and women: constant and slope
# of the girth on the length of the foot, and the spread around that line [mm].
_CALF = (168.69, 0.8263, 27.0)
_ANKLE = (82.57, 0.5411, 13.0)


@dataclass(frozen=True, slots=True)
class Girth:
    """Around the leg at one height.

    Attributes:
        mm: The girth [mm].
        sd_mm: Spread of a guess, one standard deviation [mm]; 0 when it was measured.
        extrapolated: Whether it was guessed for a foot outside the surveyed lengths.
    """

    mm: float
    sd_mm: float = 0.0
    extrapolated: bool = False


@dataclass(frozen=True, slots=True)
class LegBand:
    """The setting for one stretch of leg.

    Attributes:
        girth_mm: Girth of the leg there [mm].
        loop_cm: Yarn in one stitch that makes the tube wide enough [cm].
        turns: Setting of the stitch screw [turns from her mark].
        measured: Whether the setting lies between her swatches; else knit one first.
    """

    girth_mm: float
    loop_cm: float
    turns: float
    measured: bool


def leg_band(
    *, needles: int, girth_mm: float, line: SettingLine, ease: float = 0.10, kw: float = KW_WASHED
) -> LegBand:
    """Return the stitch setting that fits a tube to a girth of the leg.

    Args:
        needles: Needles in the cylinder, even, 12 to 200.
        girth_mm: Around ankle, calf or below the knee [mm], 60 to 700.
        line: Loop length against screw turns of this yarn on this cylinder.
        ease: Share by which the tube shall be smaller than the leg, 0 to 0.25.
        kw: Wales per cm times loop length, 3 to 6; usually 4.2, or from her own swatch.

    Raises:
        ValueError: If an argument is out of range or no stitch is that large.
    """
    girth = require("girth_mm", girth_mm, GIRTH_MM, "mm")
    around_cm = girth * (1 - require("ease", ease, EASE)) / 10
    loop_cm = require("kw", kw, _KW) * around_cm / require_needles(needles)
    turns = line.turns_for(loop_cm)
    low, high = line.turns
    return LegBand(girth, loop_cm, turns, low <= round(turns, 9) <= high)


def guess_calf(foot_length_mm: float) -> Girth:
    """Guess the girth of the calf from the length of the foot [mm].

    Outside the surveyed feet the line is only extended, so the spread is doubled.

    Raises:
        ValueError: If the foot is not 60 to 400 mm.
    """
    return _guess(_CALF, foot_length_mm)


def guess_ankle(foot_length_mm: float) -> Girth:
    """Guess the girth of the ankle from the length of the foot [mm]; see `guess_calf`.

    Raises:
        ValueError: If the foot is not 60 to 400 mm.
    """
    return _guess(_ANKLE, foot_length_mm)


def _guess(regression: tuple[float, float, float], foot_length_mm: float) -> Girth:
    constant, slope, spread = regression
    foot = require("foot_length_mm", foot_length_mm, FOOT_MM, "mm")
    low, high = SURVEYED_FOOT_MM
    outside = not low <= foot <= high
    return Girth(constant + slope * foot, spread * (2 if outside else 1), outside)
