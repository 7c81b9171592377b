"""Market days: packed for, opened, closed. The calendar itself is in `season`."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from django.db import transaction
from django.db.models import Count

from patterns.core.words import say
from production.core.places import PairPlace
from production.models import Act, ActKind, Pair
from production.services.acts import Who, lock_pairs, move_pairs, record, recorded
from sales.errors import SalesError
from sales.models import CashCount, CountLine, DayAct, DayState, MarketDay, Order
from sales.services.boxes import box_of
from sales.services.purse import cards_expected, cash_expected
from sales.services.season import (
    DAYS_AHEAD,
    EARLIEST,
    DayFacts,
    cancel_day,
    change_day,
    lock_day,
    plan_day,
    plan_weekly,
    restore_day,
    write_market,
)
from socktrade.models import Workshop

__all__ = [
    "DAYS_AHEAD",
    "EARLIEST",
    "DayFacts",
    "bring_home",
    "cancel_day",
    "cash_expected",
    "change_day",
    "close_day",
    "open_day",
    "pack_pairs",
    "plan_day",
    "plan_weekly",
    "restore_day",
    "unpack_pairs",
    "write_market",
]

MOST_COUNTED = 5000
HIGHEST_TIN_MINOR = 1_000_000_000


@transaction.atomic
def pack_pairs(*, day: MarketDay, pair_ids: Iterable[int], who: Who) -> Act:
    """Put pairs from the shelf into the stall box of a day.

    Raises:
        SalesError: If nothing was chosen, the day is over or a pair is promised to a customer.
        MoveNotAllowedError: If a pair is not on the shelf.
    """
    if done := recorded(who.key):
        return done
    day = lock_day(day)
    _refuse_over(day)
    pairs = _some(lock_pairs(pair_ids))
    _refuse_promised(pairs)
    act = record(ActKind.PACK, who)
    move_pairs(act, pairs, PairPlace.STALL, start=PairPlace.SHELF)
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
    move_pairs(act, pairs, PairPlace.SHELF, start=PairPlace.STALL)
    DayAct.objects.create(act=act, day=day)
    return act


@transaction.atomic
def bring_home(*, day: MarketDay, who: Who) -> Act:
    """Put everything in the stall box of a day back on the shelf, in one act.

    Closing does the same by itself; this is for a day that was cancelled.

    Raises:
        SalesError: If the box is empty, or the day is open.
    """
    if done := recorded(who.key):
        return done
    day = lock_day(day)
    if day.state == DayState.OPEN:
        msg = say("The stall is open. Close the day; what is left then goes home.")
        raise SalesError(msg)
    pairs = lock_pairs(box_of(day).values_list("pk", flat=True))
    if not pairs:
        msg = say("The stall box of this day is empty.")
        raise SalesError(msg)
    act = record(ActKind.HOME, who)
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
    day = lock_day(day)
    if day.state != DayState.PLANNED:
        msg = say("This day is {state} already.", state=day.get_state_display())
        raise SalesError(msg)
    _check_amount(float_minor, "float")
    other = MarketDay.objects.filter(state=DayState.OPEN).with_market().first()
    if other:
        msg = say("{other} is still open. Close it first.", other=other)
        raise SalesError(msg)
    act = record(ActKind.OPEN_DAY, who)
    DayAct.objects.create(act=act, day=day)
    MarketDay.objects.filter(pk=day.pk).update(
        state=DayState.OPEN,
        float_minor=float_minor,
        tax_per_line=Workshop.current().tax_per_line,
    )
    return act


@transaction.atomic
def close_day(
    *,
    day: MarketDay,
    counted_minor: int,
    requests_noted: bool,
    who: Who,
    weather: str = "",
    facts: DayFacts | None = None,
    left: Mapping[tuple[int, str], int] | None = None,
    card_minor: int | None = None,
) -> Act:
    """Close the day: tin, cards and pairs against the book; everything unsold goes home.

    `left` is what she counted of each kind (pattern id, quality). The count moves nothing:
    what is missing stays in the book until somebody says what became of it.

    Args:
        day: The open day.
        counted_minor: Cash in the tin, float inside [minor units].
        requests_noted: Whether what was asked for was noted that day.
        who: Who closes it and when.
        weather: In a word.
        facts: Hours, fee and note as they turned out.
        left: Pairs counted by pattern id and quality [pairs].
        card_minor: What the card reader says; None if there is none [minor units].

    Raises:
        SalesError: If the day is not open or a figure is absurd.
    """
    if done := recorded(who.key):
        return done
    day = lock_day(day)
    if day.state != DayState.OPEN:
        msg = say("This day is {state}; only an open day is closed.", state=day.get_state_display())
        raise SalesError(msg)
    facts = facts or DayFacts()
    day = change_day(day=day, facts=replace(facts, note=None), who=who)
    act = record(ActKind.CLOSE_DAY, who, note=facts.note or "")
    DayAct.objects.create(act=act, day=day)
    _write_money(act, day, counted_minor, card_minor)
    _write_count(act, day, left or {})
    unsold = lock_pairs(box_of(day).values_list("pk", flat=True))
    move_pairs(act, unsold, PairPlace.SHELF)
    MarketDay.objects.filter(pk=day.pk).update(
        state=DayState.CLOSED,
        requests_noted=requests_noted,
        weather=weather,
        note=facts.note or "",
    )
    return act


def _write_money(act: Act, day: MarketDay, counted_minor: int, card_minor: int | None) -> None:
    _check_amount(counted_minor, "counted")
    _check_amount(card_minor or 0, "cards")
    CashCount.objects.create(
        act=act,
        day=day,
        counted_minor=counted_minor,
        expected_minor=cash_expected(day),
        card_counted_minor=card_minor,
        card_expected_minor=cards_expected(day),
    )


def _write_count(act: Act, day: MarketDay, left: Mapping[tuple[int, str], int]) -> None:
    for figure in left.values():
        if not 0 <= figure <= MOST_COUNTED:
            msg = say(
                "{figure} is no count of pairs; 0 to {MOST_COUNTED}.",
                figure=figure,
                MOST_COUNTED=MOST_COUNTED,
            )
            raise SalesError(msg, field="left")
    rows = Pair.objects.filter(pk__in=box_of(day).values("pk")).values_list("pattern_id", "quality")
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


def _check_amount(minor: int, field: str) -> None:
    if not 0 <= minor <= HIGHEST_TIN_MINOR:
        msg = say("No tin holds that much. Check the amount.")
        raise SalesError(msg, field=field)


def _refuse_promised(pairs: Sequence[Pair]) -> None:
    order = Order.objects.due().filter(pair__in=pairs).select_related("pair").first()
    if order and order.pair:
        msg = say(
            "{label} is set aside for {customer}. Leave it at home.",
            label=order.pair.label,
            customer=order.customer,
        )
        raise SalesError(msg, field="pairs")


def _refuse_over(day: MarketDay) -> None:
    if day.state in (DayState.CLOSED, DayState.CANCELLED):
        msg = say(
            "This day is {state}; pack for a day that is still to come.",
            state=day.get_state_display(),
        )
        raise SalesError(msg)


def _some(pairs: Sequence[Pair]) -> Sequence[Pair]:
    if not pairs:
        msg = say("Choose the pairs first.")
        raise SalesError(msg, field="pairs")
    return pairs
