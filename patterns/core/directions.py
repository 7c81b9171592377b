"""Old directions: what sock each reading of their row counter would give.

Written directions seldom say what the counter covers. The needles fix how wide the sock
is, and a foot of that width has a usual length: the reading whose sock is as long as it is
wide is the likely one.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from patterns.core.bounds import FOOT_MM, ROWS, require_whole
from patterns.core.choice import foot_for_sock_mm
from patterns.core.feet import guess_ball_mm
from patterns.core.fit import COVERS, FitRange, fit_range
from patterns.core.gauge import Gauge, require_washed
from patterns.core.shaping import turn
from patterns.core.words import Phrase, say

LEG_COVERS = ("leg", "leg_heel")
# A foot this many spreads off the usual girth for its length is not counted on.
_SPREADS = 2.0
_STEPS = 8


@dataclass(frozen=True, slots=True)
class FootReading:
    """One way to read the foot count.

    Attributes:
        covers: What the count is taken to cover, one of `fit.COVERS`.
        foot_rows: Rounds between heel and toe that leaves, below 0 when it cannot be.
        fit: The feet that sock fits, None when there is no sock.
        foot_mm: Foot to plan the same sock for [mm], None when there is none.
        sane: Whether some foot is as long and as wide as that sock.
        usual: Whether the usual foot of that length is as wide, too.
        why: What speaks for or against it.
    """

    covers: str
    foot_rows: int
    fit: FitRange | None
    foot_mm: float | None
    sane: bool
    usual: bool
    why: str


@dataclass(frozen=True, slots=True)
class LegReading:
    """One way to read the leg count.

    Attributes:
        covers: "leg", or "leg_heel" when the heel is in the count.
        leg_rows: Rounds from cuff to heel, below 0 when it cannot be.
        height_mm: Floor to top of cuff [mm].
    """

    covers: str
    leg_rows: int
    height_mm: float


def foot_readings(
    *, needles: int, count: int, gauge: Gauge, centre: int | None = None
) -> tuple[FootReading, ...]:
    """Return the sock of every reading of the foot count, in the order of `fit.COVERS`.

    Args:
        needles: Needles in the cylinder, even, 12 to 200.
        count: What the directions let the counter read for the foot, 1 to 5000.
        gauge: Washed gauge to knit them at.
        centre: Needles left at the narrowest of heel and toe.

    Raises:
        ValueError: If an argument is out of range or the gauge is raw.
    """
    require_washed(gauge)
    rows = require_whole("count", count, (1, ROWS[1]))
    turned = turn(needles, centre).rows
    left = [(covers, rows - place * turned) for place, covers in enumerate(COVERS)]
    return tuple(_foot_reading(covers, foot, needles, gauge, centre) for covers, foot in left)


def leg_readings(
    *, needles: int, count: int, gauge: Gauge, centre: int | None = None
) -> tuple[LegReading, ...]:
    """Return the leg of every reading of the leg count; arguments as in `foot_readings`.

    Raises:
        ValueError: If an argument is out of range or the gauge is raw.
    """
    require_washed(gauge)
    rows = require_whole("count", count, (0, ROWS[1]))
    shape = turn(needles, centre)
    return tuple(_leg_readings(rows, shape.rows, shape.passes, gauge))


def _leg_readings(rows: int, turned: int, passes: int, gauge: Gauge) -> Iterator[LegReading]:
    for place, covers in enumerate(LEG_COVERS):
        leg = rows - place * turned
        yield LegReading(covers, leg, max(0, leg + passes) * 100 / gauge.courses_per_10cm)


def _foot_reading(
    covers: str, rows: int, needles: int, gauge: Gauge, centre: int | None
) -> FootReading:
    if rows < 0:
        why = say("the count is {short} short of heel and toe alone", short=-rows)
        return FootReading(covers, rows, None, None, sane=False, usual=False, why=why)
    fit = fit_range(needles=needles, foot_rows=rows, gauge=gauge, centre=centre)
    try:
        foot_mm = foot_for_sock_mm(fit.sock_foot_mm)
    except ValueError:
        why = say("no foot has that length")
        return FootReading(covers, rows, fit, None, sane=False, usual=False, why=why)
    sane, usual, why = _judge(fit)
    return FootReading(covers, rows, fit, foot_mm, sane, usual, why)


def _judge(fit: FitRange) -> tuple[bool, bool, Phrase]:
    low, high = (min(max(foot, FOOT_MM[0]), FOOT_MM[1]) for foot in fit.foot_mm)
    feet = [low + (high - low) * step / _STEPS for step in range(_STEPS + 1)]
    narrow, wide = fit.ball_mm
    for guess in map(guess_ball_mm, feet):
        if narrow <= guess.mean + _SPREADS * guess.sd and wide >= guess.mean - _SPREADS * guess.sd:
            break
    else:
        usual = guess_ball_mm((low + high) / 2).mean
        if usual > wide:
            words = say(
                "far too narrow: feet this long are about {usual:.0f} mm around", usual=usual
            )
        else:
            words = say("far too wide: feet this long are about {usual:.0f} mm around", usual=usual)
        return False, False, words
    closest = min(abs(guess_ball_mm(foot).mean - _within(foot, fit)) for foot in feet)
    if closest:
        return True, False, say("possible, on a foot slimmer or wider than usual")
    return True, True, say("as wide as feet of this length usually are")


def _within(foot_mm: float, fit: FitRange) -> float:
    return min(max(guess_ball_mm(foot_mm).mean, fit.ball_mm[0]), fit.ball_mm[1])
