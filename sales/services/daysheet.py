"""The sheet of a market day: what was taken, what is left, what was asked for."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Exists, F, Min, OuterRef, Q, Subquery, Sum

from patterns.core.words import say, say_list
from patterns.models import Pattern
from production.core.places import PairPlace
from production.models import ActKind, Pair, Quality, Yarn
from production.services.pairs import current_prices
from sales.models import (
    Ask,
    CountCure,
    CountLine,
    DayState,
    MarketDay,
    PhoneAct,
    Sale,
    SaleLine,
    SortOut,
)
from sales.services.boxes import box_of
from sales.services.table import table_pairs

NEWEST = 50


@dataclass(frozen=True, slots=True)
class KindRow:
    """One kind and a number of pairs, with their money where that was asked."""

    pattern: Pattern | None
    quality: str
    pairs: int
    money_minor: int = 0
    back: int = 0

    @property
    def name(self) -> str:
        """What it is, in words."""
        return str(self.pattern if self.pattern else say("number not in the book"))

    @property
    def field(self) -> str:
        """The name of its field on the closing page."""
        return f"left-{self.pattern.pk if self.pattern else 0}-{self.quality}"


@dataclass(frozen=True, slots=True)
class CountGap:
    """A kind whose count at closing disagreed with the book."""

    line: CountLine
    cures: tuple[CountCure, ...]

    @property
    def too_many(self) -> int:
        """Pairs counted beyond the book that nobody has accounted for yet [pairs]."""
        return max(0, -self.missing)

    @property
    def missing(self) -> int:
        """Pairs that nobody has accounted for yet; below nothing there were too many [pairs]."""
        settled = sum(cure.settles for cure in self.cures)
        return self.line.expected - self.line.counted - settled


@dataclass(frozen=True, slots=True)
class Tile:
    """Pairs on the table that a thumb cannot tell apart: one kind, one colour, one price."""

    pattern: Pattern
    quality: str
    yarn_id: int
    colour: str
    price_minor: int | None
    left: int
    several_colours: bool = False

    @property
    def name(self) -> str:
        """What it is, in words; the colour only where the kind comes in several."""
        second = [say("second")] if self.quality == Quality.SECOND else []
        colour = [self.colour] if self.several_colours else []
        return str(say_list([str(self.pattern), *colour, *second]))

    @property
    def key(self) -> str:
        """The tile in a form."""
        return f"{self.pattern.pk}-{self.quality}-{self.yarn_id}-{self.price_minor or 0}"


def kinds_sold(day: MarketDay) -> list[KindRow]:
    """Return what was sold on a day, kind by kind, the smallest first."""
    rows = (
        SaleLine.objects.filter(sale__day=day, sale__act__undone_by__isnull=True)
        .values("pattern_id", "quality")
        .annotate(
            pairs=Count("pk"),
            money_minor=Sum("price_minor"),
            back=Count("pk", filter=Q(holds=False)),
        )
        .order_by()
    )
    return _kind_rows(rows)


def kinds_in_box(day: MarketDay) -> list[KindRow]:
    """Return what is in the stall box of a day, kind by kind, the smallest first."""
    # Named by a subquery: counting beside the question whose box it is would group by it.
    rows = (
        Pair.objects.filter(pk__in=box_of(day).values("pk"))
        .values("pattern_id", "quality")
        .annotate(pairs=Count("pk"))
        .order_by()
    )
    return _kind_rows(rows)


def count_differences(day: MarketDay) -> list[CountGap]:
    """Return the kinds whose count at closing disagreed with the book, and what became of it."""
    lines = list(
        CountLine.objects.filter(
            act__kind=ActKind.CLOSE_DAY,
            act__undone_by__isnull=True,
            act_id__in=day.day_acts.values("act_id"),
        )
        .exclude(expected=F("counted"))
        .select_related("pattern__design")
        .order_by("pattern__foot_length_mm", "pk")
    )
    cures: dict[int, list[CountCure]] = defaultdict(list)
    standing = CountCure.objects.filter(line__in=lines, act__undone_by__isnull=True)
    for cure in standing.select_related("act").order_by("pk"):
        cures[cure.line_id].append(cure)
    return [CountGap(line, tuple(cures[line.pk])) for line in lines]


def asks_of(day: MarketDay) -> list[tuple[str, int]]:
    """Return what was asked for on a day and how often, the most wanted first."""
    rows = (
        Ask.objects.filter(day=day, act__undone_by__isnull=True)
        .values_list("pattern_id", "yarn__colour", "words")
        .annotate(times=Count("pk"))
        .order_by("-times", "pattern_id", "yarn__colour", "words")[:NEWEST]
    )
    found = list(rows)
    names = Pattern.objects.select_related("design").in_bulk({row[0] for row in found if row[0]})
    said = []
    for pk, colour, words, times in found:
        kind = str(names[pk]) if pk else words
        in_colour = pk and colour
        said.append(
            (say("{kind} in {colour}", kind=kind, colour=colour) if in_colour else kind, times)
        )
    return said


def recent_sales(day: MarketDay, *, before: int | None = None) -> list[Sale]:
    """Return the newest standing purchases of a day with their lines, older than `before`."""
    sales = Sale.objects.standing().filter(day=day)
    if before:
        sales = sales.filter(pk__lt=before)
    return list(
        sales.select_related("act")
        .prefetch_related("lines__pair", "lines__pattern__design")
        .order_by("-pk")[:NEWEST]
    )


def last_sale(day: MarketDay) -> Sale | None:
    """Return the newest standing purchase of a day."""
    return (
        Sale.objects.standing()
        .filter(day=day)
        .select_related("act")
        .annotate(pairs=Count("lines"))
        .order_by("-pk")
        .first()
    )


def tiles_of(day: MarketDay) -> list[Tile]:
    """Return what lies on the table as tiles, the smallest size first."""
    return _tiles(Q(pk__in=table_pairs(day).values("pk")))


def sheet_tiles(day: MarketDay) -> list[Tile]:
    """Return the rows of a day's tally sheet: what lies on the table and what was sold from it.

    A kind that sold out keeps its row, so that a sheet can be typed in piece by piece.
    """
    sold = SaleLine.objects.filter(sale__day=day, holds=True, pair__isnull=False)
    return _tiles(Q(pk__in=table_pairs(day).values("pk")) | Q(pk__in=sold.values("pair")))


def _tiles(which: Q) -> list[Tile]:
    # The pairs are named by a subquery: counting across the join to the moves of a closed
    # day would count a pair once for each move.
    rows = list(
        Pair.objects.filter(which)
        .values("pattern_id", "quality", "lot__yarn_id", "price_minor")
        .annotate(
            left=Count("pk", filter=~Q(place=PairPlace.SOLD)), colour=Min("lot__yarn__colour")
        )
        .order_by()
    )
    patterns = Pattern.objects.select_related("design").in_bulk({r["pattern_id"] for r in rows})
    yarns: dict[int, set[int]] = {}
    for row in rows:
        yarns.setdefault(row["pattern_id"], set()).add(row["lot__yarn_id"])
    tiles = [
        Tile(
            pattern=patterns[row["pattern_id"]],
            quality=row["quality"],
            yarn_id=row["lot__yarn_id"],
            colour=row["colour"],
            price_minor=row["price_minor"],
            left=row["left"],
            several_colours=len(yarns[row["pattern_id"]]) > 1,
        )
        for row in rows
    ]
    return sorted(
        tiles,
        key=lambda t: (t.pattern.foot_length_mm, str(t.pattern), t.colour, t.quality, t.key),
    )


def patterns_off_table(
    day: MarketDay, tiles: Sequence[Tile] | None = None
) -> list[tuple[Pattern, int | None]]:
    """Return the patterns that are not on the table, with the price of a first.

    Args:
        day: Whose table.
        tiles: What lies on it, where that was read already.
    """
    there: Any = table_pairs(day).order_by().values("pattern_id")
    if tiles is not None:
        there = {tile.pattern.pk for tile in tiles}
    # A pattern nobody ever made a pair of is a plan, not a kind she sells.
    made = Pair.objects.filter(pattern=OuterRef("pk"))
    missing = list(
        Pattern.objects.exclude(pk__in=there)
        .filter(Exists(made))
        .select_related("design")
        .by_size()
    )
    prices = current_prices(pattern.pk for pattern in missing)
    return [(p, prices[p.pk].first_minor if p.pk in prices else None) for p in missing]


def kinds_and_colours() -> tuple[list[Pattern], list[Yarn]]:
    """Return every pattern that pairs were made of, and every yarn they were made in."""
    made = Pair.objects.order_by()
    patterns = Pattern.objects.filter(pk__in=made.values("pattern_id")).select_related("design")
    yarns = Yarn.objects.filter(pk__in=made.values("lot__yarn_id")).order_by("name", "colour")
    return list(patterns.by_size()), list(yarns)


def open_items() -> list[SortOut]:
    """Return what still needs sorting out, the oldest first."""
    return list(
        SortOut.objects.filter(settled_by__isnull=True)
        .select_related("act__by", "line__sale__day__market", "line__pattern__design", "line__pair")
        .order_by("pk")[: NEWEST * 2]
    )


def count_open_items() -> int:
    """Return how much needs sorting out."""
    kept = PhoneAct.objects.to_sort_out().order_by().values("pk")
    open_ones = SortOut.objects.filter(settled_by__isnull=True).values("pk")
    return open_ones.union(kept, all=True).count()


def settled_items() -> list[SortOut]:
    """Return what was settled last."""
    return list(
        SortOut.objects.filter(settled_by__isnull=False)
        .select_related("act", "settled_by__by")
        .order_by("-settled_by_id")[:NEWEST]
    )


def upcoming_days() -> list[MarketDay]:
    """Return the days ahead, the nearest first."""
    return list(MarketDay.objects.upcoming().with_market()[: NEWEST * 2])


def past_days(*, before: MarketDay | None = None) -> list[MarketDay]:
    """Return the newest days that are over or cancelled, older than `before`, last first."""
    days = MarketDay.objects.filter(state__in=[DayState.CLOSED, DayState.CANCELLED])
    if before:
        days = days.filter(Q(date__lt=before.date) | Q(date=before.date, pk__lt=before.pk))
    # Summed for each day that is shown; a join would sum every season's first.
    sold = Sale.objects.filter(day=OuterRef("pk"), act__undone_by__isnull=True).order_by()
    taken = sold.values("day").annotate(sum=Sum("total_minor")).values("sum")
    shown = days.with_market().annotate(taken_minor=Subquery(taken))
    return list(shown.order_by("-date", "-pk")[:NEWEST])


def last_float(day: MarketDay) -> int | None:
    """Return the money that was in the tin when a day was opened last."""
    return (
        MarketDay.objects.filter(date__lt=day.date)
        .exclude(state__in=[DayState.PLANNED, DayState.CANCELLED])
        .order_by("-date")
        .values_list("float_minor", flat=True)
        .first()
    )


def packed_pairs(day: MarketDay) -> list[Pair]:
    """Return the pairs in the stall box of a day by kind and number."""
    return list(
        box_of(day)
        .select_related("pattern__design", "lot__yarn")
        .order_by("pattern__foot_length_mm", "pattern__design__name", "quality", "number")
    )


def _kind_rows(rows: Iterable[dict[str, object]]) -> list[KindRow]:
    found = list(rows)
    patterns = Pattern.objects.select_related("design").in_bulk(
        {row["pattern_id"] for row in found if row["pattern_id"]}
    )
    kinds = [
        KindRow(
            pattern=patterns.get(row["pattern_id"]),
            quality=row["quality"],
            pairs=row["pairs"],
            money_minor=row.get("money_minor", 0),
            back=row.get("back", 0),
        )
        for row in found
    ]
    return sorted(
        kinds,
        key=lambda kind: (
            kind.pattern.foot_length_mm if kind.pattern else 1e9,
            kind.name,
            kind.quality,
        ),
    )
