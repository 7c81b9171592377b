"""Sizes by market, month, design and colour: what was brought, sold, left and asked for."""

import datetime as dt
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from statistics import median
from urllib.parse import urlencode

from django.db.models import Count

from patterns.core.words import Phrase, say
from patterns.models import Pattern
from production.core.places import PairPlace
from production.models import ActKind
from sales.core.charts import Bar, bar_chart
from sales.core.counts import per_exposure, sell_through
from sales.core.demand import DayRecord
from sales.models import Ask, DayAct, MarketDay, SaleLine
from sales.services.custom import read_days
from sales.services.report import clock_of, size_name
from sales.services.tallies import put_together

LEVEL = 0.9

Name = Callable[[MarketDay, Pattern], tuple[object, str, str]]


@dataclass(frozen=True, slots=True)
class Grouping:
    """A way to group sizes, in the words it is shown with."""

    way: Phrase
    heading: Phrase
    column: Phrase
    chart: Phrase


GROUPS = {
    "market": Grouping(
        say("By market"),
        say("Sizes by market"),
        say("Market"),
        say("Sold and asked for by market"),
    ),
    "month": Grouping(
        say("By month"),
        say("Sizes by month"),
        say("Month"),
        say("Sold and asked for by month"),
    ),
    "design": Grouping(
        say("By design"),
        say("Sizes by design"),
        say("Design"),
        say("Sold and asked for by design"),
    ),
    "colour": Grouping(
        say("By colour"),
        say("Sizes by colour"),
        say("Colour"),
        say("Sold and asked for by colour"),
    ),
}


