"""The row plan of a sock: which cylinder, how many rows of each part, how much yarn."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Unpack

from patterns.core.choice import Candidate, Considered, considered, try_cylinders
from patterns.core.gauge import Gauge
from patterns.core.notices import Fitting, Notice, notices
from patterns.core.refusal import RefusedError
from patterns.core.sections import section_title
from patterns.core.shaping import Turn
from patterns.core.tops import hem_rounds
from patterns.core.wish import Extras, Wish
from patterns.core.words import say

# Trade figures, common practice: replaced by the maker's own logged times.
_MINUTES_TO_SET_UP = 12.0
_SECONDS_PER_ROUND = 2.0
_SECONDS_PER_PASS = 8.0
SEAM_MINUTES = 17.5

_TAIL_CM = 20.0


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

    @property
    def title(self) -> str:
        """The section for reading."""
        return section_title(self.name)


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


def plan_sock(
    *,
    foot_length_mm: float,
    ball_mm: float,
    height_mm: float,
    gauge: Gauge,
    cylinders: Iterable[int],
    tex: float,
    ease: float = 0.10,
    hem_rows: int = 0,
    **extras: Unpack[Extras],
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
        **extras: Learned and rarer values by keyword; see `Extras`.

    Raises:
        ValueError: If an argument is out of range, the gauge is raw, or no cylinder works.
    """
    wish = Wish(
        foot_length_mm=foot_length_mm,
        ball_mm=ball_mm,
        height_mm=height_mm,
        gauge=gauge,
        tex=tex,
        ease=ease,
        hem_rows=hem_rows,
        **extras,
    )
    tried, ranked = try_cylinders(cylinders, wish)
    if hem_rows > ranked[0].leg_rows:
        most = ranked[0].leg_rows
        msg = f"hem_rows is {hem_rows}; allowed: 0 to the leg's {most} rows"
        reason = say("allowed: 0 to the leg's {most} rows", most=most)
        raise RefusedError(msg, name="hem_rows", reason=reason)
    return _plan(wish, tried, ranked)


def _plan(wish: Wish, tried: Sequence[Candidate], ranked: Sequence[Candidate]) -> RowPlan:
    best, gauge, loop = ranked[0], wish.gauge, wish.loop
    sections = tuple(_sections(best, wish, loop))
    runner_up = ranked[1].needles if len(ranked) > 1 else None
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
        sock_foot_mm=_foot_mm(best, wish),
        sock_height_mm=_height_mm(best, wish),
        loops=sum(section.loops for section in sections),
        loop_cm=loop,
        metres=sum(section.metres for section in sections),
        grams=sum(section.grams for section in sections),
        graft_tail_cm=best.toe.held * loop + _TAIL_CM,
        machine_minutes=_machine_minutes(sections),
        seam_minutes=SEAM_MINUTES,
        runner_up=runner_up,
        considered=tuple(considered(c, best.needles, runner_up) for c in tried),
        sections=sections,
        warnings=_warnings(best, wish, loop),
    )


def _foot_mm(best: Candidate, wish: Wish) -> float:
    turned = wish.heel_factor * best.heel.passes + wish.toe_factor * best.toe.passes
    return (turned + best.foot_rows) * 100 / wish.gauge.courses_per_10cm


def _height_mm(best: Candidate, wish: Wish) -> float:
    plain = wish.heel_factor * best.heel.passes + best.leg_rows - wish.cuff_rows
    cuff_mm = wish.cuff_rows * 100 / wish.cuff_courses
    return plain * 100 / wish.gauge.courses_per_10cm + cuff_mm


def _sections(best: Candidate, wish: Wish, loop_cm: float) -> Iterator[Section]:
    parts = (
        # The fold of a hem shows only some of its rounds, but every one takes yarn.
        ("hem", hem_rounds(wish.hem_rows), None),
        ("cuff", wish.cuff_rows, None),
        ("leg", best.leg_rows - wish.hem_rows - wish.cuff_rows, None),
        ("heel", best.heel.rows, best.heel.loops),
        ("foot", best.foot_rows, None),
        ("toe", best.toe.rows, best.toe.loops),
    )
    for name, rows, turned in parts:
        if name in {"hem", "cuff"} and not rows:
            continue
        loops = best.needles * rows if turned is None else turned
        share = wish.cuff_yarn_share if name == "cuff" else 1.0
        metres = loops * loop_cm * share / 100
        yield Section(name, rows, loops, metres, metres * wish.tex / 1000)


def _warnings(best: Candidate, wish: Wish, loop_cm: float) -> tuple[Notice, ...]:
    fitting = Fitting(
        needles=best.needles,
        ease=best.ease,
        leg_rows=best.leg_rows,
        foot_mm=wish.foot_length_mm,
        ball_mm=wish.ball_mm,
        height_mm=wish.height_mm,
        gauge=wish.gauge,
        tex=wish.tex,
        loop_cm=loop_cm,
    )
    return notices(fitting)


def _machine_minutes(sections: Iterable[Section]) -> float:
    seconds = sum(
        part.rows * (_SECONDS_PER_PASS if part.name in {"heel", "toe"} else _SECONDS_PER_ROUND)
        for part in sections
    )
    return 2 * (_MINUTES_TO_SET_UP + seconds / 60)
