"""What the acts say about demand: the questions behind “what sells” and “what to bring”."""

import datetime as dt
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from statistics import median
from typing import TypeVar

from patterns.models import Pattern
from sales.core.arrivals import clock_of_share, fit_rows_and_columns
from sales.core.demand import (
    USUAL_DAY_NOISE,
    DayRecord,
    Rate,
    day_noise,
    demand_rate,
    pooled_rate,
)
from sales.models import DayState, MarketDay
from sales.services.custom import read_days
from sales.services.tallies import Tally, day_tallies

GUESSED_PAIRS_A_DAY = 1.0  # before anything was sold: one pair of a kind on a normal day

Name = TypeVar("Name", bound=Hashable)


@dataclass(frozen=True, slots=True)
class History:
    """The market days of a kind or a size, and the rate read from them.

    The rate starts with the first day on which the kind was brought, sold or asked for:
    nobody can want what nobody has seen.
    """

    days: tuple[DayRecord, ...]
    rate: Rate

    @property
    def sold(self) -> int:
        """Pairs sold on these days and not brought back."""
        return sum(day.sold - day.returned for day in self.days)

    @property
    def returned(self) -> int:
        """Pairs sold on these days that came back later."""
        return sum(day.returned for day in self.days)

    @property
    def brought(self) -> int:
        """Pairs brought to these days, each day counted."""
        return sum(day.brought for day in self.days)

    @property
    def left(self) -> int:
        """Pairs that went home again, each day counted."""
        return sum(day.brought - day.sold for day in self.days)

    @property
    def asked(self) -> int:
        """Requests noted when there was none."""
        return sum(day.asked for day in self.days)

    @property
    def sold_out_days(self) -> int:
        """Days that ended with none left."""
        return sum(1 for day in self.days if day.sold_out)

    @property
    def days_brought(self) -> int:
        """Days on which there was at least one on the table."""
        return sum(1 for day in self.days if day.brought)

    @property
    def days_known(self) -> float:
        """Market days since it was first brought, sold or asked for [normal days]."""
        return sum(day.factor for day in _known(self.days))


@dataclass(frozen=True, slots=True)
class KindHistory(History):
    """One pattern and its market days."""

    pattern: Pattern


def size_name(pattern: Pattern) -> str:
    """Return a size with its group in front where the size does not say it in some language."""
    size, group = pattern.size_name, pattern.get_group_display()
    said = size.lower().startswith((pattern.group, group.lower()))
    return size if said else f"{group} {size}"


@dataclass(frozen=True, slots=True)
class SizeHistory(History):
    """One size in all its designs. It is sold out when no design of it is left."""

    patterns: tuple[Pattern, ...]

    @property
    def group(self) -> str:
        """Whom the size is for."""
        return self.patterns[0].group

    @property
    def name(self) -> str:
        """The size as its patterns call it, with the group in front if that is missing."""
        return size_name(self.patterns[0])

    @property
    def key(self) -> str:
        """The size in an address."""
        return f"{self.group}:{self.patterns[0].size_name}"


@dataclass(frozen=True, slots=True)
class WhatSells:
    """Sizes and kinds over the same market days."""

    days: tuple[MarketDay, ...]
    sizes: tuple[SizeHistory, ...]
    kinds: tuple[KindHistory, ...]
    hours: tuple[float, ...] = ()
    day_noise: float = USUAL_DAY_NOISE
    tallies: Mapping[tuple[int, int], Tally] = field(default_factory=dict, repr=False)


def closed_days(
    *, since: dt.date | None = None, until: dt.date | None = None, market_id: int | None = None
) -> list[MarketDay]:
    """Return the market days that are over, oldest first."""
    days = MarketDay.objects.filter(state=DayState.CLOSED).with_market().order_by("date", "pk")
    if since:
        days = days.filter(date__gte=since)
    if until:
        days = days.filter(date__lte=until)
    if market_id:
        days = days.filter(market_id=market_id)
    return list(days)


