"""Acts of market days added up by day and pattern: a fixed number of questions each time."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from math import inf

from django.db.models import Count, Exists, F, Max, OuterRef, Q, Subquery

from production.core.places import PairPlace
from production.models import ActKind, PairMove
from sales.core.arrivals import share_of_day
from sales.core.demand import DayRecord
from sales.models import Ask, CountCure, DayAct, MarketDay, TakenBack
from sales.services.boxes import borrowed
from sales.services.daysales import DayClock, DaySales, clocks_of, day_sales

BEFORE_OPENING = -inf


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
        last_sale: When the last one went, as the clock of the day places it.
        last_out: When pairs were last taken out of the box, placed alike.
        steps: When the box gained or lost pairs [pairs], placed alike, on days on which it
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
    last_sale: float | None = None
    last_out: float | None = None
    steps: tuple[tuple[float, int], ...] = ()

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
        empty, gone_at = self.clock_in_stock()
        if empty:
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

    def clock_in_stock(self) -> tuple[float, float | None]:
        """Return how long it was missing before a refill and when it was gone for good.

        Both are shares of the opening hours; the second is None while stock was left or the
        time is not known.
        """
        if not self.timed:
            return 0.0, None
        sold = self.sold - self.back_at_once
        gone_at = self._gone_at() if sold > 0 and sold == self.on_table else None
        return self._empty_share() if self.on_table else 0.0, gone_at

    def _gone_at(self) -> float | None:
        """Return when the last one left the table, sold or taken out [share of the day]."""
        sale, out = _within(self.last_sale), _within(self.last_out)
        return None if sale is None else max(sale, out or 0.0)

    def _empty_share(self) -> float:
        """Return how long the box lacked the kind before it was filled again [share]."""
        level, empty, since = 0, 0.0, 0.0
        for place, change in sorted(self.steps):
            share = min(1.0, max(0.0, place))
            if level <= 0 < level + change:
                empty += share - since
            level += change
            if level <= 0:
                since = share
        return empty


def day_tallies(
    days: Sequence[MarketDay], sales: DaySales | None = None
) -> dict[tuple[int, int], Tally]:
    """Return by day id and pattern id what the standing acts say; undone acts say nothing.

    Args:
        days: Market days to read.
        sales: What was sold on them, where that was read already.
    """
    tallies: dict[tuple[int, int], Tally] = defaultdict(Tally)
    clocks = clocks_of(days)
    ids = list(clocks)
    _add_moves(clocks, tallies)
    for pair in borrowed(days):
        for day_id, change in ((pair.packed_for, -1), (pair.brought_to, 1)):
            if day_id in clocks:
                tallies[day_id, pair.pattern_id].packed += change
    _add_sales(sales or day_sales(clocks), tallies)
    _add_returns(ids, tallies)
    _add_asks(ids, tallies)
    _add_found(ids, tallies)
    _add_steps(clocks, tallies)
    return dict(tallies)


def put_together(
    tallies: Mapping[tuple[int, int], Tally], pattern_ids: Collection[int]
) -> dict[int, Tally]:
    """Return by day id what the acts say of some kinds, as if they were one."""
    found: dict[int, Tally] = {}
    for (day_id, pattern_id), tally in tallies.items():
        if pattern_id in pattern_ids:
            found[day_id] = found[day_id] + tally if day_id in found else tally
    return found


def _add_moves(clocks: Mapping[int, DayClock], tallies: dict[tuple[int, int], Tally]) -> None:
    """Add what went into the stall box, and out of it again unsold or sold."""
    into = Q(act__kind=ActKind.PACK, act__pair_moves__end=PairPlace.STALL)
    out = Q(act__kind__in=(ActKind.UNPACK, ActKind.SALE), act__pair_moves__start=PairPlace.STALL)
    rows = (
        DayAct.objects.filter(into | out, day__in=list(clocks), act__undone_by__isnull=True)
        .order_by()
        .values_list("day_id", "act__pair_moves__pair__pattern_id", "act__kind")
        .annotate(pairs=Count("pk"), last_out=Max("act__at", filter=Q(act__kind=ActKind.UNPACK)))
    )
    for day_id, pattern_id, kind, pairs, last_out in rows:
        tally = tallies[day_id, pattern_id]
        if kind == ActKind.PACK:
            tally.packed = pairs
        elif kind == ActKind.SALE:
            tally.from_box = pairs
        else:
            tally.taken_out, tally.last_out = pairs, clocks[day_id].place(last_out)


def _add_sales(sales: DaySales, tallies: dict[tuple[int, int], Tally]) -> None:
    for line in sales.lines:
        # A pair made for a customer says nothing about who comes to the table.
        if line.pattern_id is None or line.ordered:
            continue
        tally = tallies[line.day_id, line.pattern_id]
        tally.sold += 1
        tally.back += not line.holds
        tally.timed = tally.timed and line.timed and line.day_id not in sales.typed_later
        tally.last_sale = _later(tally.last_sale, line.place)


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


def _add_steps(clocks: Mapping[int, DayClock], tallies: dict[tuple[int, int], Tally]) -> None:
    """Follow the box through the days on which it was filled again while open.

    What went home at closing came after the last buyer, and changes nothing.
    """
    opened = dict(
        DayAct.objects.filter(
            day__in=list(clocks), act__kind=ActKind.OPEN_DAY, act__undone_by__isnull=True
        )
        .order_by()
        .values_list("day_id")
        .annotate(at=Max("act__at"))
    )
    moves = DayAct.objects.filter(act__undone_by__isnull=True).order_by()
    fills = PairMove.objects.filter(act=OuterRef("act"), end=PairPlace.STALL)
    filled = moves.filter(Exists(fills), day__in=list(opened))
    fillings = {
        act_id: (day_id, at)
        for act_id, day_id, at in filled.values_list("act_id", "day_id", "act__at")
    }
    late = {day_id for day_id, at in fillings.values() if at > opened[day_id]}
    if not late:
        return
    into, out = Q(act__pair_moves__end=PairPlace.STALL), Q(act__pair_moves__start=PairPlace.STALL)
    rows = (
        moves.filter(into | out, day__in=late)
        .exclude(act__kind=ActKind.CLOSE_DAY)
        .values_list("day_id", "act__pair_moves__pair__pattern_id", "act_id")
        .annotate(came=Count("pk", filter=into), went=Count("pk", filter=out))
        .annotate(at=Max("act__at", filter=out))
    )
    for day_id, pattern_id, act_id, came, went, at in rows:
        moment = at or fillings[act_id][1]
        # What was packed before opening was there from the first minute.
        place = clocks[day_id].place(moment) if moment > opened[day_id] else BEFORE_OPENING
        tally = tallies[day_id, pattern_id]
        tally.steps += ((place, came - went),)


def _within(place: float | None) -> float | None:
    """Return a place in the opening hours, None outside them.

    A sale typed in at home says nothing about the time of day.
    """
    return place if place is not None and 0 <= place <= 1 else None


def _later(one: float | None, other: float | None) -> float | None:
    return max((place for place in (one, other) if place is not None), default=None)
