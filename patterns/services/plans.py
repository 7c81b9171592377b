"""Planning a sock from a foot, a washed swatch and the cylinders she owns."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from patterns.core.chart import default_height_mm
from patterns.core.feet import BallGuess, guess_ball_mm
from patterns.core.fit import FitRange, fit_range
from patterns.core.notices import Notice
from patterns.core.rowplan import RowPlan, plan_sock
from patterns.errors import CannotPlanError
from patterns.models import GaugeState, Swatch

_SPARE_YARN = 1.05
# What the arithmetic refused by name: the words for it, and the field it was asked in.
_REASONS = {
    "cylinders": ("None of these cylinders can make this sock", "cylinders"),
    "hem_rows": ("The hem is higher than the leg", "hem"),
}


@dataclass(frozen=True, slots=True)
class Wish:
    """What she asked for; None where the book is to fill in a usual figure.

    `ease` is a share; `needles` are the counts of the cylinders to choose from.
    """

    foot_length_mm: float
    swatch: Swatch
    tex: float
    needles: Sequence[int]
    ball_mm: float | None = None
    height_mm: float | None = None
    ease: float = 0.10
    hem_rows: int = 0


@dataclass(frozen=True, slots=True)
class Planned:
    """A plan with everything that was taken for it.

    Attributes:
        wish: What was asked for.
        ball_mm: Ball girth used [mm].
        ball_guess: The guess behind it, None when she measured.
        ball_needles: The cylinders a foot one spread narrower and wider would be
            knitted on, when the girth is guessed.
        height_mm: Height used [mm].
        plan: Rows, yarn and time.
        fit: The feet the sock fits.
        warnings: What to look at, the plan's own and those of this workshop.
    """

    wish: Wish
    ball_mm: float
    ball_guess: BallGuess | None
    ball_needles: tuple[int, ...]
    height_mm: float
    plan: RowPlan
    fit: FitRange
    warnings: tuple[Notice, ...]

    @property
    def grams_a_pair(self) -> float:
        """Yarn in two socks [g]."""
        return 2 * self.plan.grams

    @property
    def grams_to_have(self) -> float:
        """Yarn to have before starting a pair, with the usual spare [g]."""
        return _SPARE_YARN * self.grams_a_pair

    @property
    def rows_knitted(self) -> int:
        """Rows of one sock, the inside of a hem included."""
        return sum(section.rows for section in self.plan.sections)

    @property
    def seal(self) -> str:
        """The figures of the plan in one line, to tell whether it is still the same."""
        plan = self.plan
        rows = f"{plan.leg_rows}-{plan.heel_rows}-{plan.foot_rows}-{plan.toe_rows}"
        return f"{plan.needles}:{rows}:{self.wish.hem_rows}:{plan.grams:.2f}"


def make_plan(wish: Wish) -> Planned:
    """Plan the sock she asked for.

    Raises:
        CannotPlanError: If no sock comes out of these measures; names what would help.
    """
    if wish.swatch.state != GaugeState.WASHED:
        msg = f"“{wish.swatch}” was measured raw. Wash it, measure it again, plan with that."
        raise CannotPlanError(msg, field="swatch")
    guess = guess_ball_mm(wish.foot_length_mm) if wish.ball_mm is None else None
    ball_mm = guess.mean if guess else wish.ball_mm or 0.0
    height_mm = wish.height_mm or default_height_mm(wish.foot_length_mm)
    plan = _plan(wish, ball_mm, height_mm)
    fit = fit_range(
        needles=plan.needles,
        foot_rows=plan.foot_rows,
        gauge=wish.swatch.gauge,
        centre=plan.turn.centre,
    )
    return Planned(
        wish=wish,
        ball_mm=ball_mm,
        ball_guess=guess,
        ball_needles=_needles_at_both_ends(wish, guess, height_mm) if guess else (),
        height_mm=height_mm,
        plan=plan,
        fit=fit,
        warnings=(*plan.warnings, *_borrowed(wish.swatch, plan)),
    )


def _plan(wish: Wish, ball_mm: float, height_mm: float) -> RowPlan:
    try:
        return plan_sock(
            foot_length_mm=wish.foot_length_mm,
            ball_mm=ball_mm,
            height_mm=height_mm,
            gauge=wish.swatch.gauge,
            cylinders=wish.needles,
            tex=wish.tex,
            ease=wish.ease,
            hem_rows=wish.hem_rows,
        )
    except ValueError as problem:
        raise _refusal(str(problem)) from problem


def _refusal(text: str) -> CannotPlanError:
    name, _, rest = text.partition(" ")
    reason = rest.partition("; ")[2].removeprefix("none can make this sock ")
    if name in _REASONS:
        words, field = _REASONS[name]
        return CannotPlanError(f"{words}: {reason.strip('()')}.", field=field)
    return CannotPlanError(f"This cannot be planned: {text}.")


def _needles_at_both_ends(wish: Wish, guess: BallGuess, height_mm: float) -> tuple[int, ...]:
    ends = (guess.mean - guess.sd, guess.mean + guess.sd)
    # A hem fits the chosen leg; on another cylinder it may be too high, so ask without.
    plain = replace(wish, hem_rows=0)
    return tuple(_plan(plain, ball_mm, height_mm).needles for ball_mm in ends)


def _borrowed(swatch: Swatch, plan: RowPlan) -> tuple[Notice, ...]:
    own = swatch.cylinder.needles
    if own == plan.needles:
        return ()
    notice = Notice(
        "borrowed",
        f"Gauge borrowed from your {own}",
        f"the same stitch setting on the {plan.needles} draws another loop",
        f"knit, wash and measure a swatch on the {plan.needles} before a whole string",
    )
    return (notice,)
