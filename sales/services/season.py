"""The calendar: markets, and their days planned, changed, cancelled."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from patterns.core.words import Phrase, say, say_list
from production.services.acts import Who
from sales.errors import SalesError
from sales.models import DayState, Market, MarketDay, Sale
from sales.services.changes import note_change
from sales.services.taxes import give_tax
from socktrade.models import Workshop
from socktrade.money import format_minor

EARLIEST = dt.date(2000, 1, 1)
DAYS_AHEAD = 730
MOST_WEEKS = 60
HIGHEST_FEE_MINOR = 10_000_000
FACTORS = (0.05, 20.0)


@dataclass(frozen=True, slots=True)
class DayFacts:
    """What can be changed about one day; None leaves it as it is."""

    opens: dt.time | None = None
    closes: dt.time | None = None
    fee_minor: int | None = None
    factor: float | None = None
    note: str | None = None


@transaction.atomic
def write_market(*, market: Market, figures: Mapping[str, Any], who: Who | None = None) -> Market:
    """Add a market or change what is known of it; days in the calendar stay as they are."""
    new = market.pk is None
    changed = [name for name, value in figures.items() if getattr(market, name) != value]
    for name, value in figures.items():
        setattr(market, name, value)
    market.save()
    names = say_list([str(Market._meta.get_field(name).verbose_name) for name in changed])
    if new or changed:
        words = say("Added.") if new else say("Changed: {names}.", names=names)
        note_change(who, words, market=market)
    return market


@transaction.atomic
def plan_day(
    *,
    market: Market,
    date: dt.date,
    today: dt.date,
    factor: float | None = None,
    who: Who | None = None,
) -> MarketDay:
    """Put a dated day into the calendar with the market's usual hours, fee and factor.

    Raises:
        SalesError: If the date is absurd or the market already has that day.
    """
    _refuse_absurd(date, today, "date")
    if MarketDay.objects.filter(market=market, date=date).exists():
        msg = say("{market} already has a day on {date:long}.", market=market, date=date)
        raise SalesError(msg, field="date")
    [day] = give_tax([_usual_day(market, date)])
    day.factor = factor or market.factor
    day.save()
    note_change(who, say("Planned."), day=day)
    return day


@transaction.atomic
def plan_weekly(
    *, market: Market, first: dt.date, last: dt.date, today: dt.date, who: Who | None = None
) -> list[MarketDay]:
    """Put a day of every week from `first` to `last` into the calendar.

    Dates that the market has already are left as they are.

    Raises:
        SalesError: If a date is absurd, the end lies before the start, the span is longer
            than a season, or every date is there already.
    """
    _refuse_absurd(first, today, "first")
    _refuse_absurd(last, today, "last")
    if last < first:
        msg = say("The last day lies before the first one.")
        raise SalesError(msg, field="last")
    weeks = (last - first).days // 7 + 1
    if weeks > MOST_WEEKS:
        msg = say(
            "That is {weeks} days; plan at most {MOST_WEEKS} weeks at once.",
            weeks=weeks,
            MOST_WEEKS=MOST_WEEKS,
        )
        raise SalesError(msg, field="last")
    dates = [first + dt.timedelta(weeks=week) for week in range(weeks)]
    there = set(
        MarketDay.objects.filter(market=market, date__in=dates).values_list("date", flat=True)
    )
    missing = [date for date in dates if date not in there]
    if not missing:
        msg = say("{market} has all of these days already.", market=market)
        raise SalesError(msg, field="first")
    made = MarketDay.objects.bulk_create(give_tax([_usual_day(market, date) for date in missing]))
    for day in made:
        note_change(who, say("Planned."), day=day)
    return made


@transaction.atomic
def change_day(*, day: MarketDay, facts: DayFacts, who: Who | None = None) -> MarketDay:
    """Change hours, fee, factor or note of one day; what was before is written down.

    Raises:
        SalesError: If it would close before it opens, a figure is absurd, or the size of
            the day is changed after something was sold.
    """
    day = lock_day(day)
    if facts.factor not in (None, day.factor):
        _refuse_hindsight(day)
    told = []
    for name in ("opens", "closes", "fee_minor", "factor", "note"):
        value, before = getattr(facts, name), getattr(day, name)
        if value is not None and value != before:
            setattr(day, name, value)
            told.append(_told(name, before, value))
    _check_facts(day)
    if told:
        day.save(update_fields=["opens", "closes", "fee_minor", "factor", "note"])
        note_change(who, say("Changed {what}.", what="; ".join(map(str, told))), day=day)
    return day


def _told(name: str, before: Any, value: Any) -> Phrase:
    """Return a changed figure of a day as it was and as it is."""
    return say(
        "{what}: {before} → {value}",
        what=MarketDay._meta.get_field(name).verbose_name,
        before=_shown(name, before),
        value=_shown(name, value),
    )


def _shown(name: str, value: Any) -> str:
    if name.endswith("_minor"):
        return format_minor(value, Workshop.current().currency)
    if isinstance(value, dt.time):
        return say("{time:clock}", time=value)
    if isinstance(value, float):
        return say("{figure:g}", figure=value)
    return str(value) or "–"


def _refuse_hindsight(day: MarketDay) -> None:
    """Refuse a size of the day that its own sales would have told: it says nothing then."""
    if day.state == DayState.CLOSED or Sale.objects.standing().filter(day=day).exists():
        msg = say(
            "How busy a day is has to be said before anything is sold; afterwards the "
            "sales themselves would decide how they are read."
        )
        raise SalesError(msg, field="factor")


@transaction.atomic
def cancel_day(*, day: MarketDay, reason: str = "", who: Who | None = None) -> MarketDay:
    """Strike a planned day; it stays in the calendar as cancelled, with the reason.

    Raises:
        SalesError: If the day was opened before.
    """
    day = _change_state(day, DayState.PLANNED, DayState.CANCELLED)
    if reason:
        MarketDay.objects.filter(pk=day.pk).update(note=reason)
        day.note = reason
    words = say("Cancelled: {reason}.", reason=reason) if reason else say("Cancelled.")
    note_change(who, words, day=day)
    return day


@transaction.atomic
def restore_day(*, day: MarketDay, who: Who | None = None) -> MarketDay:
    """Put a cancelled day back into the calendar.

    Raises:
        SalesError: If the day is not cancelled.
    """
    day = _change_state(day, DayState.CANCELLED, DayState.PLANNED)
    note_change(who, say("Put back into the calendar."), day=day)
    return day


def lock_day(day: MarketDay) -> MarketDay:
    """Read a day for changing, its market beside it."""
    return MarketDay.objects.select_for_update(of=("self",)).select_related("market").get(pk=day.pk)


def _usual_day(market: Market, date: dt.date) -> MarketDay:
    return MarketDay(
        market=market,
        date=date,
        opens=market.opens,
        closes=market.closes,
        factor=market.factor,
        fee_minor=market.fee_minor,
    )


def _change_state(day: MarketDay, start: DayState, end: DayState) -> MarketDay:
    day = lock_day(day)
    if day.state != start:
        msg = say(
            "This day is {state}; only a {start} day can be {end}.",
            state=day.get_state_display(),
            start=start.label,
            end=end.label,
        )
        raise SalesError(msg)
    day.state = end
    day.save(update_fields=["state"])
    return day


def _check_facts(day: MarketDay) -> None:
    if day.closes <= day.opens:
        msg = say("A day closes after it opens.")
        raise SalesError(msg, field="closes")
    if not 0 <= day.fee_minor <= HIGHEST_FEE_MINOR:
        msg = say("No stall costs that much for a day. Check the amount.")
        raise SalesError(msg, field="fee")
    low, high = FACTORS
    if not low <= day.factor <= high:
        msg = say(
            "{factor:g} is no measure of how busy a day is; {low:g} to {high:g}.",
            factor=day.factor,
            low=low,
            high=high,
        )
        raise SalesError(msg, field="factor")


def _refuse_absurd(date: dt.date, today: dt.date, field: str) -> None:
    if not EARLIEST <= date <= today + dt.timedelta(days=DAYS_AHEAD):
        msg = say(
            "{date:long} is no day to plan for. Give a date from the year 2000 to two years ahead.",
            date=date,
        )
        raise SalesError(msg, field=field)
