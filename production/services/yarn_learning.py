"""Grams a sock really takes, as weighings teach for a pattern version and a yarn."""

from collections import defaultdict
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from django.db.models import F
from django.db.models.functions import Coalesce

from patterns.models import PatternVersion
from production.core.grams import Interval, Lesson, lessons
from production.models import OPENING_STRING, DyeLot, RunYarn, StringRun, Weighing, Yarn
from production.services.kept import standing_of

NEWEST_LOTS = 8


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
class _Weighed:
    """What one weighing of a lot said against the book [g], and whether that was booked."""

    act: int
    difference_g: float
    booked: bool


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
    """Return by yarn what its weighings teach, for those that were weighed.

    The lots of a yarn that were weighed last are read: hands and machine change over the years.
    """
    yarns = frozenset(yarn_ids)
    return standing_of(Weighing, StringRun, RunYarn).kept(
        ("learned", yarns), lambda: _learn(yarns), weight=len(yarns) * NEWEST_LOTS
    )


def _learn(yarns: frozenset[int]) -> dict[int, Learned]:
    rows = (
        Weighing.objects.standing()
        .filter(lot__yarn__in=yarns)
        .order_by("act_id")
        .values_list("lot__yarn_id", "lot_id", "act_id", "net_g", "book_g", "booked")
    )
    weighed: dict[int, dict[int, list[_Weighed]]] = defaultdict(dict)
    for yarn, lot, act, net_g, book_g, booked in rows:
        # Taken out and put in again, so that the lots of a yarn stand in order of their last.
        its = weighed[yarn].pop(lot, [])
        weighed[yarn][lot] = [*its, _Weighed(act, float(net_g - book_g), booked)]
    newest = {yarn: dict([*lots.items()][-NEWEST_LOTS:]) for yarn, lots in weighed.items()}
    knitted = _knitted(lot for lots in newest.values() for lot in lots) if newest else {}
    return {
        yarn: _learned(
            [one for lot, its in lots.items() for one in _intervals(its, knitted.get(lot, []))]
        )
        for yarn, lots in newest.items()
    }


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


def _intervals(weighings: list[_Weighed], knitted: list[_Knitted]) -> list[Interval]:
    """Cut the life of a lot at the weighings that were booked or agreed with the book.

    One that damp air explains teaches nothing: its difference is carried to the next.
    """
    intervals, start = [], 0
    for one in weighings:
        if one.booked:
            intervals.append(Interval(_planned(knitted, start, one.act), one.difference_g))
            start = one.act
    return intervals


def _planned(knitted: list[_Knitted], start: int, end: int | None) -> dict[Hashable, float]:
    planned: dict[Hashable, float] = defaultdict(float)
    for one in knitted:
        stood = one.undone is None or (end is not None and one.undone > end)
        if start < one.act and (end is None or one.act < end) and stood:
            planned[one.version] += one.grams
    return dict(planned)
