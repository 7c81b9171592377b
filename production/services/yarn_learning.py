"""Grams a sock really takes, as weighings teach for a pattern version and a yarn."""

from collections import defaultdict
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from django.db.models import F
from django.db.models.functions import Coalesce

from patterns.models import PatternVersion
from production.core.grams import Interval, Lesson, lessons
from production.models import OPENING_STRING, DyeLot, RunYarn, Weighing, Yarn


@dataclass(frozen=True, slots=True)
class Learned:
    """What the scale taught of one yarn: by pattern version, and over all of them."""

    by_version: Mapping[Hashable, Lesson] = field(default_factory=dict)
    overall: Lesson | None = None

    def lesson_for(self, version: PatternVersion) -> Lesson | None:
        """Return what weighings say of this version, else of the yarn in any version."""
        return self.by_version.get(version.pk, self.overall)

    def ratio_for(self, version: PatternVersion) -> float:
        """Return grams used for each gram planned; 1 while nothing was learned."""
        return self.ratio_of(version.pk)

    def ratio_of(self, version_id: int) -> float:
        """Return the same for a version by its key."""
        lesson = self.by_version.get(version_id, self.overall)
        return lesson.ratio if lesson else 1.0


UNTAUGHT = Learned()
"""What is known of a yarn that was never weighed between strings."""


@dataclass(frozen=True, slots=True)
class _Knitted:
    """Planned grams of a version that an act took off a lot, and the act that undid it."""

    act: int
    undone: int | None
    version: int
    grams: float


def learned_of(yarn: Yarn) -> Learned:
    """Return what the weighings of all lots of a yarn teach."""
    return learned_of_yarns([yarn.pk]).get(yarn.pk, UNTAUGHT)


def learned_of_yarns(yarn_ids: Iterable[int]) -> dict[int, Learned]:
    """Return by yarn what its weighings teach, for those that were weighed, in two questions."""
    weighed: dict[int, list[Weighing]] = defaultdict(list)
    yarn_of: dict[int, int] = {}
    rows = Weighing.objects.standing().filter(lot__yarn__in=set(yarn_ids)).select_related("lot")
    for weighing in rows.order_by("act_id"):
        weighed[weighing.lot_id].append(weighing)
        yarn_of[weighing.lot_id] = weighing.lot.yarn_id
    knitted = _knitted(weighed) if weighed else {}
    intervals: dict[int, list[Interval]] = defaultdict(list)
    for lot, its in weighed.items():
        intervals[yarn_of[lot]] += _intervals(its, knitted.get(lot, []))
    return {yarn: _learned(found) for yarn, found in intervals.items()}


def interval_since_last(lot: DyeLot, difference_g: Decimal) -> Interval:
    """Return what a weighing that is not booked yet would say of the socks since the last one."""
    booked = Weighing.objects.standing().filter(lot=lot, booked=True).order_by("act_id").last()
    knitted = _knitted([lot.pk]).get(lot.pk, [])
    return Interval(_planned(knitted, booked.act_id if booked else 0, None), float(difference_g))


def _learned(intervals: list[Interval]) -> Learned:
    together = [Interval({"all": one.all_planned_g}, one.difference_g) for one in intervals]
    return Learned(lessons(intervals), lessons(together).get("all"))


def _knitted(lot_ids: Iterable[int]) -> dict[int, list[_Knitted]]:
    in_book = RunYarn.objects.exclude(run__string__number=OPENING_STRING)
    rows = in_book.filter(lot__in=list(lot_ids)).values_list(
        "lot_id",
        Coalesce("run__resumed_by_id", "run__string__act_id"),
        Coalesce("run__resumed_by__undone_by__pk", "run__string__act__undone_by__pk"),
        "run__version_id",
        F("grams") * F("run__count"),
    )
    found: dict[int, list[_Knitted]] = defaultdict(list)
    for lot, act, undone, version, grams in rows:
        found[lot].append(_Knitted(act, undone, version, grams))
    return found


def _intervals(weighings: list[Weighing], knitted: list[_Knitted]) -> list[Interval]:
    """Cut the life of a lot at the weighings that were booked or agreed with the book.

    One that damp air explains teaches nothing: its difference is carried to the next.
    """
    intervals, start = [], 0
    for weighing in weighings:
        difference = float(weighing.net_g - weighing.book_g)
        if weighing.booked:
            intervals.append(Interval(_planned(knitted, start, weighing.act_id), difference))
            start = weighing.act_id
    return intervals


def _planned(knitted: list[_Knitted], start: int, end: int | None) -> dict[Hashable, float]:
    planned: dict[Hashable, float] = defaultdict(float)
    for one in knitted:
        stood = one.undone is None or (end is not None and one.undone > end)
        if start < one.act and (end is None or one.act < end) and stood:
            planned[one.version] += one.grams
    return dict(planned)
