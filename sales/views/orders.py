"""Pages: orders."""

from collections.abc import Callable

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from production.errors import ProductionError
from production.services.acts import Who
from sales.errors import SalesError
from sales.forms.orders import HandOverForm, OrderForm, ReserveForm
from sales.models import Order, Payment
from sales.services import orders
from socktrade.http import Request
from socktrade.notices import say_done, say_refused
from socktrade.workshop import workshop_of

LISTED = 50


@require_GET
def order_list(request: Request) -> HttpResponse:
    """What is due, the nearest promise first, and what is over."""
    due = orders.due_orders(timezone.localdate())
    closed = Order.objects.filter(state__in=orders.CLOSED).order_by("-pk").select_related("pair")
    before = request.GET.get("before", "")
    if before.isdecimal() and len(before) < 10:
        closed = closed.filter(pk__lt=int(before))
    found = list(closed[: LISTED + 1])
    context = {
        "due": due,
        "late": sum(1 for row in due if row.days_late),
        "closed": found[:LISTED],
        "older": found[LISTED - 1].pk if len(found) > LISTED else None,
    }
    return render(request, "sales/order_list.html", context)


@require_http_methods(["GET", "POST"])
def order_new(request: Request) -> HttpResponse:
    """Write an order down."""
    form = OrderForm(request.POST or None, workshop=workshop_of(request))
    if form.is_valid():
        try:
            order = orders.take_order(wish=form.asked, today=timezone.localdate())
        except SalesError as refusal:
            form.add_refusal(refusal)
        else:
            say_done(request, f"Order of {order.customer} written down.")
            return redirect(order)
    context = {"form": form}
    return render(request, "sales/order_new.html", context, status=422 if form.errors else 200)


@require_GET
def order_detail(request: Request, order_id: int) -> HttpResponse:
    """One order: what was wished, how far it is, what comes next."""
    return _detail(request, _order(order_id))


@require_POST
def order_reserve(request: Request, order_id: int) -> HttpResponse:
    """Set a finished pair aside."""
    order = _order(order_id)
    form = ReserveForm(request.POST)
    if form.is_valid():
        pair = form.cleaned_data["pair"]
        try:
            orders.reserve_pair(order=order, pair=pair)
        except SalesError as refusal:
            form.add_refusal(refusal)
        else:
            say_done(request, f"{pair.label} is set aside for {order.customer}.")
            return redirect(order)
    return _detail(request, order, reserve=form)


@require_POST
def order_hand_over(request: Request, order_id: int) -> HttpResponse:
    """Hand the pair over and take the rest of the price."""
    order = _order(order_id)
    form = HandOverForm(request.POST)
    if form.is_valid():
        who = Who(by=request.user, at=timezone.now(), key=form.cleaned_data["key"])
        paid_by = Payment(form.cleaned_data["paid_by"])
        try:
            sale = orders.hand_over(order=order, paid_by=paid_by, who=who)
        except (SalesError, ProductionError) as refusal:
            form.add_refusal(refusal)
        else:
            say_done(request, f"{order.pair} handed over.", act_id=sale.act_id)
            return redirect(order)
    return _detail(request, order, hand_over=form)


@require_POST
def order_release(request: Request, order_id: int) -> HttpResponse:
    """Give the pair that was set aside free again."""
    return _change(request, order_id, orders.release_pair, "The pair is free again.")


@require_POST
def order_cancel(request: Request, order_id: int) -> HttpResponse:
    """Cancel an order."""
    return _change(request, order_id, orders.cancel_order, "Order cancelled.")


@require_POST
def order_erase(request: Request, order_id: int) -> HttpResponse:
    """Take the customer's name and contact out of a closed order."""
    return _change(request, order_id, orders.erase_customer, "Name and contact erased.")


def _change(
    request: Request, order_id: int, change: Callable[..., Order], done: str
) -> HttpResponse:
    order = _order(order_id)
    try:
        change(order=order)
    except SalesError as refusal:
        say_refused(request, str(refusal))
    else:
        say_done(request, done)
    return redirect(order)


def _detail(
    request: Request,
    order: Order,
    *,
    reserve: ReserveForm | None = None,
    hand_over: HandOverForm | None = None,
) -> HttpResponse:
    context = {
        "order": order,
        "due": orders.due_by(order, timezone.localdate()),
        "is_closed": order.state in orders.CLOSED,
        "is_erased": order.customer == orders.ERASED,
        "sale": orders.sale_of(order),
        "reserve": reserve or ReserveForm(),
        "hand_over": hand_over or HandOverForm(),
    }
    status = 422 if reserve or hand_over else 200
    return render(request, "sales/order_detail.html", context, status=status)


def _order(order_id: int) -> Order:
    orders_with_all = Order.objects.select_related(
        "version__pattern__design", "lot__yarn", "pair__version__pattern__design"
    )
    return get_object_or_404(orders_with_all, pk=order_id)
