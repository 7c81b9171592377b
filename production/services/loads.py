"""Which socks may share a wash, by the care of every yarn in them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

from production.core.care import PRESETS, CareSet, care_words, load_key, may_share_load, mildest
from production.core.places import SockPlace
from production.models import DyeLot, Sock, Yarn

MOST_CLASHES = 5
WASHED = (SockPlace.TO_DRY, SockPlace.TO_BLOCK, SockPlace.TO_MATE, SockPlace.IN_PAIR)


@dataclass(frozen=True, slots=True)
class Load:
    """What must agree in one wash; `name` says it, unknown care says so."""

    name: str
    known: bool = True


@dataclass(frozen=True, slots=True)
class YarnCare:
    """A yarn in the wash basket, its care in words, and its lots never washed before."""

    yarn: Yarn
    words: tuple[str, ...]
    first_time: tuple[DyeLot, ...]


UNKNOWN = Load("Care not known", known=False)


def care_of(sock: Sock) -> CareSet | None:
    """Return the mildest care of the yarns in a sock, or None while one is not known.

    Read the socks with `run__yarns__lot__yarn` prefetched.
    """
    keys = {use.lot.yarn.care for use in sock.run.yarns.all()}
    if not keys or not keys <= PRESETS.keys():
        return None
    return mildest(PRESETS[key] for key in keys)


def load_of(sock: Sock) -> Load:
    """Return the load that a sock belongs to."""
    care = care_of(sock)
    if care is None:
        return UNKNOWN
    wash, temperature, cycle = load_key(care)
    gentle = ", gentle cycle" if wash == "machine" and cycle == "gentle" else ""
    alone = ", by itself" if "wash_separately" in care.warnings else ""
    return Load(f"{wash.capitalize()} wash {temperature}{gentle}{alone}")


def clashes(socks: Sequence[Sock]) -> list[str]:
    """Return a sentence for each two yarns among the socks that may not share a load."""
    cares: dict[str, CareSet] = {}
    for sock in socks:
        care = care_of(sock)
        if care is not None:
            cares.setdefault(str(sock.lot.yarn), care)
    found = [
        f"{one} ({_wash(a)}) and {other} ({_wash(b)}) may not share a load."
        for (one, a), (other, b) in combinations(sorted(cares.items()), 2)
        if not may_share_load(a, b)
    ]
    rest = len(found) - MOST_CLASHES
    return [*found[:MOST_CLASHES], *([f"And {rest} more of the kind."] if rest > 0 else [])]


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
    care = PRESETS.get(yarn.care)
    return tuple(care_words(care, rules)) if care else ()
