"""From a lot to every string, sock, pair and sale made of it."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from production.core.places import PAIR_PLACE_NAMES, SOCK_PLACE_NAMES, PairPlace, SockPlace
from production.models import Act, ActKind, DyeLot, Pair, PairMove, RunYarn, Sock, String

STRINGS_SHOWN = 25
SALE_KINDS = (ActKind.SALE, ActKind.RETURN)


@dataclass(frozen=True, slots=True)
class SockInLot:
    """A sock with yarn of the lot in it, its pair, and the sales of that pair."""

    sock: Sock
    roles: tuple[str, ...]
    sales: tuple[Act, ...]


@dataclass(frozen=True, slots=True)
class StringInLot:
    """A string that took yarn of the lot."""

    string: String
    socks: tuple[SockInLot, ...]


@dataclass(frozen=True, slots=True)
class LotStory:
    """A page of the story, newest string first, with the count of everything beside it.

    Attributes:
        strings: The strings of this page.
        socks: Where all its socks are, with how many.
        pairs: Where all its pairs are, with how many.
        older: Number of the string to ask the next page before; None on the last.
    """

    strings: tuple[StringInLot, ...]
    socks: tuple[tuple[str, int], ...]
    pairs: tuple[tuple[str, int], ...]
    older: int | None


def story_of_lot(lot: DyeLot, *, before: int | None = None) -> LotStory:
    """Return what was made of a lot, in any role: base, heel and toe, strand."""
    # By the runs of the lot: looking for a run beside each sock reads every season's.
    socks = Sock.objects.filter(run__in=RunYarn.objects.filter(lot=lot).values("run"))
    strings = String.objects.filter(runs__yarns__lot=lot).distinct()
    if before is not None:
        strings = strings.filter(number__lt=before)
    numbers = strings.order_by("-number").values_list("number", flat=True)
    page = list(numbers[: STRINGS_SHOWN + 1])
    shown = page[:STRINGS_SHOWN]
    return LotStory(
        strings=_strings(lot, list(socks.filter(string__number__in=shown).with_kind())),
        socks=_places(socks.values_list("place", flat=True), SOCK_PLACE_NAMES),
        pairs=_places(
            Pair.objects.filter(socks__in=socks).distinct().values_list("place", flat=True),
            PAIR_PLACE_NAMES,
        ),
        older=shown[-1] if len(page) > STRINGS_SHOWN else None,
    )


def _strings(lot: DyeLot, socks: list[Sock]) -> tuple[StringInLot, ...]:
    roles: dict[int, list[str]] = {}
    for use in RunYarn.objects.filter(lot=lot, run__in={sock.run_id for sock in socks}):
        roles.setdefault(use.run_id, []).append(use.place_name)
    sales: dict[int, list[Act]] = {}
    moves = PairMove.objects.filter(
        pair__in={sock.pair_id for sock in socks if sock.pair_id},
        act__kind__in=SALE_KINDS,
        act__undone_by__isnull=True,
    )
    for move in moves.select_related("act").order_by("pk"):
        sales.setdefault(move.pair_id, []).append(move.act)
    found: dict[int, list[SockInLot]] = {}
    strings = {}
    for sock in sorted(socks, key=lambda one: (-one.string.number, one.position)):
        strings[sock.string.number] = sock.string
        row = SockInLot(sock, tuple(roles.get(sock.run_id, ())), tuple(_of(sales, sock)))
        found.setdefault(sock.string.number, []).append(row)
    return tuple(StringInLot(strings[n], tuple(rows)) for n, rows in found.items())


def _of(sales: dict[int, list[Act]], sock: Sock) -> list[Act]:
    return sales.get(sock.pair_id, []) if sock.pair_id else []


def _places(
    places: Iterable[str], names: Mapping[SockPlace, str] | Mapping[PairPlace, str]
) -> tuple[tuple[str, int], ...]:
    counts = Counter(places)
    return tuple((name, counts[place]) for place, name in names.items() if counts[place])
