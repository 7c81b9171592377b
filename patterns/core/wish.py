"""What a sock shall be, checked once before anything is computed from it."""

from dataclasses import dataclass
from typing import TypedDict

from patterns.core.bounds import (
    BALL_MM,
    COURSES_PER_10CM,
    EASE,
    FACTOR,
    FOOT_MM,
    HEIGHT_MM,
    LOOP_CM,
    TEX,
    nearest,
    require,
    require_whole,
)
from patterns.core.gauge import KS_WASHED, Gauge, loop_length_cm, require_washed
from patterns.core.refusal import RefusedError
from patterns.core.tops import Top, top_named
from patterns.core.words import say

_HEM_ROWS = (0, 200)
_DEEP_HEELS = (0, 2, 4)
_YARN_SHARE = (0.3, 1.5)


class Extras(TypedDict, total=False):
    """What `plan_sock` takes beyond the measures; every one has a usual value.

    Attributes:
        heel_factor: Length the heel really gives, as a share of its passes, 0.3 to 1.3;
            usually 1, or learned from a washed sock.
        toe_factor: The same for the toe.
        loop_cm: Measured yarn in one stitch [cm]; replaces the one from gauge and ks.
        ks: Munden's constant, 10 to 40; usually 23.1.
        centre: Needles left at the narrowest of heel and toe; usually a third.
        toe_centre: The same for the toe alone.
        deep_heel: Needles the heel holds beyond half the cylinder, 0, 2 or 4.
        top: Kind of top, one of `tops.TOPS`; a cylinder its repeat does not go into is
            passed over. Usually "plain".
        cuff_mm: Height of a cuff in rib or mock rib [mm], part of the height; usually 0.
        cuff_courses_per_10cm: Its own washed rows [per 10 cm]; rib is not plain fabric.
        cuff_yarn_share: Its yarn per round against a plain one; mock rib about 0.8.
    """

    heel_factor: float
    toe_factor: float
    loop_cm: float | None
    ks: float
    centre: int | None
    toe_centre: int | None
    deep_heel: int
    top: str
    cuff_mm: float
    cuff_courses_per_10cm: float | None
    cuff_yarn_share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """The arguments of `plan_sock`, with their names and units.

    Raises:
        ValueError: If one is out of range, the gauge is raw, or a hem meets a cuff.
    """

    foot_length_mm: float
    ball_mm: float
    height_mm: float
    gauge: Gauge
    tex: float
    ease: float = 0.10
    hem_rows: int = 0
    heel_factor: float = 1.0
    toe_factor: float = 1.0
    loop_cm: float | None = None
    ks: float = KS_WASHED
    centre: int | None = None
    toe_centre: int | None = None
    deep_heel: int = 0
    top: str = "plain"
    cuff_mm: float = 0.0
    cuff_courses_per_10cm: float | None = None
    cuff_yarn_share: float = 1.0

    def __post_init__(self) -> None:
        require_washed(self.gauge)
        require("foot_length_mm", self.foot_length_mm, FOOT_MM, "mm")
        require("ball_mm", self.ball_mm, BALL_MM, "mm")
        require("height_mm", self.height_mm, HEIGHT_MM, "mm")
        require("tex", self.tex, TEX)
        require("ease", self.ease, EASE)
        require("heel_factor", self.heel_factor, FACTOR)
        require("toe_factor", self.toe_factor, FACTOR)
        if self.deep_heel not in _DEEP_HEELS:
            msg = f"deep_heel is {self.deep_heel!r:.40}; allowed: 0, 2 or 4"
            raise ValueError(msg)
        if self.loop_cm is not None:
            require("loop_cm", self.loop_cm, LOOP_CM, "cm")
        self._check_top()

    def _check_top(self) -> None:
        top_named(self.top)
        require_whole("hem_rows", self.hem_rows, _HEM_ROWS)
        self._check_cuff()
        require("cuff_yarn_share", self.cuff_yarn_share, _YARN_SHARE)
        require("cuff_courses_per_10cm", self.cuff_courses, COURSES_PER_10CM)
        if self.hem_rows and self.cuff_rows:
            msg = f"hem_rows is {self.hem_rows}; allowed: 0 with a cuff, a top is one or the other"
            reason = say("allowed: 0 with a cuff, a top is one or the other")
            raise RefusedError(msg, name="hem_rows", reason=reason)

    def _check_cuff(self) -> None:
        try:
            require("cuff_mm", self.cuff_mm, (0, self.height_mm), "mm")
        except ValueError as problem:
            reason = say("allowed: 0 to {most:g} mm", most=self.height_mm)
            raise RefusedError(str(problem), name="cuff_mm", reason=reason) from problem

    @property
    def loop(self) -> float:
        """Yarn in one stitch, measured or from the gauge [cm]."""
        from_gauge = loop_length_cm(self.gauge, self.ks)
        return from_gauge if self.loop_cm is None else self.loop_cm

    @property
    def start(self) -> Top:
        """The top the sock starts with."""
        return top_named(self.top)

    @property
    def centre_of_toe(self) -> int | None:
        """Needles left at the narrowest of the toe, None for the usual third."""
        return self.centre if self.toe_centre is None else self.toe_centre

    @property
    def cuff_courses(self) -> float:
        """Rows of the cuff [per 10 cm]."""
        own = self.cuff_courses_per_10cm
        return self.gauge.courses_per_10cm if own is None else own

    @property
    def cuff_rows(self) -> int:
        """Rounds of the cuff."""
        return nearest(self.cuff_mm * self.cuff_courses / 100)
