"""Papers about what is finished: care cards, the count sheet, the board of prices."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

from django.db.models import Prefetch

from patterns.core.words import say
from production.core.care import care_words, mildest
from production.core.caresymbols import Symbol, care_symbols
from production.core.places import PairPlace
from production.models import Pair, Quality, RunYarn, StringRun, Yarn
from production.services.papers import ShelfCard, shelf_cards

FINISHED = (PairPlace.TO_TAG, PairPlace.SHELF, PairPlace.STALL)


@dataclass(frozen=True, slots=True)
class CareCard:
    """How socks of some yarns are looked after."""

    yarns: tuple[str, ...]
    words: tuple[str, ...]
    symbols: tuple[Symbol, ...] = ()


@dataclass(frozen=True, slots=True)
class CountLine:
    """One kind to count: a size of a design in one quality."""

    design: str
    size: str
    quality: str


@dataclass(frozen=True, slots=True)
class BoardLine:
    """Neighbouring sizes of one price."""

    sizes: str
    first_minor: int
    second_minor: int


def care_cards(rules: str, *, drawn: bool = False) -> list[CareCard]:
    """Return a card for each set of yarns that finished pairs are knitted of.

    Care is the mildest of all yarns in the sock; a set with a yarn nobody chose care for
    has no card. With `drawn` the drawings of the rules stand beside the words.
    """
    yarns = RunYarn.objects.select_related("lot__yarn").order_by("pk")
    runs = StringRun.objects.filter(socks__pair__place__in=FINISHED).distinct()
    found: dict[tuple[str, ...], CareCard] = {}
    for run in runs.prefetch_related(Prefetch("yarns", queryset=yarns)).order_by("pk"):
        card = _care_card([use.lot.yarn for use in run.yarns.all()], rules, drawn=drawn)
        if card:
            found.setdefault((*card.yarns, "", *card.words), card)
    return sorted(found.values(), key=lambda card: card.yarns)


def count_lines() -> list[CountLine]:
    """Return every kind that lies on the shelf, without saying how many: a blind count."""
    kinds = (
        Pair.objects.on_shelf()
        .order_by(
            "pattern__design__name", "pattern__foot_length_mm", "pattern__size_name", "quality"
        )
        .values_list("pattern__design__name", "pattern__size_name", "quality")
    )
    return [
        CountLine(design, size, Quality(quality).label)
        for (design, size, quality), _ in groupby(kinds)
    ]


def price_board() -> list[tuple[str, list[BoardLine]]]:
    """Return each design with its prices, neighbouring sizes of one price said together."""
    return [(card.design, list(_board_lines(card))) for card in shelf_cards()]


def _care_card(yarns: Sequence[Yarn], rules: str, *, drawn: bool) -> CareCard | None:
    sets = [yarn.care_set for yarn in yarns]
    known = [care for care in sets if care is not None]
    if not known or len(known) < len(sets):
        return None
    names = tuple(dict.fromkeys(yarn.name for yarn in yarns))
    care = mildest(known)
    symbols = care_symbols(care, rules) if drawn else ()
    return CareCard(names, tuple(care_words(care, rules)), symbols)


def _board_lines(card: ShelfCard) -> Iterable[BoardLine]:
    def prices(row: tuple) -> tuple[int, int]:
        return row[1].first_minor, row[1].second_minor

    for (first, second), rows in groupby(card.rows, key=prices):
        sizes = [pattern.size_name for pattern, _ in rows]
        yield BoardLine(_span(sizes[0], sizes[-1]), first, second)


def _span(first: str, last: str) -> str:
    """Say two sizes as a span: `Women 6 to 8½`."""
    if first == last:
        return first
    whose, _, size = last.rpartition(" ")
    to = size if whose and first.startswith(f"{whose} ") else last
    return say("{first} to {last}", first=first, last=to)
