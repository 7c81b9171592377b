"""Orders: taken, followed, handed over."""

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction

from patterns.core.words import say
from patterns.models import PatternVersion
from production.core.places import PairPlace
from production.models import DyeLot, Pair
from production.services.acts import Who, lock_pairs, recorded
from sales.core.money import tax_minor
from sales.errors import SalesError
from sales.models import HandOver, MarketDay, Order, OrderState, Payment, Sale
from sales.services.changes import note_change
from sales.services.customers import ERASED, erase_customer
from sales.services.customers import OVER as CLOSED
from sales.services.deposits import pay_back_deposits, take_deposit
from sales.services.following import yarn_for
from sales.services.season import DAYS_AHEAD
from sales.services.sums import TaxTaken
from sales.services.taxes import HIGHEST_PERCENT
from sales.services.till import Line, sell
from socktrade.models import Workshop

__all__ = [
    "CLOSED",
    "ERASED",
    "Due",
    "Wish",
    "cancel_order",
    "due_by",
    "due_orders",
    "erase_customer",
    "hand_over",
    "hand_over_of",
    "release_pair",
    "reserve_pair",
    "take_order",
]


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
    shoe: str = ""
    yarn_g: float | None = None
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
    rows = Order.objects.due().listed(
        "version__number", "version__pattern__size_name", "version__pattern__design__name",
        "run__string__number",
    )  # fmt: skip
    return [due_by(order, today) for order in rows]


def due_by(order: Order, today: dt.date) -> Due:
    """Return how the promise of an order stands today."""
    return Due(order, (order.promised_on - today).days)


@transaction.atomic
def take_order(
    *,
    wish: Wish,
    today: dt.date,
    who: Who,
    paid_by: Payment = Payment.CASH,
    day: MarketDay | None = None,
) -> Order:
    """Write an order down; its deposit is taken at once, at the stall if a day is given.

    Raises:
        SalesError: If the promise lies in the past or years ahead, or the deposit exceeds
            the price.
    """
    if taken := _taken_before(who):
        return taken
    if wish.promised_on > today + dt.timedelta(days=DAYS_AHEAD):
        msg = say("{promised_on:long} is more than two years ahead.", promised_on=wish.promised_on)
        raise SalesError(msg, field="promised_on")
    if wish.promised_on < today:
        msg = say("{promised_on:long} is past. Promise a day ahead.", promised_on=wish.promised_on)
        raise SalesError(msg, field="promised_on")
    if wish.deposit_minor > wish.price_minor:
        msg = say("The deposit is more than the price.")
        raise SalesError(msg, field="deposit")
    order = Order.objects.create(
        customer=wish.customer,
        contact=wish.contact,
        wish=wish.wish,
        foot_length_mm=wish.foot_length_mm,
        shoe=wish.shoe,
        yarn_g=yarn_for(wish.version.grams if wish.version else None, wish.yarn_g),
        version=wish.version,
        lot=wish.lot,
        taken_on=today,
        promised_on=wish.promised_on,
        price_minor=wish.price_minor,
        key=who.key,
    )
    note_change(who, say("Taken."), order=order)
    if wish.deposit_minor:
        take_deposit(
            order=order, amount_minor=wish.deposit_minor, paid_by=paid_by, who=who, day=day
        )
        order.refresh_from_db(fields=["deposit_minor"])
    return order


@transaction.atomic
def reserve_pair(*, order: Order, pair: Pair, who: Who | None = None) -> Order:
    """Set a finished pair aside for an order.

    Raises:
        SalesError: If the order is closed, or the pair is not at home or is set aside for
            somebody else.
    """
    order = _lock_open(order)
    [pair] = lock_pairs([pair.pk])
    if pair.place not in (PairPlace.TO_TAG, PairPlace.SHELF):
        msg = say(
            "{label} is {place_name}; only a pair at home can be set aside.",
            label=pair.label,
            place_name=pair.place_name,
        )
        raise SalesError(msg, field="pair")
    other = Order.objects.filter(pair=pair).exclude(pk=order.pk).first()
    if other:
        msg = say(
            "{label} is set aside for another order ({customer}).",
            label=pair.label,
            customer=other.customer,
        )
        raise SalesError(msg, field="pair")
    order.pair, order.state = pair, OrderState.READY
    order.save(update_fields=["pair", "state"])
    note_change(who, say("{pair} set aside.", pair=pair.label), order=order)
    return order


@transaction.atomic
def release_pair(*, order: Order, who: Who | None = None) -> Order:
    """Give the pair that was set aside free again; the order is to make once more.

    Raises:
        SalesError: If the order is closed or has no pair.
    """
    order = _lock_open(order)
    if order.pair_id is None:
        msg = say("No pair is set aside for this order.")
        raise SalesError(msg)
    note_change(who, say("{pair} freed.", pair=order.pair), order=order)
    order.pair, order.state = None, OrderState.OPEN
    order.save(update_fields=["pair", "state"])
    return order


