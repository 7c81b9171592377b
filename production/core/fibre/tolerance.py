"""How far a stated percent may lie from the sock (16 CFR 303.43; 15 U.S.C. 68b; EU Art. 20)."""

from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal

from patterns.core.words import say
from production.core.fibre.label import show
from production.core.fibre.part import exact

Level = Literal["ok", "warn", "alarm"]

TEXTILE_ACT: Final = "16 CFR 303"
WOOL_ACT: Final = "16 CFR 300"
EU_RULE: Final = "EU 1007/2011"
UK_RULE: Final = "UK SI 2012/1102"
ACTS: Final = (TEXTILE_ACT, WOOL_ACT, EU_RULE, UK_RULE)


@dataclass(frozen=True, slots=True)
class Tolerance:
    """Verdict on one stated percent.

    Attributes:
        ok: Whether the statement may stand as it is.
        level: `ok`, `warn` or `alarm`.
        points: Distance between stated and actual [points of total fibre weight].
        reason: The numbers and the section behind the verdict.
    """

    ok: bool
    level: Level
    points: float
    reason: str


def tolerance_check(stated: float, actual: float, act: str) -> Tolerance:
    """Judge a stated percent against the actual one, edges exact.

    Args:
        stated: Percent on the label [0 to 100].
        actual: Percent in the sock [0 to 100].
        act: One of the four rule sets, as in `Label.act`.

    Raises:
        ValueError: If a percent is outside 0 to 100 or the act is not known.
    """
    for name, value in (("stated", stated), ("actual", actual)):
        if not 0 <= value <= 100:
            msg = f"{name} is {value} %; use 0 to 100 %."
            raise ValueError(msg)
    if act not in ACTS:
        msg = f"act is {act!r}; use one of {', '.join(ACTS)}."
        raise ValueError(msg)
    return judge(exact(stated), exact(actual), act)


def judge(stated: Fraction, actual: Fraction, act: str) -> Tolerance:
    """Judge exact percents; see `tolerance_check`."""
    points = abs(stated - actual)
    level, rule = _level(stated, points, act)
    reason = say(
        "{stated} % stated, {actual} % found: {points} points off; {rule}.",
        stated=show(stated),
        actual=show(actual),
        points=show(points),
        rule=rule,
    )
    return Tolerance(level != "alarm", level, float(points), reason)


def _level(stated: Fraction, points: Fraction, act: str) -> tuple[Level, str]:
    if act == WOOL_ACT:
        level: Level = "alarm" if points > 3 else "warn" if points > 1 else "ok"
        return level, say("15 U.S.C. 68b names no figure, over 1 warns and over 3 alarms here")
    if stated == 100 and act == TEXTILE_ACT:
        said = say("303.43 gives no tolerance to a claim of one fibre")
        return ("alarm" if points else "ok"), said
    if stated == 100:
        said = say("Art. 7 and 20(2) bear 2 % of stray fibre")
        return ("alarm" if points > 2 else "ok"), said
    rule = "303.43" if act == TEXTILE_ACT else "Art. 20(3)"
    return ("alarm" if points > 3 else "ok"), say("{rule} bears 3 points", rule=rule)
