"""Planning a sock from a foot, a washed swatch and the cylinders she owns."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from patterns.core.chart import CHART, ChartRow, default_height_mm
from patterns.core.feet import BallGuess, guess_ball_mm
from patterns.core.fit import FitRange, fit_range
from patterns.core.notices import Notice
from patterns.core.refusal import RefusedError
from patterns.core.rowplan import RowPlan, plan_sock
from patterns.core.tops import Top, mock_rib_yarn_share, needle_pitch_mm, top_named
from patterns.core.wish import Extras
from patterns.core.words import Phrase, say
from patterns.errors import CannotPlanError
from patterns.models import GaugeState, Swatch, TopKind
from patterns.services.gauges import TakenGauge, take_gauge

SPARE_YARN = 1.05
# Across the needles of a usual adult set (common practice), where she did not measure hers.
_USUAL_DIAMETER_MM = 114.3
# A usual rib is as high as some small socks: at most this share of the height.
_MOST_CUFF = 0.6
# What the arithmetic refused by name: the field it was asked in.
_FIELDS = {"cylinders": "cylinders", "hem_rows": "hem", "cuff_mm": "cuff"}


@dataclass(frozen=True, slots=True)
class Wish:
    """What she asked for; None where the book is to fill in a usual figure.

    `ease` is a share; `needles` are the counts of the cylinders to choose from; `hem_rows`
    and `cuff_mm` belong to the `top`; `setting` is another stitch setting than the swatch's.
    """

    foot_length_mm: float
    swatch: Swatch
    tex: float
    needles: Sequence[int]
    ball_mm: float | None = None
    height_mm: float | None = None
    ease: float = 0.10
    top: str = TopKind.PLAIN
    hem_rows: int = 0
    cuff_mm: float | None = None
    cuff_swatch: Swatch | None = None
    centre: int | None = None
    toe_centre: int | None = None
    deep_heel: int = 0
    heel_factor: float = 1.0
    toe_factor: float = 1.0
    setting: Decimal | None = None
    chart: Sequence[ChartRow] = CHART

    @property
    def start(self) -> Top:
        """The top; rows of a hem without a name are a hung hem."""
        if self.top == TopKind.PLAIN and self.hem_rows:
            return top_named(TopKind.HUNG_HEM)
        return top_named(self.top)


@dataclass(frozen=True, slots=True)
class Planned:
    """A plan with everything that was taken for it.

    Attributes:
        wish: What was asked for.
        taken: The gauge planned with.
        top: How the sock starts.
        hem_rows: Rows of a hem that show.
        cuff_courses_per_10cm: Rows of a cuff in rib [per 10 cm], None without one.
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
    taken: TakenGauge
    top: Top
    hem_rows: int
    cuff_courses_per_10cm: float | None
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
    def metres_a_pair(self) -> float:
        """Yarn in two socks [m]."""
        return 2 * self.plan.metres

    @property
    def grams_to_have(self) -> float:
        """Yarn to have before starting a pair, with the usual spare [g]."""
        return SPARE_YARN * self.grams_a_pair

    @property
    def rows_knitted(self) -> int:
        """Rows of one sock, the inside of a hem included."""
        return sum(section.rows for section in self.plan.sections)

    @property
    def seal(self) -> str:
        """The figures of the plan in one line, to tell whether it is still the same."""
        plan = self.plan
        rows = f"{plan.leg_rows}-{plan.heel_rows}-{plan.foot_rows}-{plan.toe_rows}"
        top = f"{self.top.kind}-{self.hem_rows}-{plan.cuff_rows}"
        return f"{plan.needles}:{rows}:{top}:{plan.grams:.2f}"


def make_plan(wish: Wish) -> Planned:
    """Plan the sock she asked for.

    Raises:
        CannotPlanError: If no sock comes out of these measures; names what would help.
    """
    _require_washed(wish)
    taken = take_gauge(wish.swatch, wish.setting)
    guess = guess_ball_mm(wish.foot_length_mm) if wish.ball_mm is None else None
    ball_mm = guess.mean if guess else wish.ball_mm or 0.0
    height_mm = wish.height_mm or default_height_mm(wish.foot_length_mm, wish.chart)
    wish = replace(wish, hem_rows=_hem_rows(wish))
    extras = _extras(wish, taken, height_mm)
    plan = _plan(wish, taken, ball_mm, height_mm, extras)
    return Planned(
        wish=wish,
        taken=taken,
        top=wish.start,
        hem_rows=wish.hem_rows,
        cuff_courses_per_10cm=extras.get("cuff_courses_per_10cm") if plan.cuff_rows else None,
        ball_mm=ball_mm,
        ball_guess=guess,
        ball_needles=_needles_at_both_ends(wish, taken, guess, height_mm) if guess else (),
        height_mm=height_mm,
        plan=plan,
        fit=_fit(wish, taken, plan),
        warnings=(*plan.warnings, *_of_gauge(wish, taken, plan)),
    )


