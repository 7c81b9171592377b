"""Which patterns fit a foot, and two versions side by side."""

from dataclasses import dataclass
from typing import Any

from django.db.models import Exists, OuterRef

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

    name: str
    unit: str
    a: Any
    b: Any

    @property
    def a_words(self) -> str:
        """The first figure for reading."""
        return _words(self.a)

    @property
    def b_words(self) -> str:
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
    ("Needles", "", "needles"),
    ("Top", "", "get_top_display"),
    ("Hem rows that show", "", "hem_rows"),
    ("Rounds of the rib", "", "cuff_rows"),
    ("Leg rows", "", "leg_rows"),
    ("Heel passes", "", "heel_rows"),
    ("Foot rows", "", "foot_rows"),
    ("Toe passes", "", "toe_rows"),
    ("Rows in all", "", "total_rows"),
    ("Needles left at the turn", "", "centre"),
    ("At the toe, if others", "", "toe_centre"),
    ("Heel needles beyond half", "", "deep_heel"),
    ("Heel gives, of its passes", "", "heel_factor"),
    ("Toe gives, of its passes", "", "toe_factor"),
    ("Foot it is for", "mm", "pattern.foot_length_mm"),
    ("Washed sock foot", "mm", "sock_foot_mm"),
    ("Ball of the foot", "mm", "ball_mm"),
    ("Around the sock", "mm", "circumference_mm"),
    ("Height", "mm", "height_mm"),
    ("Ease asked", "", "ease_asked"),
    ("Stitches per 10 cm", "", "wales_per_10cm"),
    ("Rows per 10 cm", "", "courses_per_10cm"),
    ("Swatch", "", "swatch"),
    ("Yarn count [tex]", "", "tex"),
    ("Yarn in one stitch [cm]", "", "loop_cm"),
    ("Metres in a sock", "", "metres"),
    ("Grams in a sock", "", "grams"),
    ("Planned minutes at the machine, a pair", "", "machine_minutes"),
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


def _words(figure: Any) -> str:
    if figure is None or figure == "":
        return "–"
    if isinstance(figure, float):
        return f"{figure:.2f}".rstrip("0").rstrip(".")
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
