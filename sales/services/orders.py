"""Orders: taken, followed, handed over."""

import datetime as dt
from dataclasses import dataclass

from django.db import transaction

from patterns.models import PatternVersion
from production.core.places import PairPlace
from production.models import DyeLot, Pair
from production.services.acts import Who, lock_pairs, recorded
from sales.errors import SalesError
from sales.models import Order, OrderState, Payment, Sale
from sales.services.days import DAYS_AHEAD
from sales.services.till import Line, sell

CLOSED = (OrderState.HANDED_OVER, OrderState.CANCELLED)
ERASED = "erased"


@dataclass(frozen=True, slots=True)
class Wish:
    """What a customer wants and by when."""

    customer: str
    wish: str
    promised_on: dt.date
    price_minor: int
    deposit_minor: int = 0
    contact: str = ""
    foot_length_mm: float | None = None
    version: PatternVersion | None = None
    lot: DyeLot | None = None


@dataclass(frozen=True, slots=True)
class Due:
    """An order that is not handed over, and how its promise stands on a day."""

    order: Order
    days_left: int

    @property
    def days_late(self) -> int:
        """Days since the promised date; 0 until it has passed."""
        return max(0, -self.days_left)


def due_orders(today: dt.date) -> list[Due]:
    """Return what is still to hand over, the nearest promise first."""
    rows = Order.objects.due().select_related("version__pattern__design", "pair")
    return [due_by(order, today) for order in rows]


def due_by(order: Order, today: dt.date) -> Due:
    """Return how the promise of an order stands today."""
    return Due(order, (order.promised_on - today).days)


@transaction.atomic
def take_order(*, wish: Wish, today: dt.date) -> Order:
    """Write an order down.

    Raises:
        SalesError: If the promise lies in the past or years ahead, or the deposit exceeds
            the price.
    """
    if wish.promised_on > today + dt.timedelta(days=DAYS_AHEAD):
        msg = f"{wish.promised_on:%d %B} {wish.promised_on.year} is more than two years ahead."
        raise SalesError(msg, field="promised_on")
    if wish.promised_on < today:
        msg = f"{wish.promised_on:%d %B} {wish.promised_on.year} is past. Promise a day ahead."
        raise SalesError(msg, field="promised_on")
    if wish.deposit_minor > wish.price_minor:
        msg = "The deposit is more than the price."
        raise SalesError(msg, field="deposit")
    return Order.objects.create(
        customer=wish.customer,
        contact=wish.contact,
        wish=wish.wish,
        foot_length_mm=wish.foot_length_mm,
        version=wish.version,
        lot=wish.lot,
        taken_on=today,
        promised_on=wish.promised_on,
        price_minor=wish.price_minor,
        deposit_minor=wish.deposit_minor,
    )


@transaction.atomic
def reserve_pair(*, order: Order, pair: Pair) -> Order:
    """Set a finished pair aside for an order.

    Raises:
        SalesError: If the order is closed, or the pair is not at home or is set aside for
            somebody else.
    """
    order = _lock_open(order)
    [pair] = lock_pairs([pair.pk])
    if pair.place not in (PairPlace.TO_TAG, PairPlace.SHELF):
        msg = f"{pair.label} is {pair.place_name}; only a pair at home can be set aside."
        raise SalesError(msg, field="pair")
    other = Order.objects.filter(pair=pair).exclude(pk=order.pk).first()
    if other:
        msg = f"{pair.label} is set aside for another order ({other.customer})."
        raise SalesError(msg, field="pair")
    order.pair, order.state = pair, OrderState.READY
    order.save(update_fields=["pair", "state"])
    return order


@transaction.atomic
def release_pair(*, order: Order) -> Order:
    """Give the pair that was set aside free again; the order is to make once more.

    Raises:
        SalesError: If the order is closed or has no pair.
    """
    order = _lock_open(order)
    if order.pair_id is None:
        msg = "No pair is set aside for this order."
        raise SalesError(msg)
    order.pair, order.state = None, OrderState.OPEN
    order.save(update_fields=["pair", "state"])
    return order


@transaction.atomic
def cancel_order(*, order: Order) -> Order:
    """Cancel an order; a pair that was set aside for it is free again.

    Raises:
        SalesError: If it was handed over or cancelled before.
    """
    order = _lock_open(order)
    order.pair, order.state = None, OrderState.CANCELLED
    order.save(update_fields=["pair", "state"])
    return order


@transaction.atomic
def erase_customer(*, order: Order) -> Order:
    """Take the customer's name and contact out of an order that is over.

    Raises:
        SalesError: If the order is still to be made or handed over.
    """
    order = Order.objects.select_for_update(of=("self",)).get(pk=order.pk)
    if order.state not in CLOSED:
        msg = "This order is not over yet; you still need the name. Hand it over or cancel it."
        raise SalesError(msg)
    order.customer, order.contact = ERASED, ""
    order.save(update_fields=["customer", "contact"])
    return order


@transaction.atomic
def hand_over(*, order: Order, paid_by: Payment, who: Who) -> Sale:
    """Hand the pair over and take the balance; the pair is sold at the order's price.

    Raises:
        SalesError: If no pair is set aside or it was handed over before.
    """
    if done := recorded(who.key):
        return Sale.objects.get(act=done)
    order = Order.objects.select_for_update(of=("self",)).get(pk=order.pk)
    if order.pair is None or order.state != OrderState.READY:
        msg = "Set a finished pair aside for this order first."
        raise SalesError(msg, field="pair")
    line = Line(price_minor=order.price_minor, pair=order.pair, reason=f"order {order.pk}")
    sale = sell(day=None, lines=[line], paid_by=paid_by, who=who, timed=False)
    Order.objects.filter(pk=order.pk).update(state=OrderState.HANDED_OVER)
    return sale


def sale_of(order: Order) -> Sale | None:
    """Return the standing sale by which an order was handed over."""
    if order.pair_id is None:
        return None
    return (
        Sale.objects.standing()
        .filter(lines__pair=order.pair_id, lines__reason=f"order {order.pk}")
        .select_related("act")
        .order_by("-pk")
        .first()
    )


def _lock_open(order: Order) -> Order:
    order = Order.objects.select_for_update(of=("self",)).get(pk=order.pk)
    if order.state in CLOSED:
        msg = f"This order is {order.get_state_display()}."
        raise SalesError(msg)
    return order
