"""Rates of every size and kind, read from the tallies of market days."""

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from sales.core.arrivals import fit_rows_and_columns
from sales.core.demand import DayRecord, Rate, day_noise, demand_rate, pooled_rate
from sales.models import MarketDay
from sales.services.tallies import Tally

GUESSED_PAIRS_A_DAY = 1.0  # before anything was sold: one pair of a kind on a normal day

Name = TypeVar("Name", bound=Hashable)
Size = tuple[str, str]
"""Whom it is for, and the size as the patterns call it."""


@dataclass(frozen=True, slots=True)
class Rates:
    """What the days say of each size and each kind.

    Attributes:
        sizes: Records and rate by size.
        kinds: Records and rate by pattern id.
        day_noise: How much whole days differ beyond chance [unitless].
    """

    sizes: Mapping[Size, tuple[tuple[DayRecord, ...], Rate]]
    kinds: Mapping[int, tuple[tuple[DayRecord, ...], Rate]]
    day_noise: float


@dataclass(frozen=True, slots=True)
class Reader:
    """How the acts of these days are read."""

    days: Sequence[MarketDay]
    tallies: Mapping[tuple[int, int], Tally]
    hours: tuple[float, ...]
    ask_share: float
    memory: float

    def rates(self, places: Mapping[int, tuple[Size, int]]) -> Rates:
        """Return the rates of these kinds and of their sizes.

        Args:
            places: Size and design id by pattern id.
        """
        sizes = self._sizes({pk: size for pk, (size, _) in places.items()})
        return Rates(sizes, self._kinds(places), self._noise([*sizes.values()]))

    def _sizes(self, size_of: Mapping[int, Size]) -> dict[Size, tuple[tuple[DayRecord, ...], Rate]]:
        lists = self._records(size_of)
        read = {size: self._readable(rows) for size, rows in lists.items()}
        pooled = self._pooled(read.values())
        return {size: (tuple(rows), self._rate(read[size], pooled)) for size, rows in lists.items()}

    def _kinds(
        self, places: Mapping[int, tuple[Size, int]]
    ) -> dict[int, tuple[tuple[DayRecord, ...], Rate]]:
        lists = self._records({pk: pk for pk in places})
        read = {pk: self._readable(rows) for pk, rows in lists.items()}
        priors = self._cell_priors(places, read)
        return {pk: (tuple(rows), self._rate(read[pk], priors[pk])) for pk, rows in lists.items()}

    def _records(self, names: Mapping[int, Name]) -> dict[Name, list[DayRecord]]:
        """Return by name the records of every name, also of those without an act."""
        found = records_of(self.days, self.tallies, self.hours, names.__getitem__)
        empty = [_nothing(day) for day in self.days]
        return {name: found.get(name, empty) for name in names.values()}

    def _readable(self, rows: Sequence[DayRecord]) -> list[DayRecord]:
        """Drop the days before the kind was known, and requests if nobody is said to ask."""
        known = days_known(rows)
        return (
            list(known) if self.ask_share else [replace(row, requests_noted=False) for row in known]
        )

    def _pooled(self, lists: Iterable[list[DayRecord]]) -> float:
        """Return the rate of a typical one [pairs/day]."""
        return pooled_rate(list(lists), GUESSED_PAIRS_A_DAY, self._share)

    def _rate(self, rows: Sequence[DayRecord], prior: float) -> Rate:
        """Return what readable rows say, leaning on a prior rate [pairs/day]."""
        return demand_rate(rows, prior, ask_share=self._share, memory=self.memory)

    @property
    def _share(self) -> float:
        """Share of buyers who ask; of 0 no request is left to weigh, and any share will do."""
        return self.ask_share or 1.0

    def _cell_priors(
        self,
        places: Mapping[int, tuple[Size, int]],
        read: Mapping[int, list[DayRecord]],
    ) -> dict[int, float]:
        """Return for each kind what its size and its design let expect of it [pairs/day].

        A size that sells fast in a design that sells slowly is somewhere between: rate of the
        size times weight of the design, fitted over all kinds.
        """
        if not places:
            return {}
        rows = sorted({size for size, _ in places.values()})
        columns = sorted({design for _, design in places.values()})
        events = [[0.0] * len(columns) for _ in rows]
        exposure = [[0.0] * len(columns) for _ in rows]
        cells = {
            pk: (rows.index(size), columns.index(design)) for pk, (size, design) in places.items()
        }
        for pk, (i, j) in cells.items():
            events[i][j] += sum(day.wanted for day in read[pk])
            exposure[i][j] += sum(day.exposure(self._share) for day in read[pk])
        fit = fit_rows_and_columns(events, exposure, self._pooled(read.values()))
        return {pk: fit.rates[i] * fit.weights[j] for pk, (i, j) in cells.items()}

    def _noise(self, sizes: Sequence[tuple[Sequence[DayRecord], Rate]]) -> float:
        """Return how much whole days differ beyond chance, from what they should have wanted.

        A day on which something sold out without a time is left out: it has no count.
        """
        totals, expected = [], []
        for day in zip(*(days for days, _ in sizes), strict=True):
            known = [
                (record, rate.mean)
                for record, (_, rate) in zip(day, sizes, strict=True)
                if record.brought
            ]
            mean = sum(rate * record.exposure(self._share) for record, rate in known)
            if mean > 0 and not any(record.untimed for record, _ in known):
                totals.append(float(sum(record.wanted for record, _ in known)))
                expected.append(mean)
        return day_noise(totals, expected)


def days_known(rows: Sequence[DayRecord]) -> Sequence[DayRecord]:
    """Return the days since it was first brought or asked for: before, nobody had seen it."""
    first = next((i for i, row in enumerate(rows) if row.brought or row.asked), len(rows))
    return rows[first:]


def records_of(
    days: Sequence[MarketDay],
    tallies: Mapping[tuple[int, int], Tally],
    hours: Sequence[float],
    name_of: Callable[[int], Name],
) -> dict[Name, list[DayRecord]]:
    """Return by name one record for each of the days, in their order.

    Args:
        days: Market days.
        tallies: What the acts say, by day id and pattern id.
        hours: Custom of equal parts of a day, as learned; none means even.
        name_of: Names a pattern id; kinds of one name are added up.
    """
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
