"""Which socks may share a wash, by the care of every yarn in them."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

from django.db.models import Exists, OuterRef

from patterns.core.words import say
from production.core.care import CareSet, care_words, load_key, may_share_load
from production.core.places import SockPlace
from production.models import DyeLot, RunYarn, Sock, Yarn
from production.services.care import care_of_parts

MOST_CLASHES = 5
WASHED = (SockPlace.TO_DRY, SockPlace.TO_BLOCK, SockPlace.TO_MATE, SockPlace.IN_PAIR)


@dataclass(frozen=True, slots=True)
class LoadKind:
    """What must agree in one wash; `name` says it, unknown care says so.

    `dark` holds the lots that may bleed and were never washed: they go by themselves. A
    load that was washed has its `number`.
    """

    name: str
    known: bool = True
    dark: frozenset[int] = frozenset()
    number: int | None = None


@dataclass(frozen=True, slots=True)
class YarnCare:
    """A yarn in the wash basket, its care in words, and its lots never washed before."""

    yarn: Yarn
    words: tuple[str, ...]
    first_time: tuple[DyeLot, ...]


UNWASHED = say("Not to be washed")
UNKNOWN = LoadKind(say("Care not known"), known=False)
_WASHES = {
    ("machine", "hot"): say("Machine wash hot"),
    ("machine", "warm"): say("Machine wash warm"),
    ("machine", "cold"): say("Machine wash cold"),
    ("hand", "warm"): say("Hand wash warm"),
    ("hand", "cold"): say("Hand wash cold"),
}


def care_of(sock: Sock) -> CareSet | None:
    """Return the mildest care of the yarns in a sock, or None while one is not known.

    Read the socks with `run__yarns__lot__yarn` prefetched.
    """
    yarns = {use.lot.yarn_id: use.lot.yarn for use in sock.run.yarns.all()}
    return care_of_parts([yarn.care_set for yarn in yarns.values()])


def load_of(sock: Sock, dark: Collection[int] = ()) -> LoadKind:
    """Return the load that a sock belongs to; `dark` as told by `dark_lots`."""
    bleeding = {use.lot.pk: use.lot for use in sock.run.yarns.all() if use.lot_id in dark}
    care = care_of(sock)
    name = _load_name(care)
    for lot in bleeding.values():
        name = say(
            "{load}; lot {code} is dark and was never washed: by itself", load=name, code=lot.code
        )
    return LoadKind(name, known=care is not None, dark=frozenset(bleeding))


def _load_name(care: CareSet | None) -> str:
    if care is None:
        return UNKNOWN.name
    if care.wash == "none":
        return UNWASHED
    wash, temperature, cycle = load_key(care)
    name = _WASHES[wash, temperature]
    if wash == "machine" and cycle == "gentle":
        name = say("{wash}, gentle cycle", wash=name)
    return say("{wash}, by itself", wash=name) if "wash_separately" in care.warnings else name


def dark_lots() -> frozenset[int]:
    """Return the lots that may bleed and of which no sock was washed yet."""
    washed = RunYarn.objects.filter(lot=OuterRef("pk"), run__socks__place__in=WASHED)
    dark = DyeLot.objects.filter(~Exists(washed), dark=True)
    return frozenset(dark.values_list("pk", flat=True))


def note_dark(*, lot: DyeLot, dark: bool) -> DyeLot:
    """Note whether a lot may bleed, so that its first wash is by itself."""
    lot.dark = dark
    lot.save(update_fields=["dark"])
    return lot


def clashes(socks: Sequence[Sock]) -> list[str]:
    """Return a sentence for each reason why the socks may not all share a load."""
    return [*_care_clashes(socks), *_dark_clashes(socks)]


def _dark_clashes(socks: Sequence[Sock]) -> list[str]:
    dark = dark_lots()
    own = [{use.lot_id for use in sock.run.yarns.all()} & dark for sock in socks]
    lots = {use.lot for sock in socks for use in sock.run.yarns.all() if use.lot_id in dark}
    return [
        say("{lot} is dark and was never washed: wash it by itself the first time.", lot=lot)
        for lot in sorted(lots, key=str)
        if any(lot.pk not in bleeding for bleeding in own)
    ]


def _care_clashes(socks: Sequence[Sock]) -> list[str]:
    cares: dict[str, CareSet] = {}
    for sock in socks:
        care = care_of(sock)
        if care is not None:
            cares.setdefault(str(sock.lot.yarn), care)
    unwashed = [
        say(
            "{yarn} may not be washed by its care: {words}",
            yarn=yarn,
            words=" ".join(care_words(care)),
        )
        for yarn, care in sorted(cares.items())
        if care.wash == "none"
    ]
    washed = sorted((yarn, care) for yarn, care in cares.items() if care.wash != "none")
    found = [
        say(
            "{one} ({wash}) and {other} ({other_wash}) may not share a load.",
            one=one,
            wash=_wash(a),
            other=other,
            other_wash=_wash(b),
        )
        for (one, a), (other, b) in combinations(washed, 2)
        if not may_share_load(a, b)
    ]
    rest = len(found) - MOST_CLASHES
    more = [say("And {count} more of the kind.", count=rest)] if rest > 0 else []
    return [*unwashed, *found[:MOST_CLASHES], *more]


def yarns_in(socks: Iterable[Sock], *, rules: str) -> list[YarnCare]:
    """Return the yarns in these socks with their care in the words of `rules`."""
    lots = {use.lot for sock in socks for use in sock.run.yarns.all()}
    washed = set(
        Sock.objects.filter(lot__in=lots, place__in=WASHED)
        .order_by()
        .values_list("lot_id", flat=True)
        .distinct()
    )
    by_yarn: dict[Yarn, list[DyeLot]] = {}
    for lot in sorted(lots, key=str):
        by_yarn.setdefault(lot.yarn, []).append(lot)
    return [
        YarnCare(yarn, _words(yarn, rules), tuple(lot for lot in own if lot.pk not in washed))
        for yarn, own in by_yarn.items()
    ]


def _wash(care: CareSet) -> str:
    return care_words(care)[0].rstrip(".").lower()


def _words(yarn: Yarn, rules: str) -> tuple[str, ...]:
    care = yarn.care_set
    return tuple(care_words(care, rules)) if care else ()
