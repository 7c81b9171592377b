"""Which patterns fit a foot, and two versions side by side."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import Exists, OuterRef
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from patterns.core.fit import FitRange
from patterns.models import PatternVersion
from patterns.services.sizes import Sizes, fit_of, sizes_of
from socktrade.models import Workshop

_SAME = 0.005  # figures that read the same on the page


@dataclass(frozen=True, slots=True)
class Fitting:
    """A pattern that fits a foot."""

    version: PatternVersion
    fit: FitRange
    width_known: bool


@dataclass(frozen=True, slots=True)
class Line:
    """One figure of two versions."""

    name: Promise
    unit: str
    a: Any
    b: Any

    @property
    def a_words(self) -> str | Decimal:
        """The first figure for reading."""
        return _words(self.a)

    @property
    def b_words(self) -> str | Decimal:
        """The second figure for reading."""
        return _words(self.b)

    @property
    def differs(self) -> bool:
        """Whether a maker would see a difference."""
        if isinstance(self.a, float) and isinstance(self.b, float):
            return abs(self.a - self.b) > _SAME
        return bool(self.a != self.b)


# What a maker compares: words, the unit it is shown in, and where it stands.
_COMPARED = (
    (_("Needles"), "", "needles"),
    (_("Top"), "", "get_top_display"),
    (_("Hem rows that show"), "", "hem_rows"),
    (_("Rounds of the rib"), "", "cuff_rows"),
    (_("Leg rows"), "", "leg_rows"),
    (_("Heel passes"), "", "heel_rows"),
    (_("Foot rows"), "", "foot_rows"),
    (_("Toe passes"), "", "toe_rows"),
    (_("Rows in all"), "", "total_rows"),
    (_("Needles left at the turn"), "", "centre"),
    (_("At the toe, if others"), "", "toe_centre"),
    (_("Heel needles beyond half"), "", "deep_heel"),
    (_("Heel gives, of its passes"), "", "heel_factor"),
    (_("Toe gives, of its passes"), "", "toe_factor"),
    (_("Foot it is for"), "mm", "pattern.foot_length_mm"),
    (_("Washed sock foot"), "mm", "sock_foot_mm"),
    (_("Ball of the foot"), "mm", "ball_mm"),
    (_("Around the sock"), "mm", "circumference_mm"),
    (_("Height"), "mm", "height_mm"),
    (_("Ease asked"), "", "ease_asked"),
    (_("Stitches per 10 cm"), "", "wales_per_10cm"),
    (_("Rows per 10 cm"), "", "courses_per_10cm"),
    (_("Swatch"), "", "swatch"),
    (_("Yarn count [tex]"), "", "tex"),
    (_("Yarn in one stitch [cm]"), "", "loop_cm"),
    (_("Length of yarn in a sock"), "m", "metres"),
    (_("Weight of yarn in a sock"), "g", "grams"),
    (_("Planned minutes at the machine, a pair"), "", "machine_minutes"),
)


def fitting_patterns(*, foot_mm: float, ball_mm: float | None) -> list[Fitting]:
    """Return the newest version of every pattern whose sock fits a foot, best first.

    Args:
        foot_mm: Length of the foot [mm].
        ball_mm: Around its ball [mm], None when it was not measured: then length alone
            decides.
    """
    later = PatternVersion.objects.filter(
        pattern=OuterRef("pattern"), number__gt=OuterRef("number")
    )
    newest = PatternVersion.objects.filter(~Exists(later)).select_related("pattern__design")
    found = [Fitting(version, fit_of(version), ball_mm is not None) for version in newest]
    fits = [one for one in found if _fits(one.fit, foot_mm, ball_mm)]
    return sorted(fits, key=lambda one: abs(one.version.pattern.foot_length_mm - foot_mm))


def compare(a: PatternVersion, b: PatternVersion) -> list[Line]:
    """Return the figures of two versions, line by line."""
    return [Line(name, unit, _figure(a, path), _figure(b, path)) for name, unit, path in _COMPARED]


def sizes_of_version(version: PatternVersion, workshop: Workshop) -> Sizes:
    """Return the shoe sizes a version fits."""
    return sizes_of(fit_of(version), workshop)


def _words(figure: Any) -> str | Decimal:
    if figure is None or figure == "":
        return "–"
    if isinstance(figure, float):
        return Decimal(f"{figure:.2f}".rstrip("0").rstrip("."))
    return str(figure)


def _fits(fit: FitRange, foot_mm: float, ball_mm: float | None) -> bool:
    low, high = fit.foot_mm
    if not low <= foot_mm <= high:
        return False
    return ball_mm is None or fit.ball_mm[0] <= ball_mm <= fit.ball_mm[1]


def _figure(version: PatternVersion, path: str) -> Any:
    found: Any = version
    for name in path.split("."):
        found = getattr(found, name)
    return found() if callable(found) else found
