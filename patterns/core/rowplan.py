"""The row plan of a sock: which cylinder, how many rows of each part, how much yarn."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from patterns.core.bounds import (
    BALL_MM,
    EASE,
    FACTOR,
    FOOT_MM,
    HEIGHT_MM,
    LOOP_CM,
    MM_PER_INCH,
    TEX,
    nearest,
    require,
    require_needles,
    require_whole,
)
from patterns.core.gauge import KS_WASHED, Gauge, loop_length_cm, require_washed
from patterns.core.notices import Fitting, Notice, notices
from patterns.core.shaping import Turn, turn

# Half an inch short of an adult foot; on a small foot that would be far too much.
_SHORTER_MM = MM_PER_INCH / 2
_SHORTER_SHARE = 0.05
_LEAST_FOOT_ROWS = 4

# Trade figures, common practice: replaced by the maker's own logged times.
_MINUTES_TO_SET_UP = 12.0
_SECONDS_PER_ROUND = 2.0
_SECONDS_PER_PASS = 8.0
SEAM_MINUTES = 17.5

_TAIL_CM = 20.0


class Considered(NamedTuple):
    """A cylinder that was weighed up and what became of it."""

    needles: int
    ease: float
    foot_rows: int
    reason: str


@dataclass(frozen=True, slots=True)
class Section:
    """One part of the sock in knitting order.

    Attributes:
        name: "hem", "leg", "heel", "foot" or "toe".
        rows: Rounds, or short-row passes in heel and toe. A hem counts every round
            knitted for it, so its inside and its turning row are in here.
        loops: Stitches knitted.
        metres: Yarn [m].
        grams: Yarn [g].
    """

    name: str
    rows: int
    loops: int
    metres: float
    grams: float


@dataclass(frozen=True, slots=True)
class RowPlan:
    """Rows, yarn and time of one sock on one cylinder.

    Attributes:
        needles: Needles of the chosen cylinder.
        turn: The short-row heel.
        toe_turn: The short-row toe, the same unless asked otherwise.
        leg_rows: Rounds from cuff to heel, a hem's visible ones included.
        heel_rows: Short-row passes of the heel.
        foot_rows: Rounds between heel and toe.
        toe_rows: Short-row passes of the toe.
        total_rows: Sum of these four.
        circumference_mm: Around the finished tube [mm].
        ease: Share by which the tube is smaller than the foot.
        sock_foot_mm: Length of the foot that the whole rows give [mm].
        sock_height_mm: Height, floor to cuff, that the whole rows give [mm].
        loops: Stitches in one sock, a hem's hidden rounds included.
        loop_cm: Yarn in one stitch [cm].
        metres: Yarn in one sock [m].
        grams: Yarn in one sock [g].
        graft_tail_cm: Yarn to leave for the toe seam [cm], not in `metres`.
        machine_minutes: Cranking a pair [min].
        seam_minutes: Closing the toes of a pair [min].
        runner_up: Needles of the second-best cylinder, or None.
        considered: Every cylinder with its reason, by needle count.
        sections: The parts in knitting order.
        warnings: What to look at before knitting, each with reason and cure.
    """

    needles: int
    turn: Turn
    toe_turn: Turn
    leg_rows: int
    heel_rows: int
    foot_rows: int
    toe_rows: int
    total_rows: int
    circumference_mm: float
    ease: float
    sock_foot_mm: float
    sock_height_mm: float
    loops: int
    loop_cm: float
    metres: float
    grams: float
    graft_tail_cm: float
    machine_minutes: float
    seam_minutes: float
    runner_up: int | None
    considered: tuple[Considered, ...]
    sections: tuple[Section, ...]
    warnings: tuple[Notice, ...]


@dataclass(frozen=True, slots=True)
class _Wish:
    """What was asked for, checked."""

    foot_mm: float
    ball_mm: float
    height_mm: float
    ease: float
    hem_rows: int
    heel_factor: float
    toe_factor: float
    centre: int | None
    toe_centre: int | None
    deep_heel: int


@dataclass(frozen=True, slots=True)
class _Cylinder:
    """One cylinder with the sock it would make."""

    needles: int
    heel: Turn
    toe: Turn
    ease: float
    off: float
    leg_rows: int
    foot_rows: int
    fault: str


def wanted_sock_foot_mm(foot_length_mm: float) -> float:
    """Return the sock foot wanted for a foot [mm]: half an inch shorter, at most 5 %.

    Raises:
        ValueError: If the foot is not 60 to 400 mm.
    """
    foot = require("foot_length_mm", foot_length_mm, FOOT_MM, "mm")
    return foot - min(_SHORTER_MM, _SHORTER_SHARE * foot)


def plan_sock(  # noqa: PLR0913 - each measure of the sock is a keyword of its own
    *,
    foot_length_mm: float,
    ball_mm: float,
    height_mm: float,
    gauge: Gauge,
    cylinders: Iterable[int],
    tex: float,
    ease: float = 0.10,
    hem_rows: int = 0,
    heel_factor: float = 1.0,
    toe_factor: float = 1.0,
    loop_cm: float | None = None,
    ks: float = KS_WASHED,
    centre: int | None = None,
    toe_centre: int | None = None,
    deep_heel: int = 0,
) -> RowPlan:
    """Plan a sock with a short-row heel and toe on the best of the cylinders.

    The best cylinder comes nearest to the wanted circumference; of two equally near the
    smaller. One that leaves fewer than 4 foot rows, or whose heel alone is higher than
    the sock, is passed over.

    Args:
        foot_length_mm: Foot length [mm], 60 to 400.
        ball_mm: Circumference of the foot at the ball [mm], 60 to 450.
        height_mm: Floor to top of cuff [mm], 20 to 600.
        gauge: Washed gauge.
        cylinders: Needle counts she owns, even, 12 to 200.
        tex: Yarn count [g/km], 10 to 2000.
        ease: Share by which the sock shall be smaller around than the foot, 0 to 0.25.
        hem_rows: Visible rounds of a hung hem, 0 for none; at most the leg rows.
        heel_factor: Length the heel really gives, as a share of its passes, 0.3 to 1.3.
        toe_factor: The same for the toe.
        loop_cm: Measured yarn in one stitch [cm]; replaces the one from gauge and ks.
        ks: Munden's constant, 10 to 40.
        centre: Needles left at the narrowest of heel and toe.
        toe_centre: The same for the toe alone.
        deep_heel: Needles the heel holds beyond half the cylinder, 0, 2 or 4.

    Raises:
        ValueError: If an argument is out of range, the gauge is raw, or no cylinder works.
    """
    require_washed(gauge)
    wish = _Wish(
        foot_mm=require("foot_length_mm", foot_length_mm, FOOT_MM, "mm"),
        ball_mm=require("ball_mm", ball_mm, BALL_MM, "mm"),
        height_mm=require("height_mm", height_mm, HEIGHT_MM, "mm"),
        ease=require("ease", ease, EASE),
        hem_rows=require_whole("hem_rows", hem_rows, (0, 200)),
        heel_factor=require("heel_factor", heel_factor, FACTOR),
        toe_factor=require("toe_factor", toe_factor, FACTOR),
        centre=centre,
        toe_centre=centre if toe_centre is None else toe_centre,
        deep_heel=deep_heel,
    )
    tex = require("tex", tex, TEX)
    loop = loop_length_cm(gauge, ks)
    if loop_cm is not None:
        loop = require("loop_cm", loop_cm, LOOP_CM, "cm")
    tried = [_cylinder(count, wish, gauge) for count in _counts(cylinders)]
    ranked = sorted((c for c in tried if not c.fault), key=lambda c: (c.off, c.needles))
    if not ranked:
        raise ValueError(_none_left(tried))
    return _plan(wish, gauge, tex, loop, tried, ranked)


def _counts(cylinders: Iterable[int]) -> list[int]:
    counts = sorted({require_needles(count, "cylinders") for count in cylinders})
    if not counts:
        msg = "cylinders is empty; allowed: one or more needle counts"
        raise ValueError(msg)
    return counts


def _cylinder(needles: int, wish: _Wish, gauge: Gauge) -> _Cylinder:
    wales, courses = gauge.wales_per_10cm / 100, gauge.courses_per_10cm / 100
    try:
        heel = turn(needles, wish.centre, wish.deep_heel)
        toe = turn(needles, wish.toe_centre)
    except ValueError as refusal:
        # A centre that suits one cylinder may not suit the next: pass over, do not stop.
        if wish.centre is None and wish.toe_centre is None:
            raise
        plain = turn(needles)
        return _Cylinder(needles, plain, plain, 0.0, 0.0, 0, 0, str(refusal))
    heel_length = wish.heel_factor * heel.passes
    foot = courses * wanted_sock_foot_mm(wish.foot_mm) - heel_length - wish.toe_factor * toe.passes
    foot_rows, leg_rows = nearest(foot), nearest(courses * wish.height_mm - heel_length)
    return _Cylinder(
        needles=needles,
        heel=heel,
        toe=toe,
        # Adding zero turns a rounded -0.0 into 0.0: an exact fit is no negative ease.
        ease=round(1 - needles / wales / wish.ball_mm, 12) + 0.0,
        # Rounded so that two equally near ones tie instead of a float deciding.
        off=round(abs(needles - wish.ball_mm * (1 - wish.ease) * wales), 9),
        leg_rows=leg_rows,
        foot_rows=foot_rows,
        fault=_fault(needles, foot_rows, leg_rows),
    )


def _fault(needles: int, foot_rows: int, leg_rows: int) -> str:
    if foot_rows < _LEAST_FOOT_ROWS:
        return (
            f"passed over: {needles} needles are too many for this foot, heel and toe leave "
            f"{foot_rows} foot rows and {_LEAST_FOOT_ROWS} are needed"
        )
    if leg_rows < 0:
        return f"passed over: the heel of {needles} needles alone is higher than this sock"
    return ""


def _none_left(tried: Sequence[_Cylinder]) -> str:
    counts = ", ".join(str(c.needles) for c in tried)
    reasons = "; ".join(f"{c.needles}: {c.fault.removeprefix('passed over: ')}" for c in tried)
    return f"cylinders is {counts}; none can make this sock ({reasons})"


def _plan(
    wish: _Wish,
    gauge: Gauge,
    tex: float,
    loop_cm: float,
    tried: Sequence[_Cylinder],
    ranked: Sequence[_Cylinder],
) -> RowPlan:
    best = ranked[0]
    if wish.hem_rows > best.leg_rows:
        msg = f"hem_rows is {wish.hem_rows}; allowed: 0 to the leg's {best.leg_rows} rows"
        raise ValueError(msg)
    sections = _sections(best, wish.hem_rows, loop_cm, tex)
    runner_up = ranked[1].needles if len(ranked) > 1 else None
    row_mm = 100 / gauge.courses_per_10cm
    heel_length = wish.heel_factor * best.heel.passes
    foot_length = heel_length + best.foot_rows + wish.toe_factor * best.toe.passes
    loops = sum(section.loops for section in sections)
    metres = loops * loop_cm / 100
    return RowPlan(
        needles=best.needles,
        turn=best.heel,
        toe_turn=best.toe,
        leg_rows=best.leg_rows,
        heel_rows=best.heel.rows,
        foot_rows=best.foot_rows,
        toe_rows=best.toe.rows,
        total_rows=best.leg_rows + best.heel.rows + best.foot_rows + best.toe.rows,
        circumference_mm=100 * best.needles / gauge.wales_per_10cm,
        ease=best.ease,
        sock_foot_mm=foot_length * row_mm,
        sock_height_mm=(heel_length + best.leg_rows) * row_mm,
        loops=loops,
        loop_cm=loop_cm,
        metres=metres,
        grams=metres * tex / 1000,
        graft_tail_cm=best.toe.held * loop_cm + _TAIL_CM,
        machine_minutes=_machine_minutes(sections),
        seam_minutes=SEAM_MINUTES,
        runner_up=runner_up,
        considered=tuple(_considered(c, best.needles, runner_up) for c in tried),
        sections=sections,
        warnings=notices(
            Fitting(
                needles=best.needles,
                ease=best.ease,
                leg_rows=best.leg_rows,
                foot_mm=wish.foot_mm,
                ball_mm=wish.ball_mm,
                height_mm=wish.height_mm,
                gauge=gauge,
                tex=tex,
                loop_cm=loop_cm,
            )
        ),
    )


def _sections(best: _Cylinder, hem_rows: int, loop_cm: float, tex: float) -> tuple[Section, ...]:
    needles = best.needles
    parts = [
        ("leg", best.leg_rows - hem_rows, needles * (best.leg_rows - hem_rows)),
        ("heel", best.heel.rows, best.heel.loops),
        ("foot", best.foot_rows, needles * best.foot_rows),
        ("toe", best.toe.rows, best.toe.loops),
    ]
    if hem_rows:
        # Outside, turning row, inside: the fold shows only the first of the three.
        rounds = 2 * hem_rows + 1
        parts.insert(0, ("hem", rounds, needles * rounds))
    return tuple(
        Section(name, rows, loops, loops * loop_cm / 100, loops * loop_cm * tex / 100_000)
        for name, rows, loops in parts
    )


def _machine_minutes(sections: Iterable[Section]) -> float:
    seconds = sum(
        part.rows * (_SECONDS_PER_PASS if part.name in {"heel", "toe"} else _SECONDS_PER_ROUND)
        for part in sections
    )
    return 2 * (_MINUTES_TO_SET_UP + seconds / 60)


def _considered(cylinder: _Cylinder, best: int, runner_up: int | None) -> Considered:
    reason = cylinder.fault or f"{cylinder.off:.1f} needles from the wanted circumference"
    if cylinder.needles == best:
        reason = f"chosen: {reason}"
    elif cylinder.needles == runner_up:
        reason = f"second best: {reason}"
    return Considered(cylinder.needles, cylinder.ease, cylinder.foot_rows, reason)
