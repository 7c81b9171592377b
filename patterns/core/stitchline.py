"""What one yarn does at each stitch setting of one cylinder, learned from her swatches.

To first order the loop grows by the same length with each turn of the stitch screw, and
stitches and rows follow the loop: wales = kw / loop, courses = kc / loop. Both constants
are taken from her own swatches, so that the line passes through what she measured.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum

from patterns.core.bounds import COURSES_PER_10CM, LOOP_CM, WALES_PER_10CM, require
from patterns.core.gauge import Gauge, SettingLine, fit_setting, require_washed


@dataclass(frozen=True, slots=True)
class Band:
    """One washed swatch at one setting.

    Attributes:
        turns: Stitch setting [turns from her mark].
        gauge: Its washed gauge.
        loop_cm: Yarn in one stitch [cm], measured or from the gauge.
    """

    turns: float
    gauge: Gauge
    loop_cm: float

    def __post_init__(self) -> None:
        require_washed(self.gauge)
        require("loop_cm", self.loop_cm, LOOP_CM, "cm")


@dataclass(frozen=True, slots=True)
class Reading:
    """A gauge and the setting it belongs to.

    Attributes:
        turns: Stitch setting [turns from her mark].
        gauge: Washed gauge.
        loop_cm: Yarn in one stitch [cm].
        tried: Whether the setting lies between those of her swatches; else the line guesses.
    """

    turns: float
    gauge: Gauge
    loop_cm: float
    tried: bool


@dataclass(frozen=True, slots=True)
class StitchLine:
    """Loop, stitches and rows against turns of the screw, for one yarn on one cylinder.

    Attributes:
        line: Loop length against turns.
        kw: Stitches per cm times loop length.
        kc: Rows per cm times loop length.
    """

    line: SettingLine
    kw: float
    kc: float

    def at(self, turns: float) -> Reading:
        """Return the washed gauge that a setting gives.

        Raises:
            ValueError: If no fabric comes out of that setting.
        """
        loop = self.line.loop_cm(turns)
        gauge = Gauge(10 * self.kw / loop, 10 * self.kc / loop)
        low, high = self.line.turns
        return Reading(turns, gauge, loop, low <= round(turns, 9) <= high)

    def for_wales(self, wales_per_10cm: float) -> Reading:
        """Return the setting that gives so many stitches across.

        Raises:
            ValueError: If the count [per 10 cm] is out of range or no setting gives it.
        """
        return self._for("wales_per_10cm", wales_per_10cm, WALES_PER_10CM, self.kw)

    def for_courses(self, courses_per_10cm: float) -> Reading:
        """Return the setting that gives so many rows along.

        Raises:
            ValueError: If the count [per 10 cm] is out of range or no setting gives it.
        """
        return self._for("courses_per_10cm", courses_per_10cm, COURSES_PER_10CM, self.kc)

    def _for(self, name: str, count: float, allowed: tuple[float, float], k: float) -> Reading:
        return self.at(self.line.turns_for(10 * k / require(name, count, allowed)))


def fit_bands(bands: Sequence[Band]) -> StitchLine:
    """Fit the line through washed swatches at two or more settings.

    Raises:
        ValueError: If fewer than two settings differ.
    """
    line = fit_setting([band.turns for band in bands], [band.loop_cm for band in bands])
    kw = fsum(band.gauge.wales_per_10cm * band.loop_cm for band in bands) / len(bands) / 10
    kc = fsum(band.gauge.courses_per_10cm * band.loop_cm for band in bands) / len(bands) / 10
    return StitchLine(line, kw, kc)
