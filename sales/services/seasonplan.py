"""The weeks to the end of the season: what to make, what may sell, and what may be left."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from django.db import transaction

from patterns.core.words import say
from patterns.models import Design, Pattern
from sales.core.seasons import (
    Band,
    SeasonKind,
    SeasonPlan,
    SeasonRun,
    plan_season,
    run_season,
)
from sales.errors import SalesError
from sales.models import DesignSeason
from sales.services.calendar_ahead import DayAhead
from sales.services.sellbook import KEEPING_SHARE, Book, read_book
from sales.services.underway import pairs_underway
from socktrade.models import Workshop

SEASONS = 300
SEED = 1
HOUR = 60
WEEK_DAYS = 7
YEARS_AHEAD = 2


@dataclass(frozen=True, slots=True)
class DayRow:
    """One market day of the plan: made before it, sold up to it, left after it."""

    day: DayAhead
    made: int
    sales: Band
    stock: Band


@dataclass(frozen=True, slots=True)
class KindRow:
    """One kind over the rest of the season.

    Attributes:
        pattern: What it is.
        start: Pairs finished or in progress today [pairs].
        made: Pairs the plan begins [pairs].
        sold: Pairs sold in nine seasons of ten, and in the middle one [pairs].
        left: Pairs left at the end of its season [pairs].
        stop_on: Last market day before which one more is worth making; None if none is.
        never_stops: Whether that is the last day of the plan, so that nothing says stop.
        guess: Whether nothing but a guess stands behind it.
    """

    pattern: Pattern
    start: int
    made: int
    sold: Band
    left: Band
    stop_on: dt.date | None
    never_stops: bool
    guess: bool


@dataclass(frozen=True, slots=True)
class SeasonPage:
    """The plan of the rest of the season.

    Attributes:
        days: Market days to come.
        kinds: Kinds, those that end in the most unsold pairs first.
        hours_per_week: Hours it was reckoned with [h].
        ends_on: End of the season, if it was set.
        missed: Pairs wanted that are not there [pairs].
        seasons: How many seasons were drawn for the bands.
        plan: What the arithmetic says.
    """

    days: tuple[DayRow, ...]
    kinds: tuple[KindRow, ...]
    hours_per_week: float
    ends_on: dt.date | None
    missed: Band
    seasons: int
    plan: SeasonPlan

    @property
    def weeks(self) -> int:
        """Whole weeks from the first to the last of the days."""
        if not self.days:
            return 0
        return (self.days[-1].day.date - self.days[0].day.date).days // WEEK_DAYS

    @property
    def left(self) -> Band:
        """Pairs left after the last day, all kinds [pairs]."""
        return self.days[-1].stock

    @property
    def expected_days(self) -> int:
        """Days that are not planned yet, one a week."""
        return sum(row.day.planned is None for row in self.days)


def plan_rest(
    *, workshop: Workshop, today: dt.date, hours_per_week: float | None = None
) -> SeasonPage | None:
    """Return the plan of the season's rest, or None while no market day lies ahead.

    Args:
        workshop: Her hours, prices and fees.
        today: Market days from today on are ahead.
        hours_per_week: Hours to reckon with [h]; None for her usual ones.
    """
    book = read_book(workshop=workshop, today=today)
    if not book.ahead.days or not book.found.kinds:
        return None
    hours = workshop.hours_per_week if hours_per_week is None else hours_per_week
    kinds, patterns, guesses = _season_kinds(book)
    if not kinds:
        return None
    factors, noise = book.ahead.factors, book.found.day_noise
    plan = plan_season(kinds, factors, _minutes(book, today, hours), noise)
    run = run_season(kinds, factors, plan.made, day_noise=noise, seasons=SEASONS, seed=SEED)
    return SeasonPage(
        days=tuple(_day_rows(book, plan, run)),
        kinds=tuple(_kind_rows(book, kinds, patterns, guesses, plan, run)),
        hours_per_week=hours,
        ends_on=book.ahead.ends_on,
        missed=run.missed,
        seasons=SEASONS,
        plan=plan,
    )


@transaction.atomic
def set_season_end(*, ends_on: dt.date | None, today: dt.date) -> None:
    """Keep the last market day of the season; None forgets it.

    Raises:
        SalesError: If the day is past or years ahead.
    """
    if ends_on is not None:
        _check_end(ends_on, today)
    Workshop.objects.filter(pk=1).update(season_ends_on=ends_on)


@transaction.atomic
def set_design_end(*, design: Design, ends_on: dt.date | None, today: dt.date) -> None:
    """Keep the day until which a design sells (winter kinds); None forgets it.

    Raises:
        SalesError: If the day is past or years ahead.
    """
    if ends_on is None:
        DesignSeason.objects.filter(design=design).delete()
        return
    _check_end(ends_on, today)
    DesignSeason.objects.update_or_create(design=design, defaults={"ends_on": ends_on})


def _check_end(ends_on: dt.date, today: dt.date) -> None:
    if not today <= ends_on <= today + dt.timedelta(days=366 * YEARS_AHEAD):
        msg = say(
            "{ends_on} is no end of a season ahead. Give a day from today to two years on.",
            ends_on=ends_on,
        )
        raise SalesError(msg, field="ends_on")


def _season_kinds(book: Book) -> tuple[list[SeasonKind], list[Pattern], list[bool]]:
    kinds, patterns, guesses = [], [], []
    underway = {pk: len(rows) for pk, rows in pairs_underway().items()}
    for history in book.found.kinds:
        pk = history.pattern.pk
        cost, price = book.costs[pk], book.net_price(pk)
        start = book.on_hand.get(pk, 0) + underway.get(pk, 0)
        if cost.minutes <= 0 or (cost.version is None and not start):
            continue
        material = min(float(cost.material_minor), 0.99 * price)
        kinds.append(
            SeasonKind(
                name=str(history.pattern),
                rate=history.rate,
                on_hand=start,
                minutes=cost.minutes,
                price=max(price, 1.0),
                cost=max(material, 0.01),
                carried=min(book.carried(pk), 0.99 * max(material, 0.01)),
                last_day=book.ahead.days_for(history.pattern.design_id),
                ends=book.ahead.is_guarded(history.pattern.design_id),
                keeping=price * KEEPING_SHARE,
            )
        )
        patterns.append(history.pattern)
        guesses.append(history.rate.guess)
    return kinds, patterns, guesses


def _minutes(book: Book, today: dt.date, hours_per_week: float) -> list[float]:
    """Return the minutes before each day since the one before it [min]."""
    dates = [today, *(day.date for day in book.ahead.days)]
    a_day = hours_per_week * HOUR / WEEK_DAYS
    return [a_day * (after - before).days for before, after in pairwise(dates)]


def _day_rows(book: Book, plan: SeasonPlan, run: SeasonRun) -> Sequence[DayRow]:
    return [
        DayRow(day, sum(made), sales, stock)
        for day, made, sales, stock in zip(
            book.ahead.days, plan.made, run.sales, run.stock, strict=True
        )
    ]


def _kind_rows(
    book: Book,
    kinds: Sequence[SeasonKind],
    patterns: Sequence[Pattern],
    guesses: Sequence[bool],
    plan: SeasonPlan,
    run: SeasonRun,
) -> Sequence[KindRow]:
    dates = [day.date for day in book.ahead.days]
    rows = [
        KindRow(
            pattern=pattern,
            start=kinds[i].on_hand,
            made=sum(made[i] for made in plan.made),
            sold=run.sold[i],
            left=run.left[i],
            stop_on=dates[plan.last_worth[i] - 1] if plan.last_worth[i] else None,
            never_stops=plan.last_worth[i] == len(dates),
            guess=guesses[i],
        )
        for i, pattern in enumerate(patterns)
    ]
    return sorted(rows, key=lambda row: (-row.left.middle, row.pattern.foot_length_mm))
