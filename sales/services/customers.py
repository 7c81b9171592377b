"""What the book knows of customers: handed out on request, erased when it is over."""

import csv
import io
import json
from collections.abc import Iterable, Iterator
from typing import Any

from django.db import transaction
from django.db.models import QuerySet

from patterns.core.words import say
from patterns.models import PatternVersion
from production.models import DyeLot
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
    for row in _told(Order.objects.all()):
        sheet.writerow({name: safe_cell(row[name]) for name in COLUMNS})
    return out.getvalue()


def customers_json(orders: Iterable[Order] | None = None) -> str:
    """Return orders with their customers as JSON, all of them unless some are given."""
    wanted = Order.objects.all()
    if orders is not None:
        wanted = wanted.filter(pk__in=[order.pk for order in orders])
    return json.dumps(list(_told(wanted)), ensure_ascii=False, indent=1)


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


def _told(orders: QuerySet[Order]) -> Iterator[dict[str, Any]]:
    """Yield what is known with each order; what many orders name is asked for once."""
    patterns = _names(
        PatternVersion.objects.filter(pk__in=orders.values("version"))
        .select_related("pattern__design")
        .only("number", "pattern__size_name", "pattern__design__name")
    )
    yarns = _names(
        DyeLot.objects.filter(pk__in=orders.values("lot"))
        .select_related("yarn")
        .only("code", "yarn__name", "yarn__colour")
    )
    handed = dict(
        HandOver.objects.filter(order__in=orders, sale__act__undone_by__isnull=True)
        .order_by("pk")
        .values_list("order", "sale__act__at")
    )
    states = {state.value: str(state.label) for state in OrderState}
    rows = orders.select_related("pair").defer("run", "yarn_g", "key").order_by("pk")
    for order in rows.iterator(chunk_size=500):
        at = handed.get(order.pk)
        yield {
            "order": order.pk,
            "customer": order.customer,
            "contact": order.contact,
            "wish": order.wish,
            "foot_length_mm": order.foot_length_mm and round(order.foot_length_mm, 1),
            "shoe": order.shoe,
            "pattern": patterns.get(order.version_id, ""),
            "yarn": yarns.get(order.lot_id, ""),
            "taken_on": order.taken_on.isoformat(),
            "promised_on": order.promised_on.isoformat(),
            "price_minor": order.price_minor,
            "paid_minor": order.price_minor if at else order.deposit_minor,
            "state": states[order.state],
            "pair": order.pair.label if order.pair else "",
            "handed_over": at.isoformat() if at else "",
        }


def _names(rows: Iterable[PatternVersion | DyeLot]) -> dict[int | None, str]:
    return {row.pk: str(row) for row in rows}
