"""What goes together in the mating basket, and which socks stay odd."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Count

from patterns.core.words import say
from patterns.models import PatternVersion
from production.core.mating import mate, row_mm, tolerance_of
from production.core.places import IN_WORK, SockPlace
from production.models import DyeLot, Quality, Sock

Kind = tuple[int, int, str]


@dataclass(frozen=True, slots=True)
class Proposal:
    """Two socks that go together, and how far apart their feet are [mm]."""

    left: Sock
    right: Sock
    difference_mm: int

    @property
    def quality(self) -> str:
        """The quality of the pair: that of its worse sock."""
        return worse(self.left.quality, self.right.quality)

    @property
    def is_mixed(self) -> bool:
        """Whether a first goes with a second."""
        return self.left.quality != self.right.quality

    @property
    def rows(self) -> int:
        """How far apart they are in whole rows."""
        return round(self.difference_mm / row_mm(self.left.version.courses_per_10cm))


@dataclass(frozen=True, slots=True)
class OddSock:
    """A sock without a partner, what would mate it, and the nearest of its kind [mm apart]."""

    sock: Sock
    wants: str
    foot_mm: int
    nearest: Sock | None
    difference_mm: int


@dataclass(frozen=True, slots=True)
class MatingTable:
    """Proposals and the socks that found no partner."""

    proposals: tuple[Proposal, ...]
    odd: tuple[Sock, ...]


@dataclass(frozen=True, slots=True)
class UnderWay:
    """Socks of one version and lot that are not in a pair yet.

    Attributes:
        version: What was knitted.
        lot: Of which yarn.
        socks: Firsts and seconds in the baskets [socks].
    """

    version: PatternVersion
    lot: DyeLot
    socks: int

    @property
    def odd(self) -> bool:
        """Whether one is left over, so that one more sock makes a pair."""
        return self.socks % 2 == 1


def propose_mates(*, tolerance_mm: int, tolerance_rows: int | None = None) -> MatingTable:
    """Match the mating basket: most pairs first, then the least difference.

    Only socks of one pattern version and one lot are matched. Firsts go with firsts and
    seconds with seconds; what is left of both goes together then, as seconds. A sock that
    was not measured counts as the length its pattern gives.

    Args:
        tolerance_mm: Largest difference inside a pair [mm].
        tolerance_rows: The same in rows; the narrower of both holds.
    """
    groups: dict[tuple[int, int], list[Sock]] = defaultdict(list)
    for sock in Sock.objects.waiting(SockPlace.TO_MATE).with_kind():
        groups[sock.version_id, sock.lot_id].append(sock)
    alike: list[Proposal] = []
    mixed: list[Proposal] = []
    odd: list[Sock] = []
    for socks in groups.values():
        limit = tolerance_of(tolerance_mm, tolerance_rows, socks[0].version.courses_per_10cm)
        left: list[Sock] = []
        for quality in (Quality.FIRST, Quality.SECOND):
            found, over = _match([sock for sock in socks if sock.quality == quality], limit)
            alike += found
            left += over
        found, over = _match(left, limit)
        mixed += found
        odd += over
    return MatingTable((*alike, *mixed), tuple(odd))


def odd_socks(table: MatingTable) -> list[OddSock]:
    """Say for each odd sock what would mate it, and which odd sock comes nearest."""
    alike: dict[Kind, list[Sock]] = defaultdict(list)
    for sock in table.odd:
        alike[_kind(sock)].append(sock)
    return [_odd(sock, alike[_kind(sock)]) for sock in table.odd]


def socks_under_way() -> list[UnderWay]:
    """Return what is in all baskets by version and lot, scrap left out."""
    rows = list(
        Sock.objects.filter(place__in=IN_WORK)
        .exclude(quality=Quality.SCRAP)
        .order_by()
        .values_list("version_id", "lot_id")
        .annotate(socks=Count("pk"))
    )
    versions = PatternVersion.objects.select_related("pattern__design").in_bulk(
        {row[0] for row in rows}
    )
    lots = DyeLot.objects.with_yarn().in_bulk({row[1] for row in rows})
    found = [UnderWay(versions[version], lots[lot], socks) for version, lot, socks in rows]
    return sorted(found, key=lambda one: (one.version.pattern.foot_length_mm, str(one.lot)))


def foot_of(sock: Sock) -> int:
    """Return the measured foot of a sock, or what its pattern gives [mm]."""
    return sock.foot_mm if sock.foot_mm is not None else round(sock.version.sock_foot_mm)


def worse(one: str, other: str) -> str:
    """Return the quality of a pair: that of its worse sock."""
    return Quality.SECOND if Quality.SECOND in (one, other) else Quality.FIRST


def _match(socks: Sequence[Sock], tolerance_mm: int) -> tuple[list[Proposal], list[Sock]]:
    lengths = [foot_of(sock) for sock in socks]
    matched = mate(lengths, tolerance_mm)
    proposals = [
        Proposal(socks[i], socks[j], abs(lengths[i] - lengths[j])) for i, j in matched.pairs
    ]
    return proposals, [socks[i] for i in matched.odd]


def _kind(sock: Sock) -> Kind:
    return sock.version_id, sock.lot_id, sock.quality


def _odd(sock: Sock, alike: Sequence[Sock]) -> OddSock:
    others = [other for other in alike if other.pk != sock.pk]
    nearest = min(others, key=lambda other: abs(foot_of(other) - foot_of(sock)), default=None)
    return OddSock(
        sock=sock,
        wants=_wanted(sock),
        foot_mm=foot_of(sock),
        nearest=nearest,
        difference_mm=abs(foot_of(nearest) - foot_of(sock)) if nearest else 0,
    )


def _wanted(sock: Sock) -> str:
    kind = {
        "pattern": sock.version.pattern,
        "needles": sock.version.needles,
        "lot": sock.lot,
    }
    if sock.quality == Quality.SECOND:
        return say("one more of {pattern}, {needles} needles, {lot}, a second too", **kind)
    return say("one more of {pattern}, {needles} needles, {lot}", **kind)
