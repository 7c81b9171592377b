"""What the acts say about demand: the questions behind “what sells” and “what to bring”."""

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import median

from patterns.models import Pattern, SizeGroup
from sales.core.arrivals import clock_of_share
from sales.core.demand import USUAL_DAY_NOISE, DayRecord, Rate
from sales.models import DayState, MarketDay
from sales.services.custom import facts_of, read_days, standing_of_days
from sales.services.rates import Rates, Reader, Size, days_known
from sales.services.tallies import Tally


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
        return sum(day.factor for day in days_known(self.days))


@dataclass(frozen=True, slots=True)
class KindHistory(History):
    """One pattern and its market days."""

    pattern: Pattern


def size_name(pattern: Pattern) -> str:
    """Return a size with its group in front where the size does not say it in some language."""
    size, group = pattern.size_name, str(SizeGroup(pattern.group).label)
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


def closed_days(
    *, since: dt.date | None = None, until: dt.date | None = None, market_id: int | None = None
) -> list[MarketDay]:
    """Return the market days that are over, oldest first."""
    # Many days are at few markets, so each market is read once and not beside each day.
    days = (
        MarketDay.objects.filter(state=DayState.CLOSED)
        .prefetch_related("market")
        .order_by("date", "pk")
    )
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
    standing = standing_of_days()
    tallies, hours = read_days(days, standing)
    known = _all_patterns(tallies, patterns)
    places = {pk: (_size_of(pattern), pattern.design_id) for pk, pattern in known.items()}
    reader = Reader(days, tallies, hours, ask_share, memory)
    rates = standing.kept(
        ("rates", facts_of(days), ask_share, memory, tuple(sorted(places.items()))),
        lambda: reader.rates(places),
        weight=len(days),
    )
    return WhatSells(
        days=tuple(days),
        sizes=tuple(_sizes(rates, known)),
        kinds=tuple(_kinds(rates, known)),
        hours=hours,
        day_noise=rates.day_noise,
    )


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


def _kinds(rates: Rates, patterns: Mapping[int, Pattern]) -> list[KindHistory]:
    found = [
        KindHistory(days=days, rate=rate, pattern=patterns[pk])
        for pk, (days, rate) in rates.kinds.items()
    ]
    return sorted(found, key=lambda h: (h.pattern.foot_length_mm, h.pattern.design.name))


def _sizes(rates: Rates, patterns: Mapping[int, Pattern]) -> list[SizeHistory]:
    members: dict[Size, list[Pattern]] = {}
    for pk in sorted(patterns):
        members.setdefault(_size_of(patterns[pk]), []).append(patterns[pk])
    sizes = [
        SizeHistory(days=days, rate=rate, patterns=tuple(members[size]))
        for size, (days, rate) in rates.sizes.items()
    ]
    return sorted(sizes, key=lambda h: (h.patterns[0].foot_length_mm, h.key))


def _size_of(pattern: Pattern) -> Size:
    return pattern.group, pattern.size_name


def _all_patterns(
    tallies: Mapping[tuple[int, int], Tally], patterns: Iterable[Pattern]
) -> dict[int, Pattern]:
    known = {pattern.pk: pattern for pattern in patterns}
    missing = {pk for _, pk in tallies if pk not in known}
    return known | Pattern.objects.select_related("design").in_bulk(missing)


def _minutes(time: dt.time) -> float:
    return time.hour * 60 + time.minute
