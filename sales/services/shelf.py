"""Counting the shelf: what is really there becomes acts."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db import transaction
from django.db.models import Count

from patterns.models import Pattern
from production.core.places import PairPlace
from production.models import Act, ActKind, Pair
from production.services.acts import Who, lock_pairs, move_pairs, record, recorded
from sales.errors import SalesError
from sales.models import CountLine

MOST_COUNTED = 5000


@dataclass(frozen=True, slots=True)
class ShelfKind:
    """One kind on the shelf: pattern, quality and how many the book has."""

    pattern: Pattern
    quality: str
    expected: int

    @property
    def key(self) -> str:
        """The name of its field on the count page."""
        return f"{self.pattern.pk}-{self.quality}"


def shelf_kinds(place: PairPlace = PairPlace.SHELF) -> list[ShelfKind]:
    """Return the kinds in a place, by size, each with its count."""
    rows = (
        Pair.objects.filter(place=place)
        .values("pattern_id", "quality")
        .annotate(expected=Count("pk"))
    )
    patterns = Pattern.objects.select_related("design").in_bulk([row["pattern_id"] for row in rows])
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
        msg = "Give at least one figure."
        raise SalesError(msg, field="counted")
    for figure in counted.values():
        if not 0 <= figure <= MOST_COUNTED:
            msg = f"{figure} is no count of pairs; 0 to {MOST_COUNTED}."
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
        msg = "Choose the pairs that are missing."
        raise SalesError(msg, field="pairs")
    if not reason.strip():
        msg = "Say in a few words what you think became of them."
        raise SalesError(msg, field="reason")
    act = record(ActKind.LOST, who, note=reason.strip())
    move_pairs(act, pairs, PairPlace.GONE)
    return act


@transaction.atomic
def find_again(*, pair: Pair, who: Who) -> Act:
    """Put a pair that was written off back on the shelf."""
    if done := recorded(who.key):
        return done
    act = record(ActKind.FOUND, who)
    move_pairs(act, lock_pairs([pair.pk]), PairPlace.SHELF)
    return act
