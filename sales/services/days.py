"""Market days: planned, packed for, opened, closed."""

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django.db import transaction
from django.db.models import Count, Sum

from production.core.places import PairPlace
from production.models import Act, ActKind, Pair
from production.services.acts import Who, lock_pairs, move_pairs, record, recorded
from sales.errors import SalesError
from sales.models import (
    CashCount,
    CountLine,
    DayAct,
    DayState,
    Market,
    MarketDay,
    Order,
    Payment,
    Sale,
    TakenBack,
)

EARLIEST = dt.date(2000, 1, 1)
DAYS_AHEAD = 730
MOST_WEEKS = 60
MOST_COUNTED = 5000
HIGHEST_TIN_MINOR = 1_000_000_000


@transaction.atomic
def write_market(*, market: Market, figures: Mapping[str, Any]) -> Market:
    """Add a market or change what is known of it; days in the calendar stay as they are."""
    for name, value in figures.items():
        setattr(market, name, value)
    market.save()
    return market


@transaction.atomic
def plan_day(
    *, market: Market, date: dt.date, today: dt.date, factor: float | None = None
) -> MarketDay:
    """Put a dated day into the calendar with the market's usual hours, fee and factor.

    Raises:
        SalesError: If the date is absurd or the market already has that day.
    """
    _refuse_absurd(date, today, "date")
    if MarketDay.objects.filter(market=market, date=date).exists():
        msg = f"{market} already has a day on {date.day} {date:%B %Y}."
        raise SalesError(msg, field="date")
    day = _usual_day(market, date)
    day.factor = factor or market.factor
    day.save()
    return day


@transaction.atomic
def plan_weekly(
    *, market: Market, first: dt.date, last: dt.date, today: dt.date
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
        msg = "The last day lies before the first one."
        raise SalesError(msg, field="last")
    weeks = (last - first).days // 7 + 1
    if weeks > MOST_WEEKS:
        msg = f"That is {weeks} days; plan at most {MOST_WEEKS} weeks at once."
        raise SalesError(msg, field="last")
    dates = [first + dt.timedelta(weeks=week) for week in range(weeks)]
    there = set(
        MarketDay.objects.filter(market=market, date__in=dates).values_list("date", flat=True)
    )
    missing = [date for date in dates if date not in there]
    if not missing:
        msg = f"{market} has all of these days already."
        raise SalesError(msg, field="first")
    return MarketDay.objects.bulk_create(_usual_day(market, date) for date in missing)


@transaction.atomic
def cancel_day(*, day: MarketDay) -> MarketDay:
    """Strike a planned day; it stays in the calendar as cancelled.

    Raises:
        SalesError: If the day was opened before.
    """
    return _change_state(day, DayState.PLANNED, DayState.CANCELLED)


@transaction.atomic
def restore_day(*, day: MarketDay) -> MarketDay:
    """Put a cancelled day back into the calendar.

    Raises:
        SalesError: If the day is not cancelled.
    """
    return _change_state(day, DayState.CANCELLED, DayState.PLANNED)


@transaction.atomic
def pack_pairs(*, day: MarketDay, pair_ids: Iterable[int], who: Who) -> Act:
    """Put pairs from the shelf into the stall box of a day.

    Raises:
        SalesError: If nothing was chosen, the day is over or a pair is promised to a customer.
        MoveNotAllowedError: If a pair is not on the shelf.
    """
    if done := recorded(who.key):
        return done
    day = _lock(day)
    _refuse_over(day)
    pairs = _some(lock_pairs(pair_ids))
    _refuse_promised(pairs)
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
    _check_amount(float_minor, "float")
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
    left: Mapping[tuple[int, str], int] | None = None,
) -> Act:
    """Close the day: cash and count against the book, and everything unsold goes home.

    `left` is what she counted of each kind (pattern id, quality). The count moves nothing:
    what is missing stays in the book until somebody says what became of it.

    Raises:
        SalesError: If the day is not open or a figure is absurd.
    """
    if done := recorded(who.key):
        return done
    day = _lock(day)
    if day.state != DayState.OPEN:
        msg = f"This day is {day.get_state_display()}; only an open day is closed."
        raise SalesError(msg)
    _check_amount(counted_minor, "counted")
    expected = cash_expected(day)
    act = record(ActKind.CLOSE_DAY, who, note=note)
    DayAct.objects.create(act=act, day=day)
    CashCount.objects.create(act=act, day=day, counted_minor=counted_minor, expected_minor=expected)
    _write_count(act, left or {})
    unsold = lock_pairs(Pair.objects.in_stall_box().values_list("pk", flat=True))
    move_pairs(act, unsold, PairPlace.SHELF)
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


def _usual_day(market: Market, date: dt.date) -> MarketDay:
    return MarketDay(
        market=market,
        date=date,
        opens=market.opens,
        closes=market.closes,
        factor=market.factor,
        fee_minor=market.fee_minor,
    )


def _write_count(act: Act, left: Mapping[tuple[int, str], int]) -> None:
    for figure in left.values():
        if not 0 <= figure <= MOST_COUNTED:
            msg = f"{figure} is no count of pairs; 0 to {MOST_COUNTED}."
            raise SalesError(msg, field="left")
    rows = Pair.objects.in_stall_box().values_list("pattern_id", "quality")
    expected = {(p, q): pairs for p, q, pairs in rows.annotate(pairs=Count("pk")).order_by()}
    CountLine.objects.bulk_create(
        CountLine(
            act=act,
            pattern_id=kind[0],
            quality=kind[1],
            expected=expected.get(kind, 0),
            counted=figure,
        )
        for kind, figure in left.items()
    )


def _change_state(day: MarketDay, start: DayState, end: DayState) -> MarketDay:
    day = _lock(day)
    if day.state != start:
        msg = f"This day is {day.get_state_display()}; only a {start.label} day can be {end.label}."
        raise SalesError(msg)
    day.state = end
    day.save(update_fields=["state"])
    return day


def _check_amount(minor: int, field: str) -> None:
    if not 0 <= minor <= HIGHEST_TIN_MINOR:
        msg = "No tin holds that much. Check the amount."
        raise SalesError(msg, field=field)


def _refuse_absurd(date: dt.date, today: dt.date, field: str) -> None:
    if not EARLIEST <= date <= today + dt.timedelta(days=DAYS_AHEAD):
        msg = (
            f"{date.day} {date:%B} {date.year} is no day to plan for. "
            "Give a date from the year 2000 to two years ahead."
        )
        raise SalesError(msg, field=field)


def _refuse_promised(pairs: Sequence[Pair]) -> None:
    order = Order.objects.due().filter(pair__in=pairs).select_related("pair").first()
    if order and order.pair:
        msg = f"{order.pair.label} is set aside for {order.customer}. Leave it at home."
        raise SalesError(msg, field="pairs")


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
