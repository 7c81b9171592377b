"""Short-row heel and toe: one needle out at each pass, then back in one by one."""

from dataclasses import dataclass
from functools import lru_cache

from patterns.core.bounds import require_needles, require_whole
from patterns.core.refusal import RefusedError
from patterns.core.words import say


@dataclass(frozen=True, slots=True)
class Turn:
    """One short-row heel or toe.

    Attributes:
        held: Needles the turn is worked on.
        centre: Needles left working at its narrowest.
        passes: Narrowing passes, and as many widening ones.
        rows: All passes; each is a half turn of the crank, there or back.
        loops: Stitches knitted.
    """

    held: int
    centre: int
    passes: int
    rows: int
    loops: int

    @property
    def working(self) -> tuple[int, ...]:
        """Needles knitting in each pass, in order."""
        narrowing = range(self.held - 1, self.centre - 1, -1)
        widening = range(self.centre + 1, self.held + 1)
        return (*narrowing, *widening)


def turn(needles: int, centre: int | None = None, extra: int = 0) -> Turn:
    """Return the short-row turn worked on half the needles of a cylinder.

    Args:
        needles: Needles in the cylinder, even, 12 to 200.
        centre: Needles left at the narrowest: 2 to one less than those held, of the same
            parity so that both sides get equal steps. By default nearest to a third.
        extra: Needles held beyond half, 0, 2 or 4: a deeper heel (common practice).

    Raises:
        ValueError: If an argument is out of range or the centre has the wrong parity.
    """
    needles = require_needles(needles)
    if require_whole("extra", extra, (0, 4)) % 2:
        msg = f"extra is {extra}; allowed: 0, 2 or 4"
        raise ValueError(msg)
    held = needles // 2 + extra
    if centre is None:
        return _turn(held, third(held))
    return _turn(held, _checked_centre(centre, held))


def _checked_centre(centre: int, held: int) -> int:
    values = {"centre": centre, "most": held - 1, "held": held}
    try:
        require_whole("centre", centre, (2, held - 1))
    except ValueError as problem:
        reason = say("centre is {centre}; allowed: a whole number, 2 to {most}", **values)
        raise RefusedError(str(problem), name="centre", reason=reason) from problem
    if (held - centre) % 2 == 0:
        return centre
    if held % 2:
        reason = say("centre is {centre}; allowed: odd, 2 to {most}, as {held} are held", **values)
    else:
        reason = say("centre is {centre}; allowed: even, 2 to {most}, as {held} are held", **values)
    raise RefusedError(str.__str__(reason), name="centre", reason=reason)


@lru_cache(maxsize=512)
def _turn(held: int, centre: int) -> Turn:
    passes = held - centre
    return Turn(held, centre, passes, 2 * passes, held * held - centre * centre)


def third(held: int) -> int:
    """Return the count nearest to a third of `held` with the same parity; never a tie."""
    return min(range(2 + held % 2, held, 2), key=lambda count: abs(3 * count - held))
