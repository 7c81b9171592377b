"""Money taken for an order before it is handed over, and paid back when it comes to nothing."""

from django.db import transaction
from django.db.models import Sum

from patterns.core.words import say
from production.errors import CannotUndoError
from production.models import Act, ActKind
from production.services.acts import Who, record, recorded
from sales.errors import SalesError
from sales.models import DayAct, DayState, Deposit, MarketDay, Order, OrderState, Payment


@transaction.atomic
def take_deposit(
    *,
    order: Order,
    amount_minor: int,
    paid_by: Payment,
    who: Who,
    day: MarketDay | None = None,
) -> Deposit:
    """Take money for an order; on a market day it is part of that day's takings.

    Raises:
        SalesError: If the order is over, the amount is nothing or more than is still to pay,
            or the day is not open.
    """
    if done := recorded(who.key):
        return Deposit.objects.get(act=done)
    order = Order.objects.select_for_update(of=("self",)).get(pk=order.pk)
    if order.state not in (OrderState.OPEN, OrderState.READY):
        msg = say(
            "This order is {state}; nothing more is taken for it.", state=order.get_state_display()
        )
        raise SalesError(msg)
    if not 0 < amount_minor <= order.balance_minor:
        msg = say("A deposit is more than nothing and at most what is still to pay.")
        raise SalesError(msg, field="deposit")
    return _write(order, amount_minor, paid_by, who, day)


@transaction.atomic
def pay_back_deposits(
    *, order: Order, paid_by: Payment, who: Who, day: MarketDay | None = None
) -> Deposit | None:
    """Pay out everything that was taken for an order, and return what was written.

    Raises:
        SalesError: If the order was handed over, or the day is not open.
    """
    if done := recorded(who.key):
        return Deposit.objects.get(act=done)
    order = Order.objects.select_for_update(of=("self",)).get(pk=order.pk)
    if order.state == OrderState.HANDED_OVER:
        msg = say("This order was handed over; take the pair back at the till instead.")
        raise SalesError(msg)
    if not order.deposit_minor:
        return None
    return _write(order, -order.deposit_minor, paid_by, who, day)


def add_up(order_id: int) -> None:
    """Write on the order what its standing deposits come to."""
    rows = Deposit.objects.filter(order=order_id, act__undone_by__isnull=True)
    paid = rows.aggregate(sum=Sum("amount_minor"))["sum"] or 0
    Order.objects.filter(pk=order_id).update(deposit_minor=paid)


def undo_deposit(act: Act) -> None:
    """Set the order right after a deposit was taken back.

    Raises:
        CannotUndoError: If the order was handed over since, or the money was paid back.
    """
    deposit = Deposit.objects.select_related("order").get(act=act)
    if deposit.order.state == OrderState.HANDED_OVER:
        msg = say("The order was handed over since, and this money counted. Undo that first.")
        raise CannotUndoError(msg)
    after = deposit.order.deposit_minor - deposit.amount_minor
    if not 0 <= after <= deposit.order.price_minor:
        msg = say("Other money of this order rests on that. Undo what came later first.")
        raise CannotUndoError(msg)
    add_up(deposit.order_id)


def _write(
    order: Order, amount_minor: int, paid_by: Payment, who: Who, day: MarketDay | None
) -> Deposit:
    if day is not None and day.state != DayState.OPEN:
        msg = say(
            "{day} is {state}; money goes into the tin of an open day.",
            day=day,
            state=day.get_state_display(),
        )
        raise SalesError(msg, field="day")
    act = record(ActKind.DEPOSIT, who, note=str(say("order {number}", number=order.pk)))
    if day is not None:
        DayAct.objects.create(act=act, day=day)
    deposit = Deposit.objects.create(
        act=act, order=order, day=day, amount_minor=amount_minor, paid_by=paid_by
    )
    add_up(order.pk)
    return deposit