def _require_washed(wish: Wish) -> None:
    for swatch, field in ((wish.swatch, "swatch"), (wish.cuff_swatch, "cuff_swatch")):
        if swatch is not None and swatch.state != GaugeState.WASHED:
            msg = say(
                "“{swatch}” was measured raw. Wash it, measure it again, plan with that.",
                swatch=swatch,
            )
            raise CannotPlanError(msg, field=field)


def _hem_rows(wish: Wish) -> int:
    if not wish.start.is_hem:
        return 0
    return wish.hem_rows or wish.start.rows


def _extras(wish: Wish, taken: TakenGauge, height_mm: float) -> Extras:
    extras = Extras(
        heel_factor=wish.heel_factor,
        toe_factor=wish.toe_factor,
        loop_cm=taken.loop_cm,
        centre=wish.centre,
        toe_centre=wish.toe_centre,
        deep_heel=wish.deep_heel,
        top=wish.start.kind,
    )
    if wish.start.is_cuff:
        rib = wish.cuff_swatch
        courses = rib.courses_per_10cm if rib else taken.gauge.courses_per_10cm
        usual = min(100 * wish.start.rows / courses, _MOST_CUFF * height_mm)
        extras["cuff_mm"] = usual if wish.cuff_mm is None else wish.cuff_mm
        extras["cuff_courses_per_10cm"] = courses
        extras["cuff_yarn_share"] = _cuff_yarn_share(wish, taken)
    return extras


def _cuff_yarn_share(wish: Wish, taken: TakenGauge) -> float:
    cylinder = wish.swatch.cylinder
    loop = taken.loop_cm or wish.swatch.loop_cm
    rib_loop = wish.cuff_swatch.measured_loop_cm if wish.cuff_swatch else None
    if rib_loop is not None:
        return min(max(rib_loop / loop, 0.3), 1.5)
    if wish.start.kind != TopKind.MOCK_RIB:
        return 1.0
    pitch = needle_pitch_mm(cylinder.diameter_mm or _USUAL_DIAMETER_MM, cylinder.needles)
    return mock_rib_yarn_share(pitch, loop)


def _plan(
    wish: Wish, taken: TakenGauge, ball_mm: float, height_mm: float, extras: Extras
) -> RowPlan:
    try:
        return plan_sock(
            foot_length_mm=wish.foot_length_mm,
            ball_mm=ball_mm,
            height_mm=height_mm,
            gauge=taken.gauge,
            cylinders=wish.needles,
            tex=wish.tex,
            ease=wish.ease,
            hem_rows=wish.hem_rows,
            **extras,
        )
    except RefusedError as problem:
        raise CannotPlanError(_words(problem), field=_FIELDS.get(problem.name)) from problem
    except ValueError as problem:
        msg = say("This cannot be planned: {problem}.", problem=problem)
        raise CannotPlanError(msg) from problem


def _words(problem: RefusedError) -> Phrase:
    if problem.name == "cylinders":
        return say("None of these cylinders can make this sock: {why}.", why=problem.reason)
    if problem.name == "hem_rows":
        return say("The hem is higher than the leg: {why}.", why=problem.reason)
    if problem.name == "cuff_mm":
        return say("The cuff is higher than the sock: {why}.", why=problem.reason)
    return say("This cannot be planned: {problem}.", problem=problem.reason)


def _fit(wish: Wish, taken: TakenGauge, plan: RowPlan) -> FitRange:
    return fit_range(
        needles=plan.needles,
        foot_rows=plan.foot_rows,
        gauge=taken.gauge,
        centre=plan.turn.centre,
        toe_centre=plan.toe_turn.centre,
        deep_heel=wish.deep_heel,
        heel_factor=wish.heel_factor,
        toe_factor=wish.toe_factor,
    )


def _needles_at_both_ends(
    wish: Wish, taken: TakenGauge, guess: BallGuess, height_mm: float
) -> tuple[int, ...]:
    ends = (guess.mean - guess.sd, guess.mean + guess.sd)
    # A hem fits the chosen leg; on another cylinder it may be too high, so ask without.
    plain = replace(wish, hem_rows=0)
    extras = _extras(plain, taken, height_mm)
    return tuple(_plan(plain, taken, ball, height_mm, extras).needles for ball in ends)


def _of_gauge(wish: Wish, taken: TakenGauge, plan: RowPlan) -> Iterator[Notice]:
    own = wish.swatch.cylinder.needles
    if own != plan.needles:
        yield Notice(
            "borrowed",
            say("Gauge borrowed from your {needles}", needles=own),
            say(
                "the same stitch setting on the {needles} draws another loop",
                needles=plan.needles,
            ),
            say(
                "knit, wash and measure a swatch on the {needles} before a whole string",
                needles=plan.needles,
            ),
        )
    if not taken.tried:
        yield Notice(
            "setting",
            say(
                "Setting {setting:g} lies outside the settings you tried",
                setting=float(wish.setting or 0),
            ),
            say("beyond your swatches the line only guesses"),
            say("knit, wash and measure a swatch at this setting"),
        )
    if plan.cuff_rows and wish.cuff_swatch is None:
        yield Notice(
            "rib",
            say("The rows of the rib are reckoned with the plain gauge"),
            say("rib draws in and has a gauge of its own"),
            say("knit, wash and measure a swatch in this rib, and plan with it"),
        )
