"""Whether a lot reaches for what is about to be knitted, and when the yarn runs out.

Pairs are counted with a twentieth to spare for tension, joins and tails (common practice). Both
socks of a pair come from one lot: shades differ between lots (common practice).
"""

import datetime as dt
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from patterns.core.words import say, say_count

MARGIN: Final = 0.05
"""Tension, joins, tails and a dropped start cost a few rows."""


@dataclass(frozen=True, slots=True)
class Reach:
    """How far a lot goes.

    Attributes:
        pairs: Whole pairs that it gives.
        wanted_pairs: Pairs asked for.
        need_g: What the wanted pairs take, with the margin [g].
        left_g: On hand less reserve less need [g]; below 0 when it is short.
        odd_sock: Whether what is left after whole pairs would still start one more sock, so that
            half a pair could be knitted by mistake.
        ways: What to do when it is short, best first.
    """

    pairs: int
    wanted_pairs: int
    need_g: float
    left_g: float
    odd_sock: bool
    ways: tuple[str, ...]

    @property
    def is_enough(self) -> bool:
        """Whether every wanted pair can be finished."""
        return self.pairs >= self.wanted_pairs


def pairs_within(grams: float, *, sock_g: float, reserve_g: float) -> int:
    """Return the whole pairs that a lot still gives.

    Args:
        grams: On hand [g].
        sock_g: Planned for one sock [g].
        reserve_g: Kept back for mending [g].

    Raises:
        ValueError: If a sock weighs nothing or the reserve is negative.
    """
    if not sock_g > 0:
        msg = f"sock_g is {sock_g} g; a sock weighs more than 0 g."
        raise ValueError(msg)
    if not reserve_g >= 0:
        msg = f"reserve_g is {reserve_g} g; keep back 0 g or more."
        raise ValueError(msg)
    return max(0, int((grams - reserve_g) / (2 * sock_g * (1 + MARGIN)) + 1e-9))


def reach(
    grams: float,
    *,
    sock_g: float,
    turn_g: float,
    reserve_g: float,
    wanted_pairs: int,
    other_lot: str = "",
) -> Reach:
    """Say whether a lot reaches for the wanted pairs, and the ways out if it does not.

    Args:
        grams: On hand [g].
        sock_g: One sock, as learned or planned [g].
        turn_g: Of it in heel and toe [g].
        reserve_g: Kept back for mending [g].
        wanted_pairs: Pairs to be knitted.
        other_lot: Name of another lot of the same colour that has yarn; empty if there is none.

    Raises:
        ValueError: If a weight is out of range or `wanted_pairs` is below 1.
    """
    if wanted_pairs < 1:
        msg = f"wanted_pairs is {wanted_pairs}; ask for 1 pair or more."
        raise ValueError(msg)
    pairs = pairs_within(grams, sock_g=sock_g, reserve_g=reserve_g)
    one = sock_g * (1 + MARGIN)
    need = 2 * one * wanted_pairs
    spare = grams - reserve_g - 2 * one * pairs
    short = pairs < wanted_pairs
    return Reach(
        pairs=pairs,
        wanted_pairs=wanted_pairs,
        need_g=need,
        left_g=grams - reserve_g - need,
        odd_sock=short and spare >= one,
        ways=_ways(grams - reserve_g, one, turn_g, wanted_pairs, other_lot, pairs) if short else (),
    )


def _ways(
    usable: float, one: float, turn_g: float, wanted: int, other_lot: str, pairs: int
) -> tuple[str, ...]:
    ways = []
    main = 2 * wanted * (one - turn_g * (1 + MARGIN))
    if turn_g > 0 and usable >= main:
        ways.append(
            say(
                "Knit heel and toe of {other}: leg and foot then take {grams:mass0}, and this lot "
                "reaches.",
                other=other_lot or say("another yarn"),
                grams=float(main),
            )
        )
    if other_lot:
        ways.append(
            say(
                "Alternate two rounds of this lot and two of {other} in both socks of each pair, "
                "so that no line shows where the shade changes.",
                other=other_lot,
            )
        )
    if pairs:
        ways.append(
            say_count(
                "Knit {count} pair and stop at a whole pair.",
                "Knit {count} pairs and stop at a whole pair.",
                pairs,
            )
        )
    else:
        ways.append(say("Start no pair of it: keep it for heels, toes and stripes."))
    return tuple(ways)


@dataclass(frozen=True, slots=True)
class Need:
    """Grams of a yarn that a planned pair or batch will take on a day [g]."""

    yarn: Hashable
    grams: float
    on: dt.date


@dataclass(frozen=True, slots=True)
class RunsLow:
    """One yarn beside what is planned of it.

    Attributes:
        yarn: Which.
        on_hand_g: On hand less what is kept back [g].
        need_g: All that is planned [g].
        runs_out_on: First day on which the plan asks for more than there is; None if it reaches.
    """

    yarn: Hashable
    on_hand_g: float
    need_g: float
    runs_out_on: dt.date | None

    @property
    def short_g(self) -> float:
        """Grams to buy for the plan [g]; 0 when it reaches."""
        return max(0.0, self.need_g - self.on_hand_g)


def running_low(on_hand_g: Mapping[Hashable, float], needs: Iterable[Need]) -> list[RunsLow]:
    """Return every planned yarn, the one that runs out first at the top.

    Args:
        on_hand_g: Usable grams of each yarn [g]; a yarn that is not in it has none.
        needs: What is planned.

    Raises:
        ValueError: If a need is negative.
    """
    used: dict[Hashable, float] = {}
    out: dict[Hashable, dt.date] = {}
    for need in sorted(needs, key=lambda one: one.on):
        if need.grams < 0:
            msg = f"grams of {need.yarn} is {need.grams} g; a need is 0 g or more."
            raise ValueError(msg)
        used[need.yarn] = used.get(need.yarn, 0.0) + need.grams
        if used[need.yarn] > on_hand_g.get(need.yarn, 0.0):
            out.setdefault(need.yarn, need.on)
    rows = [
        RunsLow(yarn, on_hand_g.get(yarn, 0.0), grams, out.get(yarn))
        for yarn, grams in used.items()
    ]
    return sorted(rows, key=lambda row: (row.runs_out_on or dt.date.max, -row.short_g))


def waste_yarn_m(*, socks: int, rounds: int, needles: int, loop_cm: float) -> float:
    """Return the waste yarn of a string: so many rounds before, between and after its socks [m].

    Args:
        socks: In the string.
        rounds: Of waste yarn each time.
        needles: Of the cylinder.
        loop_cm: Yarn in one stitch [cm].

    Raises:
        ValueError: If a count is negative or the loop is not above 0 cm.
    """
    if min(socks, rounds, needles) < 0 or not loop_cm > 0:
        msg = (
            f"socks, rounds, needles and loop_cm are {socks}, {rounds}, {needles}, {loop_cm}; "
            "counts are 0 or more and a loop is above 0 cm."
        )
        raise ValueError(msg)
    return (socks + 1) * rounds * needles * loop_cm / 100
