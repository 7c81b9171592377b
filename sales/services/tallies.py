"""Acts of market days added up by day and pattern: a fixed number of questions each time."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.db.models import Count, F, Max, OuterRef, Q, Subquery
from django.db.models.functions import TruncMinute
from django.utils import timezone

from production.core.places import PairPlace
from production.models import ActKind
from sales.core.arrivals import BURST, share_of_day
from sales.core.demand import DayRecord
from sales.models import Ask, CountCure, DayAct, MarketDay, Sale, SaleLine, TakenBack
from sales.services.boxes import borrowed

BEFORE_OPENING = dt.datetime.min.replace(tzinfo=dt.UTC)


@dataclass(slots=True)
class Tally:
    """What one day's acts say of a kind, or of several kinds together.

    Attributes:
        packed: Pairs put into the stall box [pairs].
        taken_out: Pairs taken out of it again unsold [pairs].
        back_on_table: Pairs that buyers brought back to the table that day [pairs].
        from_box: Pairs sold that the book had in the stall box [pairs].
        sold: Sale lines of the day [pairs].
        back: Of the sold, brought back at any time [pairs].
        back_at_once: Of the sold, brought back to the table the same day [pairs].
        asked: Requests [pairs].
        timed: Whether every sale was recorded as it happened.
        last_sale: Moment of the last sale.
        last_out: Moment pairs were last taken out of the box.
        steps: Moments at which the box gained or lost pairs [pairs], on days on which it
            was filled again after opening; none on other days.
    """

    packed: int = 0
    taken_out: int = 0
    back_on_table: int = 0
    from_box: int = 0
    sold: int = 0
    back: int = 0
    back_at_once: int = 0
    asked: int = 0
    timed: bool = True
    last_sale: dt.datetime | None = None
    last_out: dt.datetime | None = None
    steps: tuple[tuple[dt.datetime, int], ...] = ()

    def __add__(self, other: "Tally") -> "Tally":
        """Return both together, as if they were one kind."""
        return Tally(
            packed=self.packed + other.packed,
            taken_out=self.taken_out + other.taken_out,
            back_on_table=self.back_on_table + other.back_on_table,
            from_box=self.from_box + other.from_box,
            sold=self.sold + other.sold,
            back=self.back + other.back,
            back_at_once=self.back_at_once + other.back_at_once,
            asked=self.asked + other.asked,
            timed=self.timed and other.timed,
            last_sale=_later(self.last_sale, other.last_sale),
            last_out=_later(self.last_out, other.last_out),
            steps=self.steps + other.steps,
        )

    @property
    def on_table(self) -> int:
        """Pairs that could be sold that day [pairs].

        A pair sold from elsewhere than the box was on the table all the same, and one that
        came back to the table within the day counts as never gone.
        """
        unpacked_sales = self.sold - self.from_box
        came = self.packed - self.taken_out + self.back_on_table + unpacked_sales
        return max(came - self.back_at_once, self.sold - self.back_at_once, 0)

    def record(self, day: MarketDay, weights: Sequence[float] = ()) -> DayRecord:
        """Return the day as the arithmetic takes it.

        Args:
            day: The market day.
            weights: Custom of equal parts of the day, as learned; none means even.
        """
        sold = self.sold - self.back_at_once
        empty, gone_at = self.clock_in_stock(day)
        empty = share_of_day(empty, 0, 1, weights)
        if gone_at is not None:
            gone_at = share_of_day(gone_at, 0, 1, weights)
        return DayRecord(
            brought=self.on_table,
            sold=sold,
            factor=day.factor,
            sold_out_at=gone_at,
            requests_noted=day.requests_noted,
            asked=self.asked if day.requests_noted else 0,
            returned=max(0, self.back - self.back_at_once),
            empty_share=min(empty, 1.0 if gone_at is None else gone_at),
        )

    def clock_in_stock(self, day: MarketDay) -> tuple[float, float | None]:
        """Return how long it was missing before a refill and when it was gone for good.

        Both are shares of the opening hours; the second is None while stock was left or the
        time is not known.
        """
        if not self.timed:
            return 0.0, None
        sold = self.sold - self.back_at_once
        gone_at = self._gone_at(day) if sold > 0 and sold == self.on_table else None
        return self._empty_share(day) if self.on_table else 0.0, gone_at

    def _gone_at(self, day: MarketDay) -> float | None:
        """Return when the last one left the table, sold or taken out [share of the day]."""
        sale = day.share_of_day(self.last_sale) if self.last_sale else None
        out = day.share_of_day(self.last_out) if self.last_out else None
        return None if sale is None else max(sale, out or 0.0)

    def _empty_share(self, day: MarketDay) -> float:
        """Return how long the box lacked the kind before it was filled again [share]."""
        level, empty, since = 0, 0.0, 0.0
        for moment, change in sorted(self.steps):
            share = _share(day, moment)
            if level <= 0 < level + change:
                empty += share - since
            level += change
            if level <= 0:
                since = share
        return empty


def day_tallies(days: Sequence[MarketDay]) -> dict[tuple[int, int], Tally]:
    """Return by day id and pattern id what the standing acts say; undone acts say nothing."""
    tallies: dict[tuple[int, int], Tally] = defaultdict(Tally)
    ids = [day.pk for day in days]
    for key, pairs, _ in _moves(ids, ActKind.PACK, end=PairPlace.STALL):
        tallies[key].packed = pairs
    for key, pairs, last in _moves(ids, ActKind.UNPACK, start=PairPlace.STALL):
        tallies[key].taken_out, tallies[key].last_out = pairs, last
    for key, pairs, _ in _moves(ids, ActKind.SALE, start=PairPlace.STALL):
        tallies[key].from_box = pairs
    for pair in borrowed(days):
        for day_id, change in ((pair.packed_for, -1), (pair.brought_to, 1)):
            if day_id in ids:
                tallies[day_id, pair.pattern_id].packed += change
    _add_sales(ids, tallies)
    _add_returns(ids, tallies)
    _add_asks(ids, tallies)
    _add_found(ids, tallies)
    _add_steps(ids, tallies)
    return dict(tallies)


def _moves(
    day_ids: Sequence[int], kind: ActKind, **ends: PairPlace
) -> Iterator[tuple[tuple[int, int], int, dt.datetime]]:
    place = {f"act__pair_moves__{end}": value for end, value in ends.items()}
    rows = (
        DayAct.objects.filter(day__in=day_ids, act__kind=kind, act__undone_by__isnull=True, **place)
        .values_list("day_id", "act__pair_moves__pair__pattern_id")
        .annotate(pairs=Count("act__pair_moves"), last=Max("act__at"))
    )
    for day_id, pattern_id, pairs, last in rows:
        yield (day_id, pattern_id), pairs, last


def _add_sales(day_ids: Sequence[int], tallies: dict[tuple[int, int], Tally]) -> None:
    typed_later = days_typed_later(day_ids)
    rows = (
        SaleLine.objects.filter(
            sale__day__in=day_ids, sale__act__undone_by__isnull=True, pattern__isnull=False
        )
        # A pair made for a customer says nothing about who comes to the table.
        .filter(sale__hand_over__isnull=True)
        .values_list("sale__day_id", "pattern_id")
        .annotate(
            pairs=Count("pk"),
            back=Count("pk", filter=Q(holds=False)),
            untimed=Count("pk", filter=Q(sale__timed=False)),
            last=Max("sale__act__at"),
        )
    )
    for day_id, pattern_id, pairs, back, untimed, last in rows:
        tally = tallies[day_id, pattern_id]
        tally.sold, tally.back, tally.last_sale = pairs, back, last
        tally.timed = not untimed and day_id not in typed_later


def days_typed_later(day_ids: Sequence[int]) -> set[int]:
    """Return the days with more sales in one minute than anybody makes at a stall."""
    rows = (
        Sale.objects.standing()
        .filter(day__in=day_ids, timed=True)
        .values("day_id", minute=TruncMinute("act__at"))
        .annotate(sales=Count("pk"))
        .filter(sales__gte=BURST)
    )
    return {row["day_id"] for row in rows}


def _add_returns(day_ids: Sequence[int], tallies: dict[tuple[int, int], Tally]) -> None:
    rows = (
        TakenBack.objects.filter(
            day__in=day_ids,
            act__undone_by__isnull=True,
            act__pair_moves__end=PairPlace.STALL,
            line__pattern__isnull=False,
        )
        .values_list("day_id", "line__pattern_id")
        .annotate(pairs=Count("pk"), same_day=Count("pk", filter=Q(line__sale__day=F("day"))))
    )
    for day_id, pattern_id, pairs, same_day in rows:
        tally = tallies[day_id, pattern_id]
        tally.back_on_table, tally.back_at_once = pairs, same_day


def _add_asks(day_ids: Sequence[int], tallies: dict[tuple[int, int], Tally]) -> None:
    rows = (
        Ask.objects.filter(day__in=day_ids, act__undone_by__isnull=True, pattern__isnull=False)
        .values_list("day_id", "pattern_id")
        .annotate(times=Count("pk"))
    )
    for day_id, pattern_id, times in rows:
        tallies[day_id, pattern_id].asked = times


def _add_found(day_ids: Sequence[int], tallies: dict[tuple[int, int], Tally]) -> None:
    """Add the pairs that the count back found on the table though nobody had packed them."""
    rows = (
        CountCure.objects.filter(
            how=CountCure.How.FOUND,
            act__undone_by__isnull=True,
            line__act__in=DayAct.objects.filter(day__in=day_ids).values("act"),
        )
        .annotate(
            day_id=Subquery(DayAct.objects.filter(act=OuterRef("line__act")).values("day")[:1])
        )
        .values_list("day_id", "line__pattern_id", "pairs")
    )
    for day_id, pattern_id, pairs in rows:
        tallies[day_id, pattern_id].packed += pairs


def _add_steps(day_ids: Sequence[int], tallies: dict[tuple[int, int], Tally]) -> None:
    """Follow the box through the days on which it was filled again while open."""
    opened = dict(
        DayAct.objects.filter(
            day__in=day_ids, act__kind=ActKind.OPEN_DAY, act__undone_by__isnull=True
        )
        .values_list("day_id")
        .annotate(at=Max("act__at"))
    )
    moves = DayAct.objects.filter(act__undone_by__isnull=True, act__pair_moves__isnull=False)
    refilled = set(
        moves.filter(day__in=day_ids, act__pair_moves__end=PairPlace.STALL)
        .values_list("day_id")
        .annotate(last=Max("act__at"))
    )
    late = [pk for pk, last in refilled if pk in opened and last > opened[pk]]
    if not late:
        return
    ends = "act__pair_moves__start", "act__pair_moves__end"
    rows = moves.filter(day__in=late).values_list(
        "day_id", "act__pair_moves__pair__pattern_id", "act__at", *ends
    )
    for day_id, pattern_id, at, start, end in rows:
        change = (end == PairPlace.STALL) - (start == PairPlace.STALL)
        # What was packed before opening was there from the first minute.
        moment = at if at > opened[day_id] else BEFORE_OPENING
        tally = tallies[day_id, pattern_id]
        tally.steps += ((moment, change),)


def _share(day: MarketDay, moment: dt.datetime) -> float:
    """Return the share of the day gone by; before opening 0, after closing 1."""
    if moment <= BEFORE_OPENING:
        return 0.0
    share = day.share_of_day(moment)
    if share is not None:
        return share
    local = timezone.localtime(moment)
    return 0.0 if (local.date(), local.time()) < (day.date, day.opens) else 1.0


def _later(one: dt.datetime | None, other: dt.datetime | None) -> dt.datetime | None:
    return max((moment for moment in (one, other) if moment is not None), default=None)
