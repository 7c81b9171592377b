"""The sheet of a market day: what was taken, what is left, what was asked for."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache, lru_cache

from django.db.models import Count, Exists, F, OuterRef, Q, Subquery, Sum, Value

from patterns.core.words import say
from patterns.models import Pattern
from production.models import ActKind, Pair, Yarn
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
from sales.services.tiles import DAYS_AT_ONCE
from socktrade.questions import Question

NEWEST = 50
SETTLED_LISTED = 20


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
    """Return the newest standing purchase of a day, its number of lines as `pairs`."""
    return _last_sale(day.pk).first()


@lru_cache(maxsize=DAYS_AT_ONCE)
def _last_sale(day_id: int) -> Question[Sale]:
    """Return the question for it, made once for each day."""
    lines = SaleLine.objects.filter(sale=OuterRef("pk")).order_by().values("sale")
    pairs = Subquery(lines.annotate(n=Count("pk")).values("n"))
    sales = Sale.objects.standing().filter(day=day_id).select_related("act").annotate(pairs=pairs)
    return Question(sales.order_by("-pk")[:1])


def kinds_and_colours() -> tuple[list[Pattern], list[Yarn]]:
    """Return every pattern that pairs were made of, and every yarn they were made in."""
    # Asked of each in turn, one pair answers; gathered from the pairs, all would be read.
    made = Exists(Pair.objects.filter(pattern=OuterRef("pk")))
    made_in = Exists(Pair.objects.filter(lot__yarn=OuterRef("pk")))
    patterns = Pattern.objects.filter(made).select_related("design")
    yarns = Yarn.objects.filter(made_in).order_by("name", "colour")
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
    return sum(count for _, count in _open_items())


@cache
def _open_items() -> Question[tuple[int, int]]:
    """Return the question for how much needs sorting out, from the book and from phones."""
    waiting = (SortOut.objects.filter(settled_by__isnull=True), PhoneAct.objects.to_sort_out())
    book, phones = (
        rows.order_by().values(all=Value(1)).annotate(n=Count("pk")).values_list("all", "n")
        for rows in waiting
    )
    return Question(book.union(phones, all=True))


def settled_items(*, before: tuple[int, int] | None = None) -> tuple[list[SortOut], bool]:
    """Return what was settled last, and whether more was settled before that.

    Args:
        before: Act that settled the last one shown, and the key of that one; none from the newest.
    """
    rows = SortOut.objects.filter(settled_by__isnull=False)
    if before is not None:
        act_id, pk = before
        rows = rows.filter(Q(settled_by__lt=act_id) | Q(pk__lt=pk), settled_by__lte=act_id)
    found = list(
        rows.select_related("settled_by__by")
        .only("story", "settled_by__at", "settled_by__note", "settled_by__by__username")
        .order_by("-settled_by_id", "-pk")[: SETTLED_LISTED + 1]
    )
    return found[:SETTLED_LISTED], len(found) > SETTLED_LISTED


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
