"""Market days: planned, packed for, opened, closed."""

import datetime as dt
from collections.abc import Iterable, Sequence

from django.db import transaction
from django.db.models import Sum

from production.core.places import PairPlace
from production.models import Act, ActKind, Pair
from production.services.acts import Who, lock_pairs, move_pairs, record, recorded
from sales.errors import SalesError
from sales.models import (
    CashCount,
    DayAct,
    DayState,
    Market,
    MarketDay,
    Payment,
    Sale,
    TakenBack,
)

EARLIEST = dt.date(2000, 1, 1)
DAYS_AHEAD = 730


@transaction.atomic
def plan_day(
    *, market: Market, date: dt.date, today: dt.date, factor: float | None = None
) -> MarketDay:
    """Put a dated day into the calendar with the market's usual hours, fee and factor.

    Raises:
        SalesError: If the date is absurd or the market already has that day.
    """
    if not EARLIEST <= date <= today + dt.timedelta(days=DAYS_AHEAD):
        msg = (
            f"{date:%d %B} {date.year} is no day to plan for. "
            "Give a date from the year 2000 to two years ahead."
        )
        raise SalesError(msg, field="date")
    if MarketDay.objects.filter(market=market, date=date).exists():
        msg = f"{market} already has a day on {date:%d %B %Y}."
        raise SalesError(msg, field="date")
    return MarketDay.objects.create(
        market=market,
        date=date,
        opens=market.opens,
        closes=market.closes,
        factor=factor or market.factor,
        fee_minor=market.fee_minor,
    )


@transaction.atomic
def pack_pairs(*, day: MarketDay, pair_ids: Iterable[int], who: Who) -> Act:
    """Put pairs from the shelf into the stall box of a day.

    Raises:
        SalesError: If nothing was chosen or the day is over.
        MoveNotAllowedError: If a pair is not on the shelf.
    """
    if done := recorded(who.key):
        return done
    day = _lock(day)
    _refuse_over(day)
    pairs = _some(lock_pairs(pair_ids))
    act = record(ActKind.PACK, who)
    move_pairs(act, pairs, PairPlace.STALL)
    DayAct.objects.create(act=act, day=day)
    return act


@transaction.atomic
def unpack_pairs(*, day: MarketDay, pair_ids: Iterable[int], who: Who) -> Act:
    """Take pairs out of the stall box again, before or during the day.

    Raises:
        SalesError: If nothing was chosen.
        MoveNotAllowedError: If a pair is not in the stall box.
    """
    if done := recorded(who.key):
        return done
    pairs = _some(lock_pairs(pair_ids))
    act = record(ActKind.UNPACK, who)
    move_pairs(act, pairs, PairPlace.SHELF)
    DayAct.objects.create(act=act, day=day)
    return act


@transaction.atomic
def open_day(*, day: MarketDay, float_minor: int, who: Who) -> Act:
    """Open the stall with the money that is in the tin.

    Raises:
        SalesError: If the day is not waiting to be opened, or another one is open.
    """
    if done := recorded(who.key):
        return done
    day = _lock(day)
    if day.state != DayState.PLANNED:
        msg = f"This day is {day.get_state_display()} already."
        raise SalesError(msg)
    other = MarketDay.objects.filter(state=DayState.OPEN).with_market().first()
    if other:
        msg = f"{other} is still open. Close it first."
        raise SalesError(msg)
    act = record(ActKind.OPEN_DAY, who)
    DayAct.objects.create(act=act, day=day)
    MarketDay.objects.filter(pk=day.pk).update(state=DayState.OPEN, float_minor=float_minor)
    return act


@transaction.atomic
def close_day(
    *,
    day: MarketDay,
    counted_minor: int,
    requests_noted: bool,
    who: Who,
    weather: str = "",
    note: str = "",
) -> Act:
    """Close the day: cash against the book, and everything unsold goes home.

    Raises:
        SalesError: If the day is not open.
    """
    if done := recorded(who.key):
        return done
    day = _lock(day)
    if day.state != DayState.OPEN:
        msg = f"This day is {day.get_state_display()}; only an open day is closed."
        raise SalesError(msg)
    expected = cash_expected(day)
    act = record(ActKind.CLOSE_DAY, who, note=note)
    DayAct.objects.create(act=act, day=day)
    CashCount.objects.create(act=act, day=day, counted_minor=counted_minor, expected_minor=expected)
    left = lock_pairs(Pair.objects.in_stall_box().values_list("pk", flat=True))
    move_pairs(act, left, PairPlace.SHELF)
    MarketDay.objects.filter(pk=day.pk).update(
        state=DayState.CLOSED, requests_noted=requests_noted, weather=weather, note=note
    )
    return act


def cash_expected(day: MarketDay) -> int:
    """Return what the tin should hold: float, cash sales, less cash paid back."""
    sold = Sale.objects.standing().filter(day=day, paid_by=Payment.CASH)
    back = TakenBack.objects.filter(day=day, paid_by=Payment.CASH, act__undone_by__isnull=True)
    return (
        day.float_minor
        + (sold.aggregate(sum=Sum("total_minor"))["sum"] or 0)
        - (back.aggregate(sum=Sum("refund_minor"))["sum"] or 0)
    )


def _lock(day: MarketDay) -> MarketDay:
    return MarketDay.objects.select_for_update(of=("self",)).select_related("market").get(pk=day.pk)


def _refuse_over(day: MarketDay) -> None:
    if day.state in (DayState.CLOSED, DayState.CANCELLED):
        msg = f"This day is {day.get_state_display()}; pack for a day that is still to come."
        raise SalesError(msg)


def _some(pairs: Sequence[Pair]) -> Sequence[Pair]:
    if not pairs:
        msg = "Choose the pairs first."
        raise SalesError(msg, field="pairs")
    return pairs