def what_sells(
    days: Sequence[MarketDay],
    *,
    ask_share: float,
    patterns: Iterable[Pattern] = (),
    memory: float = 1.0,
) -> WhatSells:
    """Return sizes and kinds that were brought, sold or asked for, the smallest first.

    Args:
        days: Closed market days to read, oldest first.
        ask_share: Share of buyers who ask when their size is missing, 0 to 1.
        patterns: Patterns to list beside them even if these days say nothing of them.
        memory: Share of the evidence kept from one market day to the next, above 0 to 1.
    """
    tallies, hours = read_days(days)
    patterns = _all_patterns(tallies, patterns)
    reader = _Reader(days, tallies, hours, ask_share, memory)
    sizes = tuple(_sizes(reader, patterns))
    return WhatSells(
        days=tuple(days),
        sizes=sizes,
        kinds=tuple(_kinds(reader, patterns)),
        hours=hours,
        day_noise=_noise(sizes, ask_share),
        tallies=tallies,
    )


def day_records(days: Sequence[MarketDay]) -> dict[int, list[DayRecord]]:
    """Return by pattern id one record for each of the days, in their order."""
    return _records(days, day_tallies(days), (), lambda pk: pk)


def sold_out_clock(
    history: History, days: Sequence[MarketDay], hours: Sequence[float] = ()
) -> dt.time | None:
    """Return the middle one of the times at which it ran out, or None if none is known.

    Args:
        history: What was on the table.
        days: The market days of its records.
        hours: Custom of the parts of a day with which the records were read.
    """
    found = (clock_of(day, record, hours) for day, record in zip(days, history.days, strict=True))
    minutes = [minute for minute in found if minute is not None]
    if not minutes:
        return None
    middle = round(median(minutes))
    return dt.time(middle // 60 % 24, middle % 60)


def clock_of(day: MarketDay, record: DayRecord, hours: Sequence[float] = ()) -> float | None:
    """Return when a kind ran out that day, or None if it did not or nobody knows [min].

    Args:
        day: The market day.
        record: The kind's day, read with `hours`.
        hours: Custom of the parts of a day, as learned.
    """
    if not record.sold_out or record.sold_out_at is None:
        return None
    start, end = _minutes(day.opens), _minutes(day.closes)
    return start + clock_of_share(record.sold_out_at, hours) * (end - start)


@dataclass(frozen=True, slots=True)
class _Reader:
    """How the acts of these days are read."""

    days: Sequence[MarketDay]
    tallies: Mapping[tuple[int, int], Tally]
    hours: tuple[float, ...]
    ask_share: float
    memory: float

    def records(self, names: Mapping[int, Name]) -> dict[Name, list[DayRecord]]:
        """Return by name the records of every name, also of those without an act."""
        found = _records(self.days, self.tallies, self.hours, names.__getitem__)
        empty = [_nothing(day) for day in self.days]
        return {name: found.get(name, empty) for name in names.values()}

    def readable(self, rows: Sequence[DayRecord]) -> list[DayRecord]:
        """Return the rows that say something about the rate."""
        return _readable(rows, self.ask_share)

    def pooled(self, lists: Iterable[list[DayRecord]]) -> float:
        """Return the rate of a typical one [pairs/day]."""
        return pooled_rate(list(lists), GUESSED_PAIRS_A_DAY, self.share)

    def rate(self, rows: Sequence[DayRecord], prior: float) -> Rate:
        """Return what the rows say, leaning on a prior rate [pairs/day]."""
        return demand_rate(rows, prior, ask_share=self.share, memory=self.memory)

    @property
    def share(self) -> float:
        """Share of buyers who ask; of 0 no request is left to weigh, and any share will do."""
        return self.ask_share or 1.0


def _kinds(reader: _Reader, patterns: Mapping[int, Pattern]) -> list[KindHistory]:
    lists = reader.records({pk: pk for pk in patterns})
    priors = _cell_priors(reader, patterns, lists)
    found = [
        KindHistory(
            days=tuple(rows),
            rate=reader.rate(reader.readable(rows), priors[pk]),
            pattern=patterns[pk],
        )
        for pk, rows in lists.items()
    ]
    return sorted(found, key=lambda h: (h.pattern.foot_length_mm, h.pattern.design.name))


def _cell_priors(
    reader: _Reader,
    patterns: Mapping[int, Pattern],
    lists: Mapping[int, Sequence[DayRecord]],
) -> dict[int, float]:
    """Return for each kind what its size and its design let expect of it [pairs/day].

    A size that sells fast in a design that sells slowly is somewhere between: rate of the size
    times weight of the design, fitted over all kinds.
    """
    if not patterns:
        return {}
    read = {pk: reader.readable(rows) for pk, rows in lists.items()}
    rows = sorted({_size_of(p) for p in patterns.values()})
    columns = sorted({p.design_id for p in patterns.values()})
    events = [[0.0] * len(columns) for _ in rows]
    exposure = [[0.0] * len(columns) for _ in rows]
    for pk, pattern in patterns.items():
        i, j = rows.index(_size_of(pattern)), columns.index(pattern.design_id)
        events[i][j] += sum(day.wanted for day in read[pk])
        exposure[i][j] += sum(day.exposure(reader.share) for day in read[pk])
    fit = fit_rows_and_columns(events, exposure, reader.pooled(read.values()))
    return {
        pk: fit.rates[rows.index(_size_of(p))] * fit.weights[columns.index(p.design_id)]
        for pk, p in patterns.items()
    }


def _sizes(reader: _Reader, patterns: Mapping[int, Pattern]) -> list[SizeHistory]:
    lists = reader.records({pk: _size_of(pattern) for pk, pattern in patterns.items()})
    pooled = reader.pooled(reader.readable(rows) for rows in lists.values())
    members: dict[tuple[str, str], list[Pattern]] = {}
    for pk in sorted(patterns):
        members.setdefault(_size_of(patterns[pk]), []).append(patterns[pk])
    sizes = [
        SizeHistory(
            days=tuple(rows),
            rate=reader.rate(reader.readable(rows), pooled),
            patterns=tuple(members[size]),
        )
        for size, rows in lists.items()
    ]
    return sorted(sizes, key=lambda h: (h.patterns[0].foot_length_mm, h.key))


def _size_of(pattern: Pattern) -> tuple[str, str]:
    return pattern.group, pattern.size_name


def _noise(sizes: Sequence[SizeHistory], ask_share: float) -> float:
    """Return how much whole days differ beyond chance, from what they were expected to want.

    A day on which something sold out without a time is left out: it has no count.
    """
    totals, expected = [], []
    for day in zip(*(size.days for size in sizes), strict=True):
        known = [
            (record, size.rate.mean)
            for record, size in zip(day, sizes, strict=True)
            if record.brought
        ]
        mean = sum(rate * record.exposure(ask_share or 1.0) for record, rate in known)
        if mean > 0 and not any(record.untimed for record, _ in known):
            totals.append(float(sum(record.wanted for record, _ in known)))
            expected.append(mean)
    return day_noise(totals, expected)


def _readable(rows: Sequence[DayRecord], ask_share: float) -> list[DayRecord]:
    """Drop the days before the kind was known, and requests if nobody is said to ask."""
    known = _known(rows)
    return list(known) if ask_share else [replace(row, requests_noted=False) for row in known]


def _known(rows: Sequence[DayRecord]) -> Sequence[DayRecord]:
    first = next((i for i, row in enumerate(rows) if row.brought or row.asked), len(rows))
    return rows[first:]


def _records(
    days: Sequence[MarketDay],
    tallies: Mapping[tuple[int, int], Tally],
    hours: Sequence[float],
    name_of: Callable[[int], Name],
) -> dict[Name, list[DayRecord]]:
    merged: dict[Name, dict[int, Tally]] = {}
    for (day_id, pattern_id), tally in tallies.items():
        by_day = merged.setdefault(name_of(pattern_id), {})
        by_day[day_id] = by_day[day_id] + tally if day_id in by_day else tally
    nothing = {day.pk: _nothing(day) for day in days}
    return {
        name: [
            by_day[day.pk].record(day, hours) if day.pk in by_day else nothing[day.pk]
            for day in days
        ]
        for name, by_day in merged.items()
    }


def _nothing(day: MarketDay) -> DayRecord:
    return DayRecord(0, 0, factor=day.factor, requests_noted=day.requests_noted)


def _all_patterns(
    tallies: Mapping[tuple[int, int], Tally], patterns: Iterable[Pattern]
) -> dict[int, Pattern]:
    known = {pattern.pk: pattern for pattern in patterns}
    missing = {pk for _, pk in tallies if pk not in known}
    return known | Pattern.objects.select_related("design").in_bulk(missing)


def _minutes(time: dt.time) -> float:
    return time.hour * 60 + time.minute
