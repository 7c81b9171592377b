"""Orders: taken, followed, handed over."""

import datetime as dt
from dataclasses import dataclass

from django.db import transaction

from patterns.models import PatternVersion
from production.core.places import PairPlace
from production.models import DyeLot, Pair
from production.services.acts import Who
from sales.errors import SalesError
from sales.models import Order, OrderState, Payment, Sale
from sales.services.till import Line, sell


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


@transaction.atomic
def take_order(*, wish: Wish, today: dt.date) -> Order:
    """Write an order down.

    Raises:
        SalesError: If the promise lies in the past or the deposit exceeds the price.
    """
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
        SalesError: If the pair is not at home or is set aside for somebody else.
    """
    if pair.place not in (PairPlace.TO_TAG, PairPlace.SHELF):
        msg = f"{pair.label} is {pair.place_name}; only a pair at home can be set aside."
        raise SalesError(msg, field="pair")
    if Order.objects.filter(pair=pair).exclude(pk=order.pk).exists():
        msg = f"{pair.label} is set aside for another order."
        raise SalesError(msg, field="pair")
    order.pair, order.state = pair, OrderState.READY
    order.save(update_fields=["pair", "state"])
    return order


@transaction.atomic
def hand_over(*, order: Order, paid_by: Payment, who: Who) -> Sale:
    """Hand the pair over and take the balance; the pair is sold at the order's price.

    Raises:
        SalesError: If no pair is set aside or it was handed over before.
    """
    order = Order.objects.select_for_update(of=("self",)).get(pk=order.pk)
    if order.pair is None or order.state != OrderState.READY:
        msg = "Set a finished pair aside for this order first."
        raise SalesError(msg, field="pair")
    line = Line(price_minor=order.price_minor, pair=order.pair, reason=f"order {order.pk}")
    sale = sell(day=None, lines=[line], paid_by=paid_by, who=who, timed=False)
    Order.objects.filter(pk=order.pk).update(state=OrderState.HANDED_OVER)
    return sale
