"""Whose stall box a packed pair lies in.

A pair belongs to the day it was packed for, or brought back to the table on, last. What is
sold on another day, or goes home from it, was brought to that other day instead.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.db.models import Case, Exists, F, OuterRef, Q, QuerySet, Subquery, Sum, When

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
    packed_by = Subquery(_into_box(OuterRef("pk")).values("act_id")[:1])
    theirs = DayAct.objects.filter(act=OuterRef("packed_by"), day__in=others.values("pk"))
    return Pair.objects.in_stall_box().annotate(packed_by=packed_by).filter(~Exists(theirs))


def borrowed(days: Sequence[MarketDay]) -> Iterator[Borrowed]:
    """Yield the pairs that left the table of another day than they were packed for.

    Only pairs that one of these days touched are looked at, each along its own few moves, so
    that a day costs the same whatever the book holds beside it.
    """
    before = _into_box(OuterRef("pair")).filter(act_id__lt=OuterRef("act_id"))
    rows = (
        PairMove.objects.filter(
            pair__in=_uneven([day.pk for day in days]),
            start=PairPlace.STALL,
            act__kind__in=OUT_AT_MARKET,
            act__undone_by__isnull=True,
        )
        .annotate(
            brought_to=_day_of("act"),
            packed_by=Subquery(before.values("act_id")[:1]),
            packed_for=_day_of("packed_by"),
        )
        .exclude(packed_for=F("brought_to"))
        .filter(packed_for__isnull=False, brought_to__isnull=False)
        .values_list("packed_for", "brought_to", "pair__pattern_id")
    )
    for packed_for, brought_to, pattern_id in rows:
        yield Borrowed(packed_for, brought_to, pattern_id)


def _uneven(day_ids: Sequence[int]) -> QuerySet[DayAct]:
    """Return the pairs that one of these days put into the box more or less often than out.

    A pair that went out as often as in was lent to no other day on balance, and few are left
    to look at.
    """
    into, out = Q(act__pair_moves__end=PairPlace.STALL), Q(act__pair_moves__start=PairPlace.STALL)
    return (
        DayAct.objects.filter(into | out, day__in=day_ids, act__undone_by__isnull=True)
        .order_by()
        .values("day_id", "act__pair_moves__pair")
        .annotate(left=Sum(Case(When(into, then=1), default=-1)))
        .exclude(left=0)
        .values("act__pair_moves__pair")
    )


def _into_box(pair: OuterRef) -> QuerySet[PairMove]:
    """Return the moves of a pair into the stall box of a day, the last one first."""
    return PairMove.objects.filter(
        pair=pair,
        end=PairPlace.STALL,
        act__kind__in=INTO_BOX,
        act__undone_by__isnull=True,
    ).order_by("-act_id")


def _day_of(act: str) -> Subquery:
    return Subquery(DayAct.objects.filter(act=OuterRef(act)).values("day_id")[:1])
