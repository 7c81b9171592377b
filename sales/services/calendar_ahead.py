"""The market days still to come, planned or to be expected, up to the end of the season."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from sales.models import DayState, DesignSeason, MarketDay
from socktrade.models import Workshop

WEEK = dt.timedelta(days=7)
MOST_DAYS = 60
CHOICES = 4


@dataclass(frozen=True, slots=True)
class DayAhead:
    """One market day to come; without `planned` it is only to be expected."""

    date: dt.date
    factor: float
    planned: MarketDay | None


@dataclass(frozen=True, slots=True)
class Ahead:
    """What is left of the season.

    Attributes:
        days: Market days to come, the nearest first.
        ends_on: Last day of the season, or None while nobody said.
        ends_of_design: Last day of designs that end earlier, by design id.
    """

    days: tuple[DayAhead, ...]
    ends_on: dt.date | None
    ends_of_design: dict[int, dt.date]

    def days_for(self, design_id: int) -> int:
        """Return how many of the days, from the first on, still want a design."""
        end = self.ends_of_design.get(design_id)
        if end is None:
            return len(self.days)
        return sum(day.date <= end for day in self.days)

    def is_guarded(self, design_id: int) -> bool:
        """Whether an end is known, so that pairs may be too many."""
        return self.ends_on is not None or design_id in self.ends_of_design

    @property
    def factors(self) -> list[float]:
        """Size of each day [normal days]."""
        return [day.factor for day in self.days]


def days_ahead(*, workshop: Workshop, today: dt.date) -> Ahead:
    """Return the planned days from today on, and one a week after them to the season's end."""
    end = workshop.season_ends_on
    if end is not None and end < today:
        end = None
    planned = MarketDay.objects.upcoming().with_market().filter(date__gte=today)
    if end is not None:
        planned = planned.filter(date__lte=end)
    days = [DayAhead(day.date, day.factor, day) for day in planned[:MOST_DAYS]]
    days += _expected(days, today, end)
    ends = dict(DesignSeason.objects.values_list("design_id", "ends_on"))
    return Ahead(tuple(days[:MOST_DAYS]), end, ends)


def next_day(*, today: dt.date) -> MarketDay | None:
    """Return the market day that is open or comes next."""
    ahead = MarketDay.objects.upcoming().with_market()
    return ahead.filter(state=DayState.OPEN).first() or ahead.filter(date__gte=today).first()


def days_to_choose(*, today: dt.date) -> list[MarketDay]:
    """Return the next few market days, the nearest first."""
    return list(MarketDay.objects.upcoming().with_market().filter(date__gte=today)[:CHOICES])


def _expected(days: list[DayAhead], today: dt.date, end: dt.date | None) -> Iterable[DayAhead]:
    if end is None:
        return
    date = (days[-1].date if days else today) + WEEK
    while date <= end:
        yield DayAhead(date, 1.0, None)
        date += WEEK
