"""The row plan of a sock: which cylinder, how many rows of each part, how much yarn."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

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
from patterns.core.choice import Candidate, Considered, Wish, considered, try_cylinders
from patterns.core.gauge import KS_WASHED, Gauge, loop_length_cm, require_washed
from patterns.core.notices import Fitting, Notice, notices
from patterns.core.shaping import Turn

# Trade figures, common practice: replaced by the maker's own logged times.
_MINUTES_TO_SET_UP = 12.0
_SECONDS_PER_ROUND = 2.0
_SECONDS_PER_PASS = 8.0
SEAM_MINUTES = 17.5

_TAIL_CM = 20.0
_YARN_SHARE = (0.3, 1.5)


@dataclass(frozen=True, slots=True)
class Section:
    """One part of the sock in knitting order.

    Attributes:
        name: "hem", "cuff", "leg", "heel", "foot" or "toe".
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
        leg_rows: Rounds from cuff to heel, those of a hem or cuff included.
        cuff_rows: Rounds of a cuff in rib, by its own gauge.
        heel_rows: Short-row passes of the heel.
        foot_rows: Rounds between heel and toe.
        toe_rows: Short-row passes of the toe.
        total_rows: Sum of these four.
        circumference_mm: Around the finished tube [mm].
        ease: Share by which the tube is smaller than the foot.
        sock_foot_mm: Length of the foot that the whole rows give [mm].
        sock_height_mm: Height, floor to cuff, that the whole rows give [mm].
        loops: Stitches in one sock, floats of mock rib and a hem's hidden rounds included.
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
    cuff_rows: int
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
class _Yarn:
    tex: float
    loop_cm: float
    cuff_share: float


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
    cuff_mm: float = 0.0,
    cuff_courses_per_10cm: float | None = None,
    cuff_yarn_share: float = 1.0,
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
        cuff_mm: Height of a cuff in rib or mock rib [mm], part of the height, 0 for none.
        cuff_courses_per_10cm: Its own washed rows [per 10 cm]; rib is not plain fabric.
        cuff_yarn_share: Its yarn per round against a plain one; mock rib about 0.8.

    Raises:
        ValueError: If an argument is out of range, the gauge is raw, or no cylinder works.
    """
    require_washed(gauge)
    cuff_courses = gauge.courses_per_10cm
    if cuff_courses_per_10cm is not None:
        cuff_courses = require("cuff_courses_per_10cm", cuff_courses_per_10cm, COURSES_PER_10CM)
    height_mm = require("height_mm", height_mm, HEIGHT_MM, "mm")
    cuff_mm = require("cuff_mm", cuff_mm, (0, height_mm), "mm")
    wish = Wish(
        foot_mm=require("foot_length_mm", foot_length_mm, FOOT_MM, "mm"),
        ball_mm=require("ball_mm", ball_mm, BALL_MM, "mm"),
        height_mm=height_mm,
        ease=require("ease", ease, EASE),
        hem_rows=require_whole("hem_rows", hem_rows, (0, 200)),
        heel_factor=require("heel_factor", heel_factor, FACTOR),
        toe_factor=require("toe_factor", toe_factor, FACTOR),
        centre=centre,
        toe_centre=centre if toe_centre is None else toe_centre,
        deep_heel=deep_heel,
        cuff_mm=cuff_mm,
        cuff_rows=nearest(cuff_mm * cuff_courses / 100),
        cuff_row_mm=100 / cuff_courses,
    )
    if wish.hem_rows and wish.cuff_rows:
        msg = f"hem_rows is {hem_rows}; allowed: 0 with a cuff, as the top is one or the other"
        raise ValueError(msg)
    share = require("cuff_yarn_share", cuff_yarn_share, _YARN_SHARE)
    tex = require("tex", tex, TEX)
    loop = loop_length_cm(gauge, ks)
    if loop_cm is not None:
        loop = require("loop_cm", loop_cm, LOOP_CM, "cm")
    tried, ranked = try_cylinders(cylinders, wish, gauge)
    return _plan(wish, gauge, _Yarn(tex, loop, share), tried, ranked)


def _plan(
    wish: Wish,
    gauge: Gauge,
    yarn: _Yarn,
    tried: Sequence[Candidate],
    ranked: Sequence[Candidate],
) -> RowPlan:
    best = ranked[0]
    if wish.hem_rows > best.leg_rows:
        msg = f"hem_rows is {wish.hem_rows}; allowed: 0 to the leg's {best.leg_rows} rows"
        raise ValueError(msg)
    sections = tuple(_sections(best, wish, yarn))
    runner_up = ranked[1].needles if len(ranked) > 1 else None
    row_mm = 100 / gauge.courses_per_10cm
    heel_length = wish.heel_factor * best.heel.passes
    foot_length = heel_length + best.foot_rows + wish.toe_factor * best.toe.passes
    return RowPlan(
        needles=best.needles,
        turn=best.heel,
        toe_turn=best.toe,
        leg_rows=best.leg_rows,
        cuff_rows=wish.cuff_rows,
        heel_rows=best.heel.rows,
        foot_rows=best.foot_rows,
        toe_rows=best.toe.rows,
        total_rows=best.leg_rows + best.heel.rows + best.foot_rows + best.toe.rows,
        circumference_mm=100 * best.needles / gauge.wales_per_10cm,
        ease=best.ease,
        sock_foot_mm=foot_length * row_mm,
        sock_height_mm=(heel_length + best.leg_rows - wish.cuff_rows) * row_mm
        + wish.cuff_rows * wish.cuff_row_mm,
        loops=sum(section.loops for section in sections),
        loop_cm=yarn.loop_cm,
        metres=sum(section.metres for section in sections),
        grams=sum(section.grams for section in sections),
        graft_tail_cm=best.toe.held * yarn.loop_cm + _TAIL_CM,
        machine_minutes=_machine_minutes(sections),
        seam_minutes=SEAM_MINUTES,
        runner_up=runner_up,
        considered=tuple(considered(c, best.needles, runner_up) for c in tried),
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
                tex=yarn.tex,
                loop_cm=yarn.loop_cm,
            )
        ),
    )


def _sections(best: Candidate, wish: Wish, yarn: _Yarn) -> Iterator[Section]:
    needles, hem, cuff = best.needles, wish.hem_rows, wish.cuff_rows
    leg = best.leg_rows - hem - cuff
    if hem:
        # Outside, turning row, inside: the fold shows only the first of the three.
        rounds = 2 * hem + 1
        yield _section("hem", rounds, needles * rounds, yarn)
    if cuff:
        yield _section("cuff", cuff, needles * cuff, yarn, yarn.cuff_share)
    yield _section("leg", leg, needles * leg, yarn)
    yield _section("heel", best.heel.rows, best.heel.loops, yarn)
    yield _section("foot", best.foot_rows, needles * best.foot_rows, yarn)
    yield _section("toe", best.toe.rows, best.toe.loops, yarn)


def _section(name: str, rows: int, loops: int, yarn: _Yarn, share: float = 1.0) -> Section:
    metres = loops * yarn.loop_cm * share / 100
    return Section(name, rows, loops, metres, metres * yarn.tex / 1000)


def _machine_minutes(sections: Iterable[Section]) -> float:
    seconds = sum(
        part.rows * (_SECONDS_PER_PASS if part.name in {"heel", "toe"} else _SECONDS_PER_ROUND)
        for part in sections
    )
    return 2 * (_MINUTES_TO_SET_UP + seconds / 60)
