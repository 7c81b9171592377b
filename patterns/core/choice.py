"""Which of her cylinders makes a sock, and why the others do not."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from patterns.core.bounds import FOOT_MM, MM_PER_INCH, nearest, require, require_needles
from patterns.core.refusal import RefusedError
from patterns.core.shaping import Turn, turn
from patterns.core.wish import Wish
from patterns.core.words import Phrase, say

# Half an inch short of an adult foot; on a small foot that would be far too much.
_SHORTER_MM = MM_PER_INCH / 2
_SHORTER_SHARE = 0.05
_LEAST_FOOT_ROWS = 4


class Considered(NamedTuple):
    """A cylinder that was weighed up and what became of it."""

    needles: int
    ease: float
    foot_rows: int
    reason: str


@dataclass(frozen=True, slots=True)
class Candidate:
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


def foot_for_sock_mm(sock_foot_mm: float) -> float:
    """Return the foot a sock of this foot is wanted for [mm]: the way back.

    Raises:
        ValueError: If that foot is not 60 to 400 mm.
    """
    long = sock_foot_mm + _SHORTER_MM
    foot = long if long * _SHORTER_SHARE >= _SHORTER_MM else sock_foot_mm / (1 - _SHORTER_SHARE)
    return require("foot_length_mm", foot, FOOT_MM, "mm")


def try_cylinders(cylinders: Iterable[int], wish: Wish) -> tuple[list[Candidate], list[Candidate]]:
    """Return every cylinder by needle count, and those that work, best first.

    Raises:
        ValueError: If there is none, one is no cylinder, or none works.
    """
    counts = sorted({require_needles(count, "cylinders") for count in cylinders})
    if not counts:
        msg = "cylinders is empty; allowed: one or more needle counts"
        reason = say("allowed: one or more needle counts")
        raise RefusedError(msg, name="cylinders", reason=reason)
    tried = [_candidate(count, wish) for count in counts]
    ranked = sorted((c for c in tried if not c.fault), key=lambda c: (c.off, c.needles))
    if not ranked:
        raise _none_left(tried)
    return tried, ranked


def considered(cylinder: Candidate, best: int, runner_up: int | None) -> Considered:
    """Return what became of a cylinder, in words."""
    off = say("{off:.1f} needles from the wanted circumference", off=cylinder.off)
    if cylinder.fault:
        reason = say("passed over: {fault}", fault=cylinder.fault)
    elif cylinder.needles == best:
        reason = say("chosen: {reason}", reason=off)
    elif cylinder.needles == runner_up:
        reason = say("second best: {reason}", reason=off)
    else:
        reason = off
    return Considered(cylinder.needles, cylinder.ease, cylinder.foot_rows, reason)


def _candidate(needles: int, wish: Wish) -> Candidate:
    wales, courses = wish.gauge.wales_per_10cm / 100, wish.gauge.courses_per_10cm / 100
    try:
        heel = turn(needles, wish.centre, wish.deep_heel)
        toe = turn(needles, wish.centre_of_toe)
    except RefusedError as refusal:
        # A centre that suits one cylinder may not suit the next: pass over, do not stop.
        plain = turn(needles)
        return Candidate(needles, plain, plain, 0.0, 0.0, 0, 0, refusal.reason)
    heel_length = wish.heel_factor * heel.passes
    foot = (
        courses * wanted_sock_foot_mm(wish.foot_length_mm)
        - heel_length
        - wish.toe_factor * toe.passes
    )
    foot_rows = nearest(foot)
    plain_rows = nearest(courses * (wish.height_mm - wish.cuff_mm) - heel_length)
    return Candidate(
        needles=needles,
        heel=heel,
        toe=toe,
        # Adding zero turns a rounded -0.0 into 0.0: an exact fit is no negative ease.
        ease=round(1 - needles / wales / wish.ball_mm, 12) + 0.0,
        # Rounded so that two equally near ones tie instead of a float deciding.
        off=round(abs(needles - wish.ball_mm * (1 - wish.ease) * wales), 9),
        leg_rows=plain_rows + wish.cuff_rows,
        foot_rows=foot_rows,
        fault=_top_fault(needles, wish) or _fault(needles, foot_rows, plain_rows),
    )


def _top_fault(needles: int, wish: Wish) -> str:
    top = wish.start
    if needles % top.divisor == 0:
        return ""
    return say("{top} needs a count that divides by {divisor}", top=top.name, divisor=top.divisor)


def _fault(needles: int, foot_rows: int, plain_rows: int) -> str:
    if foot_rows < _LEAST_FOOT_ROWS:
        return say(
            "{needles} needles are too many for this foot, heel and toe leave "
            "{foot_rows} foot rows and {least} are needed",
            needles=needles,
            foot_rows=foot_rows,
            least=_LEAST_FOOT_ROWS,
        )
    if plain_rows < 0:
        return say(
            "the heel of {needles} needles alone is higher than this sock's leg", needles=needles
        )
    return ""


def _none_left(tried: Sequence[Candidate]) -> RefusedError:
    counts = ", ".join(str(c.needles) for c in tried)
    faults = [say("{needles}: {fault}", needles=c.needles, fault=c.fault) for c in tried]
    reasons: Phrase = faults[0]
    for fault in faults[1:]:
        reasons = say("{one}; {other}", one=reasons, other=fault)
    english = "; ".join(faults)
    msg = f"cylinders is {counts}; none can make this sock ({english})"
    return RefusedError(msg, name="cylinders", reason=reasons)
