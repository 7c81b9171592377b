"""Where a sock or a pair can be, and which step takes it where. One table, no Django.

The order of finishing steps is common practice: socks come off the machine in one
string, are cut apart, the toe is seamed, they are washed and dried once, blocked,
matched into pairs and tagged.
"""

from collections.abc import Collection
from dataclasses import dataclass
from enum import StrEnum

from patterns.core.words import say


class SockPlace(StrEnum):
    """The one place of a single sock."""

    TO_CUT = "to_cut"
    TO_SEAM = "to_seam"
    TO_WASH = "to_wash"
    TO_DRY = "to_dry"
    TO_BLOCK = "to_block"
    TO_MATE = "to_mate"
    IN_PAIR = "in_pair"
    SCRAP = "scrap"
    UNMADE = "unmade"


class PairPlace(StrEnum):
    """The one place of a pair."""

    TO_TAG = "to_tag"
    SHELF = "shelf"
    STALL = "stall"
    SOLD = "sold"
    GONE = "gone"
    SPLIT = "split"


@dataclass(frozen=True, slots=True)
class Step:
    """One finishing step: what it is called and between which places it carries a sock.

    `again` is what is to be done with socks that are put back to it. `minutes` is the usual
    hand time for one sock [min], common practice: 15 to 20 minutes of toe seaming for a
    pair; the rest from memory.
    """

    key: str
    verb: str
    done: str
    basket: str
    again: str
    start: SockPlace
    end: SockPlace
    minutes: float


STEPS: tuple[Step, ...] = (
    Step(
        "cut",
        say("Cut apart"),
        say("cut"),
        say("To cut"),
        say("to cut apart again"),
        SockPlace.TO_CUT,
        SockPlace.TO_SEAM,
        1.0,
    ),
    Step(
        "seam",
        say("Seam toes"),
        say("seamed"),
        say("To seam"),
        say("to seam toes again"),
        SockPlace.TO_SEAM,
        SockPlace.TO_WASH,
        8.75,
    ),
    Step(
        "wash",
        say("Wash"),
        say("washed"),
        say("To wash"),
        say("to wash again"),
        SockPlace.TO_WASH,
        SockPlace.TO_DRY,
        1.5,
    ),
    Step(
        "dry",
        say("Take in dry"),
        say("dried"),
        say("Drying"),
        say("to take in dry again"),
        SockPlace.TO_DRY,
        SockPlace.TO_BLOCK,
        0.5,
    ),
    Step(
        "block",
        say("Block"),
        say("blocked"),
        say("To block"),
        say("to block again"),
        SockPlace.TO_BLOCK,
        SockPlace.TO_MATE,
        2.0,
    ),
)
MATE_MINUTES, TAG_MINUTES = 0.5, 1.0  # of one sock [min]; from memory
MATE_BASKET, MATE_VERB = say("To mate"), say("Mate")
TAG_BASKET, TAG_VERB = say("To tag"), say("Tag")
STEP_BY_KEY = {step.key: step for step in STEPS}

SOCK_PLACE_NAMES = {
    SockPlace.TO_CUT: say("on the string, to cut"),
    SockPlace.TO_SEAM: say("to seam"),
    SockPlace.TO_WASH: say("to wash"),
    SockPlace.TO_DRY: say("drying"),
    SockPlace.TO_BLOCK: say("to block"),
    SockPlace.TO_MATE: say("to mate"),
    SockPlace.IN_PAIR: say("in a pair"),
    SockPlace.SCRAP: say("scrapped"),
    SockPlace.UNMADE: say("taken back, never made"),
}
PAIR_PLACE_NAMES = {
    PairPlace.TO_TAG: say("to tag"),
    PairPlace.SHELF: say("on the shelf"),
    PairPlace.STALL: say("in the stall box"),
    PairPlace.SOLD: say("sold"),
    PairPlace.GONE: say("gone"),
    PairPlace.SPLIT: say("split into socks again"),
}
IN_WORK: tuple[SockPlace, ...] = (*(step.start for step in STEPS), SockPlace.TO_MATE)

# Forward over steps that a workshop leaves out, never to an earlier basket.
_SOCK_MOVES: dict[SockPlace | None, frozenset[SockPlace]] = {
    # Into a pair at once: stock that was finished before the book began.
    None: frozenset({*IN_WORK, SockPlace.IN_PAIR}),
    **{
        start: frozenset({*IN_WORK[nth:], SockPlace.SCRAP})
        for nth, start in enumerate(IN_WORK, start=1)
    },
    SockPlace.TO_MATE: frozenset({SockPlace.IN_PAIR, SockPlace.SCRAP}),
    SockPlace.IN_PAIR: frozenset({SockPlace.TO_MATE}),
    SockPlace.SCRAP: frozenset(),
    SockPlace.UNMADE: frozenset(),
}
# A pair that left the table is sold whatever the book thought, so every place but
# "sold" itself and "split" leads there.
_PAIR_MOVES: dict[PairPlace | None, frozenset[PairPlace]] = {
    None: frozenset({PairPlace.TO_TAG, PairPlace.SHELF}),
    PairPlace.TO_TAG: frozenset({PairPlace.SHELF, PairPlace.SPLIT, PairPlace.SOLD, PairPlace.GONE}),
    PairPlace.SHELF: frozenset(
        {PairPlace.STALL, PairPlace.SPLIT, PairPlace.SOLD, PairPlace.GONE, PairPlace.TO_TAG}
    ),
    PairPlace.STALL: frozenset({PairPlace.SHELF, PairPlace.SOLD, PairPlace.GONE}),
    PairPlace.SOLD: frozenset({PairPlace.STALL, PairPlace.SHELF}),
    PairPlace.GONE: frozenset({PairPlace.SHELF, PairPlace.SOLD}),
    PairPlace.SPLIT: frozenset(),
}


def sock_may_move(start: SockPlace | None, end: SockPlace) -> bool:
    """Say whether an act may carry a sock from `start` to `end`; undo is not asked."""
    return end in _SOCK_MOVES[start]


def pair_may_move(start: PairPlace | None, end: PairPlace) -> bool:
    """Say whether an act may carry a pair from `start` to `end`; undo is not asked."""
    return end in _PAIR_MOVES[start]


def sock_may_go_back(start: SockPlace, end: SockPlace) -> bool:
    """Say whether a sock may be put back from one basket into an earlier one."""
    return start in IN_WORK and end in IN_WORK and IN_WORK.index(end) < IN_WORK.index(start)


def place_from(place: SockPlace, skipped: Collection[str] = ()) -> SockPlace:
    """Return the first basket from `place` on whose step is done in this workshop.

    Args:
        place: A basket of single socks.
        skipped: Keys of the steps that are not done here.
    """
    for step in STEPS[IN_WORK.index(place) :]:
        if step.key not in skipped:
            return step.start
    return SockPlace.TO_MATE


def step_before(place: SockPlace, skipped: Collection[str] = ()) -> Step | None:
    """Return the step that brought socks into a basket, or None before the first.

    Args:
        place: A basket of single socks.
        skipped: Keys of the steps that are not done here.
    """
    earlier = STEPS[: IN_WORK.index(place)]
    return next((step for step in reversed(earlier) if step.key not in skipped), None)
