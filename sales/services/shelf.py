"""Counting the shelf: what is really there becomes acts."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from django.db import transaction
from django.db.models import Count, Exists, F, OuterRef, Q, Sum, Value

from patterns.core.words import say
from patterns.models import Pattern
from production.core.places import PairPlace
from production.models import Act, ActKind, Pair, Quality, Sock
from production.services.acts import Who, lock_pairs, move_pairs, record, recorded
from sales.errors import SalesError
from sales.models import CountLine, Order
from socktrade.questions import Question

MOST_COUNTED = 5000
DAYS_COUNTED = 3
IN_STOCK = (PairPlace.SHELF, PairPlace.STALL)


@dataclass(frozen=True, slots=True)
class ShelfKind:
    """One kind on the shelf: pattern, quality and how many the book has."""

    pattern: Pattern
    quality: str
    expected: int

    @property
    def quality_name(self) -> str:
        """Its quality in words."""
        return str(Quality(self.quality).label)

    @property
    def key(self) -> str:
        """The name of its field on the count page."""
        return f"{self.pattern.pk}-{self.quality}"


@dataclass(slots=True)
class StockRow:
    """One kind at home and packed, and what it is worth as far as that can be told.

    Attributes:
        pattern: Design and size.
        quality: First or second.
        on_shelf: Pairs on the shelf [pairs].
        in_box: Pairs in the stall box [pairs].
        worth_minor: Sum of the prices on their tags [minor units].
        unpriced: Pairs without a price [pairs].
        yarn_minor: Cost of the yarn in those whose yarn has a price [minor units].
        uncosted: Pairs with some yarn that has no price [pairs].
    """

    pattern: Pattern
    quality: str
    on_shelf: int = 0
    in_box: int = 0
    worth_minor: int = 0
    unpriced: int = 0
    yarn_minor: int = 0
    uncosted: int = 0

    @property
    def quality_name(self) -> str:
        """Its quality in words."""
        return str(Quality(self.quality).label)

    @property
    def pairs(self) -> int:
        """How many there are in both places."""
        return self.on_shelf + self.in_box

    @property
    def key(self) -> str:
        """The kind in an address or a field name."""
        return f"{self.pattern.pk}-{self.quality}"


@dataclass(frozen=True, slots=True)
class CountedKind:
    """One kind of a count: then, and what the book has of it now."""

    pattern: Pattern
    quality: str
    expected: int
    counted: int
    on_shelf: int
    pairs: list[Pair] = field(default_factory=list)

    @property
    def quality_name(self) -> str:
        """Its quality in words."""
        return str(Quality(self.quality).label)

    @property
    def difference(self) -> int:
        """Over (+) or short (-) at the count."""
        return self.counted - self.expected

    @property
    def short_by(self) -> int:
        """Pairs the count fell short of the book [pairs]."""
        return max(0, -self.difference)

    @property
    def still_short_by(self) -> int:
        """Pairs the book still has too many of [pairs]."""
        return max(0, -self.open_difference)

    @property
    def open_difference(self) -> int:
        """Counted less what the book has on the shelf now: what is still to be settled."""
        return self.counted - self.on_shelf


def stock_rows() -> list[StockRow]:
    """Return every kind at home or packed, by size, with its worth."""
    patterns = {pattern.pk: pattern for pattern in _in_stock()}
    yarn = _yarn_costs()
    rows = []
    for row in _counts():
        cost, costed = yarn.get((row["pattern_id"], row["quality"]), (0.0, 0))
        rows.append(
            StockRow(
                pattern=patterns[row["pattern_id"]],
                quality=row["quality"],
                on_shelf=row["on_shelf"],
                in_box=row["in_box"],
                worth_minor=row["worth"] or 0,
                unpriced=row["unpriced"],
                yarn_minor=round(cost),
                uncosted=row["on_shelf"] + row["in_box"] - costed,
            )
        )
    return sorted(rows, key=lambda r: (r.pattern.foot_length_mm, r.pattern.design.name, r.quality))


@cache
def _counts() -> Question[dict[str, Any]]:
    """Return the question for the kinds at home or packed, made once."""
    kinds = Pair.objects.filter(place__in=IN_STOCK).order_by().values("pattern_id", "quality")
    counted = kinds.annotate(
        on_shelf=Count("pk", filter=Q(place=PairPlace.SHELF)),
        in_box=Count("pk", filter=Q(place=PairPlace.STALL)),
        worth=Sum("price_minor"),
        unpriced=Count("pk", filter=Q(price_minor__isnull=True)),
    )
    return Question(counted)


@cache
def _in_stock() -> Question[Pattern]:
    """Return the question for the patterns of these kinds, made once."""
    pairs = Pair.objects.filter(pattern=OuterRef("pk"), place__in=IN_STOCK)
    return Question(Pattern.objects.filter(Exists(pairs)).select_related("design"))


def set_aside() -> int:
    """Return how many pairs on the shelf wait for the customer who ordered them."""
    return _set_aside().first() or 0


@cache
def _set_aside() -> Question[int]:
    """Return the question for how many these are, made once."""
    waiting = Order.objects.due().filter(pair__place=PairPlace.SHELF).order_by()
    counted = waiting.values(all=Value(1)).annotate(n=Count("pk"))
    return Question(counted.values_list("n", flat=True))


def kinds_to_count(keys: Iterable[str] = ()) -> list[ShelfKind]:
    """Return the kinds on the shelf, and those named by `keys` that left it meanwhile."""
    kinds = {kind.key: kind for kind in shelf_kinds()}
    gone = {key: _read_key(key) for key in keys if key not in kinds}
    wanted = {key: read for key, read in gone.items() if read is not None}
    patterns = _patterns(pattern_id for pattern_id, _ in wanted.values()) if wanted else {}
    for key, (pattern_id, quality) in wanted.items():
        if pattern_id in patterns:
            kinds[key] = ShelfKind(patterns[pattern_id], quality, 0)
    return list(kinds.values())


def count_result(act: Act) -> list[CountedKind]:
    """Return a count kind by kind; those still short come with their pairs on the shelf."""
    lines = list(
        CountLine.objects.filter(act=act)
        .select_related("pattern__design")
        .order_by("pattern__foot_length_mm", "pattern__design__name", "quality")
    )
    shelf: dict[tuple[int, str], list[Pair]] = defaultdict(list)
    pairs = Pair.objects.on_shelf().filter(pattern__in={line.pattern_id for line in lines})
    for pair in pairs.select_related("lot__yarn").order_by("number"):
        shelf[pair.pattern_id, pair.quality].append(pair)
    found = []
    for line in lines:
        here = shelf[line.pattern_id, line.quality]
        short = line.counted < len(here)
        found.append(
            CountedKind(
                pattern=line.pattern,
                quality=line.quality,
                expected=line.expected,
                counted=line.counted,
                on_shelf=len(here),
                pairs=here if short else [],
            )
        )
    return found


@cache
def days_counted() -> Question[Act]:
    """Return the question for the last counts and when they were made, made once."""
    counts = Act.objects.standing().newest_first().filter(kind=ActKind.COUNT)
    return Question(counts.only("at")[:DAYS_COUNTED])


def newest_counts(limit: int = 10) -> list[Act]:
    """Return the last counts with `kinds`, `expected` and `counted` summed up."""
    acts = list(Act.objects.standing().newest_first().filter(kind=ActKind.COUNT)[:limit])
    sums = {
        row["act_id"]: row
        for row in CountLine.objects.filter(act__in=acts)
        .values("act_id")
        .annotate(kinds=Count("pk"), had=Sum("expected"), there=Sum("counted"))
    }
    for act in acts:
        row = sums.get(act.pk, {"kinds": 0, "had": 0, "there": 0})
        act.kinds, act.expected, act.counted = row["kinds"], row["had"], row["there"]  # type: ignore[attr-defined]
    return acts


def shelf_kinds(place: PairPlace = PairPlace.SHELF) -> list[ShelfKind]:
    """Return the kinds in a place, by size, each with its count."""
    rows = (
        Pair.objects.filter(place=place)
        .values("pattern_id", "quality")
        .annotate(expected=Count("pk"))
    )
    patterns = _patterns(row["pattern_id"] for row in rows)
    kinds = [
        ShelfKind(patterns[row["pattern_id"]], row["quality"], row["expected"]) for row in rows
    ]
    return sorted(kinds, key=lambda k: (k.pattern.foot_length_mm, k.pattern.design.name, k.quality))


@transaction.atomic
def count_shelf(*, counted: Mapping[tuple[int, str], int], who: Who) -> Act:
    """Write a count down, kind by kind (pattern id, quality), beside what the book had.

    The count alone moves nothing: which pairs are missing is asked next.

    Raises:
        SalesError: If nothing was counted or a figure is absurd.
    """
    if done := recorded(who.key):
        return done
    if not counted:
        msg = say("Give at least one figure.")
        raise SalesError(msg, field="counted")
    for figure in counted.values():
        if not 0 <= figure <= MOST_COUNTED:
            msg = say(
                "{figure} is no count of pairs; 0 to {MOST_COUNTED}.",
                figure=figure,
                MOST_COUNTED=MOST_COUNTED,
            )
            raise SalesError(msg, field="counted")
    expected = {(k.pattern.pk, k.quality): k.expected for k in shelf_kinds()}
    act = record(ActKind.COUNT, who)
    CountLine.objects.bulk_create(
        CountLine(
            act=act,
            pattern_id=pattern_id,
            quality=quality,
            expected=expected.get((pattern_id, quality), 0),
            counted=figure,
        )
        for (pattern_id, quality), figure in counted.items()
    )
    return act


@transaction.atomic
def write_off(*, pair_ids: Iterable[int], who: Who, reason: str) -> Act:
    """Take pairs that were not found out of the shelf, with a reason.

    Raises:
        SalesError: If nothing was chosen or no reason is given.
        MoveNotAllowedError: If a pair is not on the shelf.
    """
    if done := recorded(who.key):
        return done
    pairs = lock_pairs(pair_ids)
    if not pairs:
        msg = say("Choose the pairs that are missing.")
        raise SalesError(msg, field="pairs")
    if not reason.strip():
        msg = say("Say in a few words what you think became of them.")
        raise SalesError(msg, field="reason")
    act = record(ActKind.LOST, who, note=reason.strip())
    move_pairs(act, pairs, PairPlace.GONE)
    return act


@transaction.atomic
def find_again(*, pair: Pair, who: Who) -> Act:
    """Put a pair that was written off back on the shelf.

    Raises:
        SalesError: If the pair was not written off; the message says where the book has it.
    """
    if done := recorded(who.key):
        return done
    [pair] = lock_pairs([pair.pk])
    if pair.place != PairPlace.GONE:
        msg = say(
            "The book has {label} {place_name}, so it is not missing.",
            label=pair.label,
            place_name=pair.place_name,
        )
        raise SalesError(msg, field="number")
    act = record(ActKind.FOUND, who)
    move_pairs(act, [pair], PairPlace.SHELF)
    return act


def _yarn_costs() -> dict[tuple[int, str], tuple[float, int]]:
    """Return by pattern id and quality the cost of the yarn [minor units] and its pairs.

    Grams are those booked for each sock. A sock with a yarn that has no price yet is left
    out whole, and so is its pair: half a cost would look like a cost.
    """
    sums: dict[tuple[int, str], tuple[float, float]] = {}
    for row in _yarn_in_stock():
        key = row["pair__pattern_id"], row["pair__quality"]
        cost, pairs = sums.get(key, (0.0, 0.0))
        if not row["unknown"]:
            cost, pairs = cost + row["cost"], pairs + row["socks"] / 2
        sums[key] = cost, pairs
    return {key: (cost, int(pairs)) for key, (cost, pairs) in sums.items()}


@cache
def _yarn_in_stock() -> Question[dict[str, Any]]:
    """Return the question for the yarn in the socks of each kind, run by run, made once."""
    runs = Sock.objects.filter(pair__place__in=IN_STOCK).values(
        "pair__pattern_id", "pair__quality", "run_id"
    )
    costed = runs.annotate(
        socks=Count("pk", distinct=True),
        cost=Sum(F("run__yarns__grams") * F("run__yarns__lot__yarn__price_minor") / 100.0),
        unknown=Count(
            "pk", filter=Q(run__yarns__isnull=True) | Q(run__yarns__lot__yarn__price_minor=0)
        ),
    )
    return Question(costed)


def _patterns(pks: Iterable[int]) -> dict[int, Pattern]:
    return Pattern.objects.select_related("design").in_bulk(set(pks))


def _read_key(key: str) -> tuple[int, str] | None:
    pattern_id, _, quality = key.partition("-")
    known = quality in (Quality.FIRST, Quality.SECOND)
    if not (known and pattern_id.isascii() and pattern_id.isdecimal() and len(pattern_id) < 10):
        return None
    return int(pattern_id), quality
