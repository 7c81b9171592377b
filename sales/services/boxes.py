"""Whose stall box a packed pair lies in.

A pair belongs to the day it was packed for, or brought back to the table on, last. What is
sold on another day, or goes home from it, was brought to that other day instead.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.db.models import F, OuterRef, Q, QuerySet, Subquery

from production.core.places import PairPlace
from production.models import ActKind, Pair, PairMove
from sales.models import DayAct, MarketDay

INTO_BOX = (ActKind.PACK, ActKind.RETURN)
OUT_AT_MARKET = (ActKind.SALE, ActKind.CLOSE_DAY)


@dataclass(frozen=True, slots=True)
class Borrowed:
    """A pair that was packed for one day and stood on the table of another."""

    packed_for: int
    brought_to: int
    pattern_id: int


def box_of(day: MarketDay) -> QuerySet[Pair]:
    """Return the pairs in the stall box of a day.

    A pair left behind by a day that is over or cancelled lies in every box: it is at hand
    wherever she sells next. A pair packed for another day ahead is not.
    """
    others = MarketDay.objects.upcoming().order_by().exclude(pk=day.pk)
    packed = _into_box(OuterRef("pk")).values("day_id")[:1]
    return (
        Pair.objects.in_stall_box()
        .annotate(packed_for=Subquery(packed))
        .filter(Q(packed_for__isnull=True) | ~Q(packed_for__in=others.values("pk")))
    )


def borrowed(days: Sequence[MarketDay]) -> Iterator[Borrowed]:
    """Yield the pairs that left the table of another day than they were packed for."""
    ids = [day.pk for day in days]
    packed = PairMove.objects.filter(act__in=_acts(ids, INTO_BOX)).values("pair")
    day = DayAct.objects.filter(act=OuterRef("act")).values("day_id")[:1]
    before = _into_box(OuterRef("pair")).filter(act_id__lt=OuterRef("act_id"))
    rows = (
        PairMove.objects.filter(
            act__kind__in=OUT_AT_MARKET, act__undone_by__isnull=True, start=PairPlace.STALL
        )
        .filter(Q(act__in=_acts(ids, OUT_AT_MARKET)) | Q(pair__in=packed))
        .annotate(brought_to=Subquery(day), packed_for=Subquery(before.values("day_id")[:1]))
        .exclude(packed_for=F("brought_to"))
        .filter(packed_for__isnull=False, brought_to__isnull=False)
        .values_list("packed_for", "brought_to", "pair__pattern_id")
    )
    for packed_for, brought_to, pattern_id in rows:
        yield Borrowed(packed_for, brought_to, pattern_id)


def _into_box(pair: OuterRef) -> QuerySet[DayAct]:
    return DayAct.objects.filter(
        act__kind__in=INTO_BOX,
        act__undone_by__isnull=True,
        act__pair_moves__pair=pair,
        act__pair_moves__end=PairPlace.STALL,
    ).order_by("-act_id")


def _acts(day_ids: Sequence[int], kinds: Sequence[ActKind]) -> QuerySet[DayAct]:
    standing = DayAct.objects.filter(
        day__in=day_ids, act__kind__in=kinds, act__undone_by__isnull=True
    )
    return standing.values("act_id")
