"""What was there on a date, at cost: yarn, work in progress and finished pairs, from the acts.

Acts that were undone never happened; an act counts from the moment it happened, so the count
of a past date stays as it is until something is recorded for a day before it. The book is read
back from today: what has not moved since then is where it was.
"""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from django.db.models import F, Max, Q, QuerySet
from django.utils import timezone

from production.core.places import IN_WORK, SOCK_PLACE_NAMES, PairPlace, SockPlace
from production.models import (
    ActKind,
    DyeLot,
    Pair,
    PairMove,
    Quality,
    RunYarn,
    Sock,
    SockMove,
    YarnMove,
)
from production.services.yarn_learning import UNTAUGHT, learned_of_yarns
from socktrade.models import Workshop

IN_STOCK = (PairPlace.TO_TAG, PairPlace.SHELF, PairPlace.STALL)
# Above this, naming what is looked at costs more than looking at everything.
MOST_LOOKED_AT = 10_000


@dataclass(frozen=True, slots=True)
class YarnLine:
    """One lot: grams and what they cost."""

    lot: DyeLot
    grams: Decimal
    value_minor: int


@dataclass(frozen=True, slots=True)
class WorkLine:
    """Socks of one kind in one basket, at the cost of the yarn in them."""

    kind: str
    place: str
    socks: int
    grams: Decimal
    value_minor: int


@dataclass(frozen=True, slots=True)
class PairLine:
    """Finished pairs of one kind, at the cost of their yarn and packing."""

    kind: str
    quality: str
    pairs: int
    grams: Decimal
    value_minor: int

    @property
    def quality_name(self) -> str:
        """Its quality in words."""
        return str(Quality(self.quality).label)


@dataclass(frozen=True, slots=True)
class StockCount:
    """Everything that was there at the end of a day [minor units, without her own labour]."""

    as_of: dt.date
    yarn: tuple[YarnLine, ...]
    work: tuple[WorkLine, ...]
    pairs: tuple[PairLine, ...]

    @property
    def yarn_minor(self) -> int:
        """Worth of the yarn."""
        return sum(line.value_minor for line in self.yarn)

    @property
    def below_nothing(self) -> bool:
        """Whether a lot was booked out beyond what came in."""
        return any(line.grams < 0 for line in self.yarn)

    @property
    def work_minor(self) -> int:
        """Worth of the work in progress."""
        return sum(line.value_minor for line in self.work)

    @property
    def pairs_minor(self) -> int:
        """Worth of the finished pairs."""
        return sum(line.value_minor for line in self.pairs)

    @property
    def total_minor(self) -> int:
        """Worth of everything."""
        return self.yarn_minor + self.work_minor + self.pairs_minor

    @property
    def socks(self) -> int:
        """Socks in progress."""
        return sum(line.socks for line in self.work)

    @property
    def pair_count(self) -> int:
        """Finished pairs."""
        return sum(line.pairs for line in self.pairs)


def count_stock(*, as_of: dt.date, workshop: Workshop) -> StockCount:
    """Return what the acts say was there at the end of a day.

    Args:
        as_of: The day.
        workshop: What packing costs her.
    """
    end = timezone.make_aware(dt.datetime.combine(as_of + dt.timedelta(days=1), dt.time.min))
    return StockCount(
        as_of=as_of,
        yarn=tuple(_yarn(end)),
        work=tuple(_work(end)),
        pairs=tuple(_pairs(end, workshop.packaging_minor)),
    )


def count_rows(count: StockCount) -> Iterable[tuple[object, ...]]:
    """Yield the count as rows of a sheet: part, what, where, pieces, grams, worth in money."""
    yield "part", "what", "where", "pieces", "grams", "cost_minor_units"
    for yarn in count.yarn:
        yield "yarn", str(yarn.lot), "", "", yarn.grams, yarn.value_minor
    for work in count.work:
        yield "in progress", work.kind, work.place, work.socks, work.grams, work.value_minor
    for pair in count.pairs:
        yield "finished", pair.kind, pair.quality, pair.pairs, pair.grams, pair.value_minor
    yield "total", "", "", "", "", count.total_minor


def _standing(moves: QuerySet) -> QuerySet:  # type: ignore[type-arg]
    return moves.filter(act__undone_by__isnull=True).exclude(act__kind=ActKind.UNDO)


def _yarn(end: dt.datetime) -> Iterable[YarnLine]:
    """Yield the lots as they stood: what is on hand now, less what was booked since."""
    # Added up here: told to group by lot, the database would walk through every move there is.
    since: dict[int, Decimal] = defaultdict(Decimal)
    booked = _standing(YarnMove.objects.filter(act__at__gte=end)).order_by()
    for lot_id, booked_g in booked.values_list("lot_id", "grams"):
        since[lot_id] += booked_g
    lots = DyeLot.objects.with_yarn().filter(~Q(grams=0) | Q(pk__in=since))
    for lot in lots.order_by("yarn__name", "yarn__colour", "pk"):
        grams = (lot.grams - since.get(lot.pk, Decimal(0))).quantize(Decimal("0.1"))
        if grams:
            value = max(Decimal(0), grams) * lot.yarn.price_minor / 100
            yield YarnLine(lot, grams, _whole(value))


