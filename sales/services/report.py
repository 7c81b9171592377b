"""What the acts say about demand: the questions behind “what sells” and “what to bring”."""

import datetime as dt
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import median
from typing import TypeVar

from patterns.models import Pattern
from sales.core.demand import DayRecord, Rate, demand_rate, pooled_rate
from sales.models import DayState, MarketDay
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
        size, group = self.patterns[0].size_name, self.patterns[0].get_group_display()
        return size if size.lower().startswith(group.lower()) else f"{group} {size}"

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
    days: Sequence[MarketDay], *, ask_share: float, patterns: Iterable[Pattern] = ()
) -> WhatSells:
    """Return sizes and kinds that were brought, sold or asked for, the smallest first.

    Args:
        days: Closed market days to read, oldest first.
        ask_share: Share of buyers who ask when their size is missing, 0 to 1.
        patterns: Patterns to list beside them even if these days say nothing of them.
    """
    tallies = day_tallies(days)
    patterns = _all_patterns(tallies, patterns)
    return WhatSells(
        tuple(days),
        tuple(_sizes(days, tallies, patterns, ask_share)),
        tuple(_kinds(days, tallies, patterns, ask_share)),
    )


def histories(
    days: Sequence[MarketDay], *, ask_share: float, patterns: Iterable[Pattern] = ()
) -> list[KindHistory]:
    """Return for every pattern that was ever brought, sold or asked for its days and rate.

    Args:
        days: Closed market days to read, oldest first.
        ask_share: Share of buyers who ask when their size is missing, 0 to 1.
        patterns: Patterns to list even if they never came to market.
    """
    tallies = day_tallies(days)
    return _kinds(days, tallies, _all_patterns(tallies, patterns), ask_share)


def day_records(days: Sequence[MarketDay]) -> dict[int, list[DayRecord]]:
    """Return by pattern id one record for each of the days, in their order."""
    return _records(days, day_tallies(days), lambda pk: pk)


def sold_out_clock(history: History, days: Sequence[MarketDay]) -> dt.time | None:
    """Return the middle one of the times at which it ran out, or None if none is known."""
    minutes = []
    for day, record in zip(days, history.days, strict=True):
        if record.sold_out and record.sold_out_at is not None:
            start, end = _minutes(day.opens), _minutes(day.closes)
            minutes.append(start + record.sold_out_at * (end - start))
    if not minutes:
        return None
    middle = round(median(minutes))
    return dt.time(middle // 60 % 24, middle % 60)


def _kinds(
    days: Sequence[MarketDay],
    tallies: Mapping[tuple[int, int], Tally],
    patterns: Mapping[int, Pattern],
    ask_share: float,
) -> list[KindHistory]:
    records = _records(days, tallies, lambda pk: pk)
    empty = [_nothing(day) for day in days]
    lists = {pk: records.get(pk, empty) for pk in patterns}
    rates = _rates(lists, ask_share)
    found = [
        KindHistory(days=tuple(rows), rate=rates[pk], pattern=patterns[pk])
        for pk, rows in lists.items()
    ]
    return sorted(found, key=lambda h: (h.pattern.foot_length_mm, h.pattern.design.name))


def _sizes(
    days: Sequence[MarketDay],
    tallies: Mapping[tuple[int, int], Tally],
    patterns: Mapping[int, Pattern],
    ask_share: float,
) -> list[SizeHistory]:
    def size_of(pk: int) -> tuple[str, str]:
        return patterns[pk].group, patterns[pk].size_name

    found = _records(days, tallies, size_of)
    empty = [_nothing(day) for day in days]
    records = {size_of(pk): found.get(size_of(pk), empty) for pk in patterns}
    rates = _rates(records, ask_share)
    members: dict[tuple[str, str], list[Pattern]] = {}
    for pk in sorted(patterns):
        members.setdefault(size_of(pk), []).append(patterns[pk])
    sizes = [
        SizeHistory(days=tuple(rows), rate=rates[size], patterns=tuple(members[size]))
        for size, rows in records.items()
    ]
    return sorted(sizes, key=lambda h: (h.patterns[0].foot_length_mm, h.key))


def _rates(lists: Mapping[Name, Sequence[DayRecord]], ask_share: float) -> dict[Name, Rate]:
    read = {name: _readable(rows, ask_share) for name, rows in lists.items()}
    # A share of 0 leaves no request to weigh; the records hold none then.
    share = ask_share or 1.0
    pooled = pooled_rate(list(read.values()), GUESSED_PAIRS_A_DAY, share)
    return {name: demand_rate(rows, pooled, ask_share=share) for name, rows in read.items()}


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
    name_of: Callable[[int], Name],
) -> dict[Name, list[DayRecord]]:
    merged: dict[Name, dict[int, Tally]] = {}
    for (day_id, pattern_id), tally in tallies.items():
        by_day = merged.setdefault(name_of(pattern_id), {})
        by_day[day_id] = by_day[day_id] + tally if day_id in by_day else tally
    return {
        name: [by_day[day.pk].record(day) if day.pk in by_day else _nothing(day) for day in days]
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
