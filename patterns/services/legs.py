"""Bands of stitch setting up the leg of a knee sock, from the line of a yarn."""

from dataclasses import dataclass

from patterns.core.legbands import Girth, LegBand, guess_ankle, guess_calf, leg_band
from patterns.core.stitchline import Reading
from patterns.core.words import say
from patterns.services.gauges import YarnLine, yarn_lines

USUAL_EASE = 0.10


@dataclass(frozen=True, slots=True)
class Leg:
    """Girths of a leg as measured [mm]; None where they were not."""

    foot_mm: float | None = None
    ankle_mm: float | None = None
    calf_mm: float | None = None
    knee_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Band:
    """One stretch of the leg with its setting.

    Attributes:
        name: Where it lies.
        girth: Around the leg there, with its spread.
        band: The setting for that girth.
        reading: The fabric that setting gives.
        turns: Settings for one spread less and one more; the same twice when measured.
    """

    name: str
    girth: Girth
    band: LegBand
    reading: Reading
    turns: tuple[float, float]


def lines_with_settings() -> list[YarnLine]:
    """Return the yarns on a cylinder that were swatched at two settings or more."""
    return [line for line in yarn_lines() if line.line]


def bands_of(line: YarnLine, leg: Leg, *, ease: float = USUAL_EASE) -> list[Band]:
    """Return the bands of a leg in the order they are knitted, from the top down.

    Raises:
        ValueError: If the yarn has one setting only, no stitch is that wide, or a girth is
            neither measured nor to be guessed from a foot.
    """
    ankle = _girth("ankle_mm", leg.ankle_mm, leg.foot_mm)
    calf = _girth("calf_mm", leg.calf_mm, leg.foot_mm)
    knee = Girth(leg.knee_mm) if leg.knee_mm is not None else calf
    places = (
        (say("Below the knee"), knee),
        (say("Calf"), calf),
        (say("Ankle"), ankle),
    )
    return [_band(name, girth, line, ease) for name, girth in places]


def _girth(name: str, measured_mm: float | None, foot_mm: float | None) -> Girth:
    if measured_mm is not None:
        return Girth(measured_mm)
    if foot_mm is None:
        msg = f"{name} is None and so is foot_mm; measure one of them"
        raise ValueError(msg)
    return guess_ankle(foot_mm) if name == "ankle_mm" else guess_calf(foot_mm)


def _band(name: str, girth: Girth, line: YarnLine, ease: float) -> Band:
    found = line.line
    if found is None:
        msg = "line has one setting; wash a second swatch of this yarn at another"
        raise ValueError(msg)

    def at(girth_mm: float) -> LegBand:
        return leg_band(
            needles=line.cylinder.needles,
            girth_mm=girth_mm,
            line=found.line,
            ease=ease,
            kw=found.kw,
        )

    band = at(girth.mm)
    low, high = sorted((at(girth.mm - girth.sd_mm).turns, at(girth.mm + girth.sd_mm).turns))
    return Band(name, girth, band, found.at(band.turns), (low, high))