def _places(
    moves: type[SockMove | PairMove], thing: str, now: set[int], end: dt.datetime
) -> QuerySet:  # type: ignore[type-arg]
    """Return the last standing move before a moment of everything that may have been there.

    What has not moved since is where it is now, so only what is there now and what has moved
    are looked at, unless that is most of the book.

    Args:
        moves: Moves of socks or of pairs.
        thing: What they move: "sock" or "pair".
        now: Keys of what is there now.
        end: The moment.
    """
    moved = moves.objects.filter(act__at__gte=end).values_list(f"{thing}_id", flat=True)
    looked_at = now.union(moved.order_by())
    before = _standing(moves.objects.filter(act__at__lt=end))
    if len(looked_at) <= MOST_LOOKED_AT:
        before = before.filter(**{f"{thing}__in": looked_at})
    return moves.objects.filter(
        pk__in=before.order_by().values(thing).annotate(m=Max("pk")).values("m")
    )


def _work(end: dt.datetime) -> Iterable[WorkLine]:
    now = set(Sock.objects.filter(place__in=IN_WORK).values_list("pk", flat=True))
    rows = _places(SockMove, "sock", now, end).filter(end__in=IN_WORK).values_list(
        "end", "sock__run_id", "sock__version__pattern__design__name",
        "sock__version__pattern__size_name",
    )  # fmt: skip
    found: dict[tuple[str, str], dict[int, int]] = defaultdict(lambda: defaultdict(int))
    for place, run_id, design, size in rows:
        found[f"{design} {size}", place][run_id] += 1
    weights = _sock_weights({run for runs in found.values() for run in runs})
    for (kind, place), runs in sorted(found.items()):
        grams = sum(count * weights[run][0] for run, count in runs.items() if run in weights)
        value = sum(count * weights[run][1] for run, count in runs.items() if run in weights)
        name = SOCK_PLACE_NAMES[SockPlace(place)]
        yield WorkLine(kind, name, sum(runs.values()), _tenth(grams), _whole(value))


def _pairs(end: dt.datetime, packaging_minor: int) -> Iterable[PairLine]:
    now = set(Pair.objects.filter(place__in=IN_STOCK).values_list("pk", flat=True))
    there = list(
        _places(PairMove, "pair", now, end)
        .filter(end__in=IN_STOCK)
        .values_list(
            "pair_id", "pair__quality", "pair__pattern__design__name", "pair__pattern__size_name"
        )
    )
    # The socks of a pair that was split since are found by their moves into it.
    into = (
        _standing(
            SockMove.objects.filter(
                pair__in={pk for pk, *_ in there}, end=SockPlace.IN_PAIR, act__at__lt=end
            )
        )
        .order_by()
        .values_list("pair_id", "sock__run_id")
    )
    runs: dict[int, list[int]] = defaultdict(list)
    for pair_id, run_id in into:
        runs[pair_id].append(run_id)
    weights = _sock_weights({run for found in runs.values() for run in found})
    kinds: dict[tuple[str, str], list[float]] = defaultdict(lambda: [0, 0.0, 0.0])
    for pk, quality, design, size in there:
        line = kinds[f"{design} {size}", quality]
        line[0] += 1
        line[1] += sum(weights[run][0] for run in runs[pk] if run in weights)
        line[2] += sum(weights[run][1] for run in runs[pk] if run in weights) + packaging_minor
    for (kind, quality), (count, grams, value) in sorted(kinds.items()):
        yield PairLine(kind, quality, int(count), _tenth(grams), _whole(value))


def _sock_weights(run_ids: Iterable[int]) -> dict[int, tuple[float, float]]:
    """Return by run the grams of one sock, set right by weighings, and what they cost."""
    rows = list(
        RunYarn.objects.filter(run__in=set(run_ids)).values_list(
            "run_id", "run__version_id", "lot__yarn_id", "grams", F("lot__yarn__price_minor")
        )
    )
    learned = learned_of_yarns(row[2] for row in rows)
    found: dict[int, tuple[float, float]] = {}
    for run_id, version_id, yarn_id, grams, price in rows:
        weight = grams * learned.get(yarn_id, UNTAUGHT).ratio_of(version_id)
        before = found.get(run_id, (0.0, 0.0))
        found[run_id] = before[0] + weight, before[1] + weight * price / 100
    return found


def _tenth(grams: float) -> Decimal:
    return Decimal(str(round(grams, 1)))


def _whole(minor: float | Decimal) -> int:
    return int(Decimal(str(minor)).quantize(Decimal(1), rounding=ROUND_HALF_UP))
