"""Pairs that are not finished yet: which socks they are, and what they still take."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from production.core.places import IN_WORK, STEPS, PairPlace, SockPlace
from production.models import Pair, Quality, Sock
from production.services.basket_queries import learned_paces
from production.services.steps import steps_off

WASHED = frozenset({SockPlace.TO_DRY, SockPlace.TO_BLOCK, SockPlace.TO_MATE})


@dataclass(frozen=True, slots=True)
class Underway:
    """One pair in progress.

    Attributes:
        pattern_id: Its kind.
        version_id: What it was knitted from.
        lot_id: The lot of its socks.
        minutes: All minutes it still takes [min].
        machine_minutes: Of these, knitting the partner of an odd sock [min].
        baskets: Where its socks are: keys of steps, "mate" or "tag", one for each sock.
    """

    pattern_id: int
    version_id: int
    lot_id: int
    minutes: float
    machine_minutes: float
    baskets: tuple[str, ...]

    @property
    def is_odd(self) -> bool:
        """Whether a partner is still to be knitted."""
        return self.machine_minutes > 0


@dataclass(frozen=True, slots=True)
class Hands:
    """Hand time from each basket to the shelf [min].

    Attributes:
        after: Minutes that one sock still takes from a place on [min].
        tag: Minutes that tagging a pair takes [min].
    """

    after: Mapping[str, float]
    tag: float


def hands() -> Hands:
    """Return the hand time still ahead of a sock in each basket, at her own pace."""
    paces, off = learned_paces(), steps_off()
    ahead = paces["mate"].minutes
    after = {str(SockPlace.TO_MATE): ahead}
    for step in reversed(STEPS):
        ahead += 0.0 if step.key in off else paces[step.key].minutes
        after[str(step.start)] = ahead
    return Hands(after, 0.0 if "tag" in off else paces["tag"].minutes)


def pairs_underway(*, washed_only: bool = False) -> dict[int, list[Underway]]:
    """Return by pattern id the pairs in progress, the least left to do first.

    Only firsts of one version and lot make a pair; what is left over is an odd sock that waits
    for a partner to be knitted.

    Args:
        washed_only: Leave out what is not washed yet: it would not dry in time.
    """
    hand = hands()
    found: dict[int, list[Underway]] = defaultdict(list)
    for pair in Pair.objects.filter(place=PairPlace.TO_TAG):
        found[pair.pattern_id].append(
            Underway(pair.pattern_id, pair.version_id, pair.lot_id, hand.tag, 0.0, ("tag",))
        )
    places = WASHED if washed_only else IN_WORK
    socks = Sock.objects.filter(place__in=places, quality=Quality.FIRST).select_related("version")
    alike: dict[tuple[int, int], list[Sock]] = defaultdict(list)
    for sock in socks:
        alike[sock.version_id, sock.lot_id].append(sock)
    for members in alike.values():
        found[members[0].version.pattern_id] += _couples(members, hand, washed_only=washed_only)
    return {pk: _in_order(rows) for pk, rows in found.items()}


def _couples(socks: Iterable[Sock], hand: Hands, *, washed_only: bool) -> Iterable[Underway]:
    waiting = sorted(socks, key=lambda sock: (hand.after[sock.place], sock.pk))
    for left, right in zip(waiting[::2], waiting[1::2], strict=False):
        minutes = hand.after[left.place] + hand.after[right.place] + hand.tag
        yield _underway(left, minutes, 0.0, (left, right))
    if len(waiting) % 2 and not washed_only:
        odd = waiting[-1]
        machine = odd.version.machine_minutes / 2
        partner = machine + hand.after[str(SockPlace.TO_CUT)]
        yield _underway(odd, hand.after[odd.place] + partner + hand.tag, machine, (odd,))


def _underway(sock: Sock, minutes: float, machine: float, members: Sequence[Sock]) -> Underway:
    baskets = tuple(_basket(member.place) for member in members)
    return Underway(
        sock.version.pattern_id, sock.version_id, sock.lot_id, minutes, machine, baskets
    )


def _basket(place: str) -> str:
    return next((step.key for step in STEPS if step.start == place), "mate")


def _in_order(rows: Iterable[Underway]) -> list[Underway]:
    return sorted(rows, key=lambda one: (one.machine_minutes, one.minutes))
