"""What the book knows of customers: handed out on request, erased when it is over."""

import csv
import io
import json
from collections.abc import Iterable
from typing import Any

from django.db import transaction
from django.db.models import Prefetch

from patterns.core.words import say
from production.services.acts import Who
from sales.errors import SalesError
from sales.models import HandOver, Order, OrderState
from sales.services.changes import note_change
from socktrade.cells import safe_cell

OVER = (OrderState.HANDED_OVER, OrderState.CANCELLED)
ERASED = say("erased")
COLUMNS = (
    "order", "customer", "contact", "wish", "foot_length_mm", "shoe", "pattern", "yarn",
    "taken_on", "promised_on", "price_minor", "paid_minor", "state", "pair", "handed_over",
)  # fmt: skip


def customers_csv() -> str:
    """Return every order with its customer as a sheet, the oldest first."""
    out = io.StringIO()
    sheet = csv.DictWriter(out, COLUMNS, lineterminator="\r\n")
    sheet.writeheader()
    for order in _orders().iterator(chunk_size=500):
        row = _facts(order)
        sheet.writerow({name: safe_cell(row[name]) for name in COLUMNS})
    return out.getvalue()


def customers_json(orders: Iterable[Order] | None = None) -> str:
    """Return orders with their customers as JSON, all of them unless some are given."""
    rows = _orders() if orders is None else _orders().filter(pk__in=[o.pk for o in orders])
    return json.dumps([_facts(order) for order in rows], ensure_ascii=False, indent=1)


@transaction.atomic
def erase_customer(*, order: Order, who: Who | None = None) -> Order:
    """Take name, contact, measures and wish out of an order that is over.

    Raises:
        SalesError: If the order is still to be made or handed over.
    """
    order = Order.objects.select_for_update(of=("self",)).get(pk=order.pk)
    if order.state not in OVER:
        msg = say("This order is not over yet; you still need the name. Hand it over or cancel it.")
        raise SalesError(msg)
    order.customer = order.wish = str(ERASED)
    order.contact = order.shoe = ""
    order.foot_length_mm = None
    order.save(update_fields=["customer", "contact", "wish", "shoe", "foot_length_mm"])
    note_change(who, say("Customer erased."), order=order)
    return order


def _orders() -> Any:
    handed = HandOver.objects.select_related("sale__act__undone_by")
    return (
        Order.objects.select_related("version__pattern__design", "lot__yarn", "pair")
        .prefetch_related(Prefetch("hand_overs", handed))
        .order_by("pk")
    )


def _facts(order: Order) -> dict[str, Any]:
    handed = [one for one in order.hand_overs.all() if not one.sale.act.is_undone]
    return {
        "order": order.pk,
        "customer": order.customer,
        "contact": order.contact,
        "wish": order.wish,
        "foot_length_mm": order.foot_length_mm and round(order.foot_length_mm, 1),
        "shoe": order.shoe,
        "pattern": str(order.version or ""),
        "yarn": str(order.lot or ""),
        "taken_on": order.taken_on.isoformat(),
        "promised_on": order.promised_on.isoformat(),
        "price_minor": order.price_minor,
        "paid_minor": order.price_minor if handed else order.deposit_minor,
        "state": order.get_state_display(),
        "pair": order.pair.label if order.pair else "",
        "handed_over": handed[-1].sale.act.at.isoformat() if handed else "",
    }
