"""Hold the sales against the pairs and name everything that disagrees."""

from collections import Counter
from collections.abc import Iterator

from django.db.models import Q, Sum

from production.core.places import PairPlace
from production.models import Pair
from sales.models import HandOver, Order, Sale, SaleLine


def disagreements() -> Iterator[str]:
    """Yield a sentence for every sale that does not fit the pairs or its own lines."""
    yield from _sold_pairs()
    yield from _undone_sales()
    yield from _totals()
    yield from _deposits()


def _sold_pairs() -> Iterator[str]:
    holding = Counter(
        SaleLine.objects.filter(holds=True, pair__isnull=False)
        .values_list("pair_id", flat=True)
        .iterator()
    )
    for pk, number, place in Pair.objects.values_list("pk", "number", "place").iterator():
        sold = place == PairPlace.SOLD
        if sold != (holding[pk] == 1):
            yield (f"P{number} stands “{place}”, but {holding[pk]} sale lines hold it as sold.")


def _undone_sales() -> Iterator[str]:
    lines = SaleLine.objects.filter(holds=True, sale__act__undone_by__isnull=False)
    for pk, act in lines.values_list("pk", "sale__act_id").iterator():
        yield f"Sale line {pk} still holds, but its act {act} was undone."


def _totals() -> Iterator[str]:
    sales = Sale.objects.annotate(lines_minor=Sum("lines__price_minor")).values_list(
        "pk", "total_minor", "tax_minor", "tax_included", "lines_minor"
    )
    for pk, total, tax, included, lines in sales.iterator():
        if (total if included else total - tax) != (lines or 0):
            yield f"Sale {pk} took {total}, its lines come to {lines}."


def _deposits() -> Iterator[str]:
    standing = Sum("deposits__amount_minor", filter=Q(deposits__act__undone_by__isnull=True))
    orders = Order.objects.annotate(taken=standing).values_list("pk", "deposit_minor", "taken")
    for pk, written, taken in orders.iterator():
        if written != (taken or 0):
            yield f"Order {pk} shows {written} paid, its deposits come to {taken or 0}."
    handed = HandOver.objects.filter(sale__act__undone_by__isnull=True)
    for order, before, paid in handed.values_list(
        "order_id", "deposit_minor", "order__deposit_minor"
    ):
        if before != paid:
            yield f"Order {order} was handed over with {before} counted as paid, not {paid}."