@dataclass(slots=True)
class Cell:
    """What one group sold of one size, or of all [pairs]; `query` asks for what is behind it."""

    query: str = ""
    brought: int = 0
    sold: int = 0
    returned: int = 0
    asked: int = 0
    sold_out: int = 0
    minutes: list[float] = field(default_factory=list)
    days: dict[int, float] = field(default_factory=dict)

    @property
    def left(self) -> int:
        """Pairs that went home again, each day counted; what sold is taken off as it left."""
        return self.brought - self.sold - self.returned

    @property
    def share(self) -> float | None:
        """Sold of what was brought, in percent."""
        share = sell_through(self.sold, self.brought, of="received")
        return None if share is None else 100 * share

    @property
    def clock(self) -> dt.time | None:
        """The middle one of the times at which a kind ran out."""
        if not self.minutes:
            return None
        middle = round(median(self.minutes))
        return dt.time(middle // 60 % 24, middle % 60)

    @property
    def market_days(self) -> float:
        """Market days it was on the table or asked for [normal days]."""
        return sum(self.days.values())

    @property
    def pace(self) -> tuple[float, float, float] | None:
        """Pairs sold a market day with the exact 90 % interval; None without a day."""
        if not self.market_days:
            return None
        rate, (low, high) = per_exposure(self.sold, self.market_days, LEVEL)
        return rate, low, high

    def add(self, day: MarketDay, record: DayRecord, minute: float | None) -> None:
        """Add one kind's day."""
        self.brought += record.brought
        self.sold += record.sold - record.returned
        self.returned += record.returned
        self.asked += record.asked
        self.sold_out += record.sold_out
        if minute is not None:
            self.minutes.append(minute)
        if record.brought or record.asked:
            self.days[day.pk] = day.factor


@dataclass(frozen=True, slots=True)
class GroupRow:
    """One market, month, design or colour.

    Attributes:
        name: What it is called.
        query: What the page of the sales behind it is asked.
        total: All sizes together.
        sizes: The same by size, in the order of the columns.
    """

    name: str
    query: str
    total: Cell
    sizes: tuple[tuple[str, Cell], ...]


@dataclass(frozen=True, slots=True)
class Breakdown:
    """A table of groups by sizes.

    Attributes:
        by: What the groups are.
        sizes: Names of the columns, the smallest first.
        rows: Groups; months and markets in order, others the best sold first.
        counts_gone: Whether a group can be seen to run out; a colour of a kind cannot.
    """

    by: str
    sizes: tuple[str, ...]
    rows: tuple[GroupRow, ...]
    counts_gone: bool = True


@dataclass(frozen=True, slots=True)
class KindDay:
    """One kind's market day, and the minute at which it ran out where that is known."""

    day: MarketDay
    pattern: Pattern
    record: DayRecord
    minute: float | None


@dataclass(frozen=True, slots=True)
class Told:
    """What some market days say of each kind, ready to be grouped in several ways."""

    days: Sequence[MarketDay]
    kinds: tuple[KindDay, ...]
    sizes: dict[int, str]
    columns: tuple[str, ...]


def told_of(days: Sequence[MarketDay]) -> Told:
    """Return what these days say of each kind that was brought or asked for."""
    tallies, hours = read_days(days)
    patterns = Pattern.objects.select_related("design").in_bulk({pk for _, pk in tallies})
    by_id = {day.pk: day for day in days}
    kinds = []
    for (day_id, pattern_id), tally in sorted(tallies.items()):
        if day_id not in by_id:  # a pair lent to a day outside the range
            continue
        day = by_id[day_id]
        record = tally.record(day, hours)
        if record.brought or record.asked:
            minute = clock_of(day, record, hours)
            kinds.append(KindDay(day, patterns[pattern_id], record, minute))
    sizes = {pk: size_name(pattern) for pk, pattern in patterns.items()}
    return Told(days, tuple(kinds), sizes, tuple(_columns(patterns.values())))


def break_down(days: Sequence[MarketDay], *, by: str) -> Breakdown:
    """Return sizes by market, month, design or colour over these days.

    Raises:
        ValueError: If `by` is none of these.
    """
    if by not in GROUPS:
        msg = f"by={by!r} must be one of {', '.join(GROUPS)}."
        raise ValueError(msg)
    return _by_colour(days) if by == "colour" else group_told(told_of(days), by=by)


def group_told(told: Told, *, by: str) -> Breakdown:
    """Return what was told of kinds by market, month or design."""
    name = _month_names(told.days) if by == "month" else _NAMES[by]
    groups: dict[tuple[object, str, str], dict[str, Cell]] = defaultdict(lambda: defaultdict(Cell))
    totals: dict[tuple[object, str, str], Cell] = defaultdict(Cell)
    for one in told.kinds:
        key = name(one.day, one.pattern)
        totals[key].add(one.day, one.record, one.minute)
        groups[key][told.sizes[one.pattern.pk]].add(one.day, one.record, one.minute)
    columns = told.columns
    order = sorted(totals, key=lambda key: key[0] if by == "month" else key[1])
    if by == "design":
        order = sorted(totals, key=lambda key: -totals[key].sold)
    rows = [_group(key, totals[key], groups[key], columns) for key in order]
    return Breakdown(by, columns, tuple(rows))


def _by_market(day: MarketDay, _: Pattern) -> tuple[object, str, str]:
    return day.market_id, str(day.market), urlencode({"market": day.market_id})


def _month_names(days: Sequence[MarketDay]) -> Name:
    @cache
    def name(first: dt.date) -> tuple[object, str, str]:
        last = (first + dt.timedelta(days=31)).replace(day=1) - dt.timedelta(days=1)
        # A range that starts or ends inside the month stays as it was asked.
        since, until = max(first, days[0].date), min(last, days[-1].date)
        query = urlencode({"since": since.isoformat(), "until": until.isoformat()})
        return first, str(say("{month:month}", month=first)), query

    return lambda day, _: name(day.date.replace(day=1))


def _by_design(_: MarketDay, pattern: Pattern) -> tuple[object, str, str]:
    return pattern.design_id, str(pattern.design), urlencode({"design": pattern.design_id})


_NAMES: dict[str, Name] = {
    "market": _by_market,
    "design": _by_design,
}


def _by_colour(days: Sequence[MarketDay]) -> Breakdown:
    """Count pairs by the yarn they are of; only requests that named a colour are in it."""
    by_id = {day.pk: day for day in days}
    cells: dict[int, dict[str, Cell]] = defaultdict(lambda: defaultdict(Cell))
    totals: dict[int, Cell] = defaultdict(Cell)
    names: dict[int, str] = {}
    rows = list(_colour_rows(list(by_id)))
    patterns = Pattern.objects.select_related("design").in_bulk({row[1] for row in rows})
    for day_id, pattern_id, yarn_id, colour, brought, sold, back, asked in rows:
        names[yarn_id] = colour
        for cell in (totals[yarn_id], cells[yarn_id][size_name(patterns[pattern_id])]):
            cell.brought += brought
            cell.sold += sold - back
            cell.returned += back
            cell.asked += asked
            cell.days[day_id] = by_id[day_id].factor
    columns = _columns(patterns.values())
    order = sorted(totals, key=lambda pk: (-totals[pk].sold, names[pk]))
    found = [
        _group((pk, names[pk], urlencode({"yarn": pk})), totals[pk], cells[pk], columns)
        for pk in order
    ]
    return Breakdown("colour", tuple(columns), tuple(found), counts_gone=False)


def _colour_rows(day_ids: list[int]) -> Iterable[tuple[int, int, int, str, int, int, int, int]]:
    """Yield day, pattern, yarn, its name, pairs packed, sold, brought back and asked for."""
    pair = "act__pair_moves__pair"
    yarn = f"{pair}__lot__yarn"
    for kind, end, sign in ((ActKind.PACK, "end", 1), (ActKind.UNPACK, "start", -1)):
        place = {f"act__pair_moves__{end}": PairPlace.STALL}
        moves = (
            DayAct.objects.filter(
                day__in=day_ids, act__kind=kind, act__undone_by__isnull=True, **place
            )
            .values_list("day_id", f"{pair}__pattern_id", yarn, f"{yarn}__name", f"{yarn}__colour")
            .annotate(pairs=Count("act__pair_moves"))
        )
        for day_id, pattern_id, yarn_id, name, colour, pairs in moves:
            yield day_id, pattern_id, yarn_id, f"{name}, {colour}", sign * pairs, 0, 0, 0
    lines = (
        SaleLine.objects.filter(
            sale__day__in=day_ids, sale__act__undone_by__isnull=True, pair__isnull=False
        )
        .values_list(
            "sale__day_id", "pair__pattern_id", "pair__lot__yarn", "pair__lot__yarn__name",
            "pair__lot__yarn__colour", "holds",
        )
        .annotate(pairs=Count("pk"))
    )  # fmt: skip
    for day_id, pattern_id, yarn_id, name, colour, holds, pairs in lines:
        back = 0 if holds else pairs
        yield day_id, pattern_id, yarn_id, f"{name}, {colour}", 0, pairs, back, 0
    asks = (
        Ask.objects.filter(day__in=day_ids, act__undone_by__isnull=True)
        .filter(yarn__isnull=False, pattern__isnull=False)
        .values_list("day_id", "pattern_id", "yarn_id", "yarn__name", "yarn__colour")
        .annotate(times=Count("pk"))
    )
    for day_id, pattern_id, yarn_id, name, colour, times in asks:
        yield day_id, pattern_id, yarn_id, f"{name}, {colour}", 0, 0, 0, times


def group_chart(table: Breakdown) -> str:
    """Return the groups as a picture; empty when there are none."""
    bars = [
        Bar(
            label=row.name,
            value=max(0, row.total.sold),
            ghost=row.total.asked,
            words=_words(row.total),
        )
        for row in table.rows
    ]
    return bar_chart(bars, GROUPS[table.by].chart) if bars else ""


def _words(cell: Cell) -> str:
    if cell.asked:
        return say("{sold} sold, {asked} asked for", sold=cell.sold, asked=cell.asked)
    return say("{sold} sold", sold=cell.sold)


def breakdown_rows(table: Breakdown) -> Iterable[tuple[object, ...]]:
    """Yield the table as rows of a sheet, one for each group and size."""
    yield (
        table.by, "size", "brought", "sold", "returned", "left", "asked_for", "kinds_sold_out",
        "usual_sold_out_time", "sold_of_brought_percent", "market_days", "sold_per_market_day",
        "low_90", "high_90",
    )  # fmt: skip
    for row in table.rows:
        for size, cell in (("all", row.total), *row.sizes):
            clock, share, pace = cell.clock, cell.share, cell.pace
            gone: object = cell.sold_out if table.counts_gone else ""
            yield (
                row.name, size, cell.brought, cell.sold, cell.returned, cell.left, cell.asked,
                gone, f"{clock:%H:%M}" if clock else "",
                "" if share is None else round(share, 1), round(cell.market_days, 2),
                *([round(figure, 3) for figure in pace] if pace else [""] * 3),
            )  # fmt: skip


def _columns(patterns: Iterable[Pattern]) -> list[str]:
    ordered = sorted(patterns, key=lambda p: (p.foot_length_mm, p.size_name))
    return list(dict.fromkeys(size_name(pattern) for pattern in ordered))


def _group(
    key: tuple[object, str, str],
    total: Cell,
    cells: Mapping[str, Cell],
    columns: Sequence[str],
) -> GroupRow:
    sizes = tuple((name, cells.get(name, Cell())) for name in columns)
    for name, cell in sizes:
        cell.query = f"{key[2]}&{urlencode({'size': name})}"
    return GroupRow(key[1], key[2], total, sizes)


def day_by_day(
    days: Sequence[MarketDay], *, pattern_ids: Iterable[int]
) -> list[tuple[MarketDay, DayRecord, dt.time | None]]:
    """Return for some kinds together every day with something to tell, the newest first."""
    wanted = set(pattern_ids)
    tallies, hours = read_days(days)
    by_day = put_together(tallies, wanted)
    rows = []
    for day in reversed(days):
        if day.pk in by_day:
            record = by_day[day.pk].record(day, hours)
            minute = clock_of(day, record, hours)
            clock = (
                None if minute is None else dt.time(round(minute) // 60 % 24, round(minute) % 60)
            )
            rows.append((day, record, clock))
    return rows
