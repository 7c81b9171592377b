"""Market days month by month, and as a feed that any calendar can read."""

import calendar
import datetime as dt
import secrets
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.db.models import Count, Max
from django.utils import timezone
from django.utils.crypto import constant_time_compare, salted_hmac

from patterns.core.words import say
from sales.models import DayState, MarketDay, Order
from socktrade.models import Workshop

if TYPE_CHECKING:
    from icalendar import Event

TOKEN_BYTES = 32
FEED_BACK = dt.timedelta(days=400)
MINUTES_BETWEEN_READS = 360


@dataclass(frozen=True, slots=True)
class Cell:
    """One date of a month with what happens on it."""

    date: dt.date
    inside: bool
    days: tuple[MarketDay, ...]
    orders: tuple[Order, ...]


def month_of(first: dt.date) -> list[list[Cell]]:
    """Return the weeks of a month, Monday first, with its market days and promised orders."""
    weeks = calendar.Calendar().monthdatescalendar(first.year, first.month)
    span = weeks[0][0], weeks[-1][-1]
    days: dict[dt.date, list[MarketDay]] = defaultdict(list)
    found = MarketDay.objects.filter(date__range=span).with_market()
    for day in found.order_by("date", "opens", "pk"):
        days[day.date].append(day)
    orders: dict[dt.date, list[Order]] = defaultdict(list)
    for order in Order.objects.due().filter(promised_on__range=span):
        orders[order.promised_on].append(order)
    return [
        [
            Cell(date, date.month == first.month, tuple(days[date]), tuple(orders[date]))
            for date in week
        ]
        for week in weeks
    ]


def feed_token() -> str:
    """Return the secret part of the feed's address, making it at the first asking."""
    workshop = Workshop.current()
    return workshop.calendar_token or renew_token()


def renew_token() -> str:
    """Give the feed another secret address; the old one stops working at once."""
    token = secrets.token_urlsafe(TOKEN_BYTES)
    Workshop.objects.filter(pk=1).update(calendar_token=token)
    return token


def is_feed_token(token: str) -> bool:
    """Return whether this is the secret of the feed."""
    known = Workshop.current().calendar_token
    return bool(known) and constant_time_compare(token, known)


def feed(*, at: dt.datetime) -> bytes:
    """Return the market days as iCalendar (RFC 5545).

    Only names, places and hours are in it: no money, no customers.
    """
    from icalendar import Calendar  # slow to load, and only the feed needs it

    sheet = Calendar()
    sheet.add("prodid", "-//Socktrade//Market days//EN")
    sheet.add("version", "2.0")
    name = say("{workshop}: market days", workshop=Workshop.current().name)
    sheet.add("x-wr-calname", str(name))
    every = dt.timedelta(minutes=MINUTES_BETWEEN_READS)
    sheet.add("refresh-interval", every, parameters={"VALUE": "DURATION"})
    days = (
        MarketDay.objects.filter(date__gte=timezone.localdate(at) - FEED_BACK)
        .with_market()
        .annotate(times=Count("changes"), last=Max("changes__at"))
    )
    for event in _events(days.order_by("date", "pk"), at):
        sheet.add_component(event)
    text: bytes = sheet.to_ical()
    return text


def _events(days: Iterable[MarketDay], at: dt.datetime) -> Iterable["Event"]:
    from icalendar import Event

    for day in days:
        event = Event()
        event.add("uid", f"{salted_hmac('market day', str(day.pk)).hexdigest()}@market-day.invalid")
        event.add("dtstamp", (day.last or at).astimezone(dt.UTC))  # type: ignore[attr-defined]
        event.add("sequence", day.times)  # type: ignore[attr-defined]
        event.add("summary", day.market.name)
        event.add("dtstart", _moment(day, day.opens))
        event.add("dtend", _moment(day, day.closes))
        if day.market.place:
            event.add("location", day.market.place)
        cancelled = day.state == DayState.CANCELLED
        event.add("status", "CANCELLED" if cancelled else "CONFIRMED")
        yield event


def _moment(day: MarketDay, time: dt.time) -> dt.datetime:
    return timezone.make_aware(dt.datetime.combine(day.date, time)).astimezone(dt.UTC)