@transaction.atomic
def cancel_order(
    *,
    order: Order,
    who: Who,
    pay_back: Payment | None = None,
    day: MarketDay | None = None,
) -> Order:
    """Cancel an order; a pair that was set aside for it is free again.

    With `pay_back` what was taken for it is paid out that way; without, it is kept.

    Raises:
        SalesError: If it was handed over or cancelled before.
    """
    order = _lock_open(order)
    if pay_back:
        pay_back_deposits(order=order, paid_by=pay_back, who=who, day=day)
        order.refresh_from_db(fields=["deposit_minor"])
    order.pair, order.state = None, OrderState.CANCELLED
    order.save(update_fields=["pair", "state"])
    note_change(who, say("Cancelled."), order=order)
    return order


@transaction.atomic
def hand_over(
    *,
    order: Order,
    paid_by: Payment,
    who: Who,
    how: HandOver.How = HandOver.How.HOME,
    day: MarketDay | None = None,
    tax_percent: Decimal | None = None,
) -> Sale:
    """Hand the pair over and take the balance; the pair is sold at the order's price.

    Args:
        order: The order, its pair set aside.
        paid_by: How the rest was paid.
        who: Who hands it over, and when.
        how: At the stall, posted, or fetched.
        day: The market day, when it is at the stall; its tax then holds.
        tax_percent: Tax inside the price when it goes away from a market, as she typed it
            [%]; None if it is not taxed.

    Raises:
        SalesError: If no pair is set aside, it was handed over before, a day is missing, or
            a tax is given beside the market's own or out of range.
    """
    if done := recorded(who.key):
        return Sale.objects.get(act=done)
    order = Order.objects.select_for_update(of=("self",)).get(pk=order.pk)
    if order.pair is None or order.state != OrderState.READY:
        msg = say("Set a finished pair aside for this order first.")
        raise SalesError(msg, field="pair")
    if (how == HandOver.How.STALL) != (day is not None):
        msg = say("No stall is open now. Open the market day first, or say how it went otherwise.")
        raise SalesError(msg, field="how")
    if day is not None and tax_percent is not None:
        msg = say("At the stall the tax of the market holds. Leave this empty.")
        raise SalesError(msg, field="tax_percent")
    line = Line(
        price_minor=order.price_minor,
        pair=order.pair,
        reason=str(say("order {number}", number=order.pk)),
        set_aside=True,
    )
    tax = _taxed_away(order.price_minor, tax_percent)
    sale = sell(day=day, lines=[line], paid_by=paid_by, who=who, timed=False, tax=tax)
    HandOver.objects.create(
        sale=sale,
        order=order,
        deposit_minor=order.deposit_minor,
        how=how,
        tax_percent=tax_percent,
    )
    Order.objects.filter(pk=order.pk).update(state=OrderState.HANDED_OVER)
    return sale


def hand_over_of(order: Order) -> HandOver | None:
    """Return the standing hand-over of an order."""
    return (
        order.hand_overs.filter(sale__act__undone_by__isnull=True)
        .select_related("sale__act", "sale__day__market")
        .order_by("-pk")
        .first()
    )


def sold_meanwhile(order: Order) -> bool:
    """Return whether the pair that was set aside went to somebody else."""
    waiting = order.state == OrderState.READY and order.pair is not None
    return bool(waiting and order.pair and order.pair.place == PairPlace.SOLD)


def _taken_before(who: Who) -> Order | None:
    """Return the order that was written under this key; a second press waits for the first."""
    if who.key is None:
        return None
    # The workshop's one row is the latch, as for numbers.
    list(Workshop.objects.select_for_update().values_list("pk"))
    return Order.objects.filter(key=who.key).first()


def _taxed_away(price_minor: int, percent: Decimal | None) -> TaxTaken | None:
    """Return the tax inside the price of a pair that is handed over away from a market.

    Raises:
        SalesError: If the rate is out of range.
    """
    if percent is None:
        return None
    if not 0 < percent <= HIGHEST_PERCENT:
        msg = say(
            "{percent:f} % is no tax here; above 0 to {HIGHEST_PERCENT}.",
            percent=percent.normalize(),
            HIGHEST_PERCENT=HIGHEST_PERCENT,
        )
        raise SalesError(msg, field="tax_percent")
    return TaxTaken(tax_minor(price_minor, percent / 100, inclusive=True), included=True)


def _lock_open(order: Order) -> Order:
    order = Order.objects.select_for_update(of=("self",)).get(pk=order.pk)
    if order.state in CLOSED:
        msg = say("This order is {state}.", state=order.get_state_display())
        raise SalesError(msg)
    return order
