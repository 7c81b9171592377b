"""Sales from before the book: what was sold, without the pairs that went."""

import datetime as dt
from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone

from patterns.core.words import say
from patterns.models import Pattern
from production.models import ActKind, Quality
from production.services.acts import Who, record, recorded
from sales.errors import SalesError
from sales.models import DayAct, DayState, Market, MarketDay, Payment, Sale, SaleLine
from sales.services.changes import note_change
from sales.services.season import plan_day
from sales.services.sums import takings
from sales.services.till import HIGHEST_LINE_MINOR

MOST_PAIRS = 500
NOTE = say("from before the book")


@dataclass(frozen=True, slots=True)
class PastSale:
    """Pairs of one kind that went on one day, each for the same price."""

    market: Market
    date: dt.date
    pattern: Pattern
    quality: str
    pairs: int
    price_minor: int
    paid_by: str = Payment.CASH


@transaction.atomic
def note_past_sale(*, past: PastSale, who: Who) -> Sale:
    """Record what sold on a day before the book; nothing leaves the shelf for it.

    The day is made if the calendar lacks it, closed from the start. How many were brought
    and what was asked for is not known, and the demand arithmetic reads it so: at least
    this many were wanted.

    Raises:
        SalesError: If the day is not over, the book kept that day itself, or a figure is
            absurd.
    """
    if done := recorded(who.key):
        return Sale.objects.get(act=done)
    _check(past, timezone.localdate(who.at))
    day = _past_day(past, who)
    prices = [past.price_minor] * past.pairs
    money = takings(day, prices)
    opened = timezone.make_aware(dt.datetime.combine(day.date, day.opens))
    act = record(ActKind.SALE, Who(by=who.by, at=opened, key=who.key), note=str(NOTE))
    DayAct.objects.create(act=act, day=day)
    sale = Sale.objects.create(
        act=act,
        day=day,
        paid_by=past.paid_by,
        timed=False,
        total_minor=money.gross_minor,
        tax_minor=money.tax_minor,
        tax_included=day.tax_included,
    )
    SaleLine.objects.bulk_create(
        SaleLine(sale=sale, pattern=past.pattern, quality=past.quality, price_minor=price)
        for price in prices
    )
    return sale


def _past_day(past: PastSale, who: Who) -> MarketDay:
    day = MarketDay.objects.filter(market=past.market, date=past.date).with_market().first()
    if day is None:
        day = plan_day(market=past.market, date=past.date, today=past.date)
        MarketDay.objects.filter(pk=day.pk).update(state=DayState.CLOSED, requests_noted=False)
        note_change(who, say("Written in with sales from before the book."), day=day)
        day.refresh_from_db()
    elif day.state != DayState.CLOSED or _was_kept(day):
        msg = say(
            "The book kept {day} itself. Enter what is missing on the page of that day.", day=day
        )
        raise SalesError(msg, field="date")
    return day


def _was_kept(day: MarketDay) -> bool:
    return DayAct.objects.filter(day=day, act__kind=ActKind.OPEN_DAY).exists()


def _check(past: PastSale, today: dt.date) -> None:
    if past.date >= today:
        msg = say("{date:long} is not over yet.", date=past.date)
        raise SalesError(msg, field="date")
    if not 1 <= past.pairs <= MOST_PAIRS:
        msg = say(
            "{pairs} is no count of pairs for a day; give 1 to {MOST_PAIRS}.",
            pairs=past.pairs,
            MOST_PAIRS=MOST_PAIRS,
        )
        raise SalesError(msg, field="count")
    if past.quality not in (Quality.FIRST, Quality.SECOND):
        msg = say(
            "“{quality}” is no quality of a pair; give first or second.", quality=past.quality
        )
        raise SalesError(msg, field="quality")
    if not 0 <= past.price_minor <= HIGHEST_LINE_MINOR:
        msg = say(
            "{price_minor} is no price in minor units; 0 to {HIGHEST_LINE_MINOR}.",
            price_minor=past.price_minor,
            HIGHEST_LINE_MINOR=HIGHEST_LINE_MINOR,
        )
        raise SalesError(msg, field="price")
