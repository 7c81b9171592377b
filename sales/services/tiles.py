"""What lies on the table as tiles, and the kinds that are not there."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any

from django.db.models import Count, Exists, Min, OuterRef, Q, Subquery

from patterns.core.words import say, say_list
from patterns.models import Pattern
from production.core.places import PairPlace
from production.models import Pair, Price, Quality
from sales.models import DayState, MarketDay, SaleLine
from sales.services.table import table_pairs
from socktrade.questions import Question

DAYS_AT_ONCE = 8  # days whose questions are kept; there is seldom more than one open


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


def tiles_of(day: MarketDay, made: Iterable[Pattern] | None = None) -> list[Tile]:
    """Return what lies on the table as tiles, the smallest size first.

    Args:
        day: Whose table.
        made: The patterns that pairs were made of, where they were read already.
    """
    return _tiles(_lying(day.pk, after=day.state == DayState.CLOSED), made)


@lru_cache(maxsize=DAYS_AT_ONCE)
def _lying(day_id: int, *, after: bool) -> Question[Any]:
    """Return the question for what lies on the table of a day, or is left after it."""
    day = MarketDay(pk=day_id, state=DayState.CLOSED if after else DayState.OPEN)
    return Question(_counted(Q(pk__in=table_pairs(day).values("pk"))))


def sheet_tiles(day: MarketDay) -> list[Tile]:
    """Return the rows of a day's tally sheet: what lies on the table and what was sold from it.

    A kind that sold out keeps its row, so that a sheet can be typed in piece by piece.
    """
    sold = SaleLine.objects.filter(sale__day=day, holds=True, pair__isnull=False)
    there = Q(pk__in=table_pairs(day).values("pk")) | Q(pk__in=sold.values("pair"))
    return _tiles(_counted(there))


def _counted(which: Q) -> Any:
    # The pairs are named by a subquery: counting across the join to the moves of a closed
    # day would count a pair once for each move.
    return (
        Pair.objects.filter(which)
        .values("pattern_id", "quality", "lot__yarn_id", "price_minor")
        .annotate(
            left=Count("pk", filter=~Q(place=PairPlace.SOLD)), colour=Min("lot__yarn__colour")
        )
        .order_by()
    )


def _tiles(counted: Iterable[dict[str, Any]], made: Iterable[Pattern] | None = None) -> list[Tile]:
    rows = list(counted)
    if made is None:
        there = {row["pattern_id"] for row in rows}
        made = Pattern.objects.select_related("design").filter(pk__in=there)
    patterns = {pattern.pk: pattern for pattern in made}
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
    day: MarketDay,
    tiles: Sequence[Tile] | None = None,
    made: Iterable[Pattern] | None = None,
) -> list[tuple[Pattern, int | None]]:
    """Return the patterns that are not on the table, with the price of a first.

    Args:
        day: Whose table.
        tiles: What lies on it, where that was read already.
        made: The patterns that pairs were made of, where they were read already.
    """
    if tiles is None:
        there = set(table_pairs(day).order_by().values_list("pattern_id", flat=True))
    else:
        there = {tile.pattern.pk for tile in tiles}
    made = patterns_made() if made is None else made
    return [(p, p.first_minor) for p in made if p.pk not in there]  # type: ignore[attr-defined]


def patterns_made() -> list[Pattern]:
    """Return the patterns that pairs were made of, the smallest size first.

    Each has the price of a first as `first_minor`. A pattern nobody ever made a pair of is a
    plan, not a kind she sells.
    """
    return list(_patterns_made())


@cache
def _patterns_made() -> Question[Pattern]:
    """Return the question for them, made once."""
    newest = Price.objects.filter(pattern=OuterRef("pk")).order_by("-since", "-pk")
    made = Pattern.objects.filter(Exists(Pair.objects.filter(pattern=OuterRef("pk"))))
    priced = made.annotate(first_minor=Subquery(newest.values("first_minor")[:1]))
    named = ("size_name", "foot_length_mm", "design", "design__name")
    return Question(priced.select_related("design").only(*named).by_size())
