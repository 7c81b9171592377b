"""A colour repeat on one pattern: how long it lasts, where the second sock starts."""

from dataclasses import dataclass

from patterns.core.stripes import (
    cuff_rounds,
    discard_m,
    pair_need_m,
    round_m,
    rounds_per_repeat,
)
from patterns.models import PatternVersion

_TURNS = ("heel", "toe")


@dataclass(frozen=True, slots=True)
class Stripes:
    """What a colour repeat does on one version.

    Attributes:
        round_m: Yarn in one plain round [m].
        rounds: Plain rounds in one repeat.
        used_m: Yarn of the repeat in the first sock [m].
        weighed: Whether that was weighed, not planned.
        discard_m: To pull off before the second sock [m].
        discard_g: The same [g].
        cuff_rounds: Rounds a longer cuff would take instead.
        need_m: For the pair, the discard in it [m].
        need_g: The same [g].
        slip_rounds: Rounds that one percent of error in `used_m` shifts the colours.
    """

    round_m: float
    rounds: float
    used_m: float
    weighed: bool
    discard_m: float
    discard_g: float
    cuff_rounds: float
    need_m: float
    need_g: float
    slip_rounds: float


def stripes_of(
    version: PatternVersion, *, repeat_m: float, used_m: float | None, plain_turns: bool
) -> Stripes:
    """Reckon a colour repeat on a version.

    Args:
        version: What is knitted.
        repeat_m: Length of the whole colour repeat [m].
        used_m: Yarn the first sock took [m], None for the planned figure.
        plain_turns: Whether heel and toe are of another yarn.
    """
    a_round = round_m(version.needles, version.loop_cm)
    used = planned_m(version, plain_turns=plain_turns) if used_m is None else used_m
    discard, need = discard_m(used, repeat_m), pair_need_m(used, repeat_m)
    return Stripes(
        round_m=a_round,
        rounds=rounds_per_repeat(repeat_m, version.needles, version.loop_cm),
        used_m=used,
        weighed=used_m is not None,
        discard_m=discard,
        discard_g=discard * version.tex / 1000,
        cuff_rounds=cuff_rounds(discard, version.needles, version.loop_cm),
        need_m=need,
        need_g=need * version.tex / 1000,
        slip_rounds=used / 100 / a_round,
    )


def planned_m(version: PatternVersion, *, plain_turns: bool) -> float:
    """Return the yarn of one sock, heel and toe left out when they are of another [m]."""
    turns = sum(part["metres"] for part in version.sections if part["name"] in _TURNS)
    return version.metres - (turns if plain_turns else 0.0)
