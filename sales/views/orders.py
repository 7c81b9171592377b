"""Pages: orders."""

from collections.abc import Callable
from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from patterns.core.words import say
from production.errors import ProductionError
from production.services.acts import Who
from sales.errors import SalesError
from sales.forms.orders import (
    CancelOrderForm,
    DepositForm,
    FollowForm,
    HandOverForm,
    OrderForm,
    ReserveForm,
)
from sales.models import DayState, HandOver, MarketDay, Order, Payment
from sales.services import customers, orders
from sales.services.changes import changes_of
from sales.services.deposits import take_deposit
from sales.services.following import follow_socks, on_its_way, yarn_kept
from socktrade.http import Request
from socktrade.notices import say_done, say_refused
from socktrade.workshop import workshop_of

LISTED = 20


@require_GET
def order_list(request: Request) -> HttpResponse:
    """What is due, the nearest promise first, and what is over."""
    due = orders.due_orders(timezone.localdate())
    closed = Order.objects.filter(state__in=orders.CLOSED).order_by("-pk").listed()
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
            order = orders.take_order(
                wish=form.asked,
                today=timezone.localdate(),
                paid_by=Payment(form.cleaned_data["paid_by"] or Payment.CASH),
                day=_open_day(),
                who=_who(request, form),
            )
        except (SalesError, ProductionError) as refusal:
            form.add_refusal(refusal)
        else:
            say_done(request, say("Order of {customer} written down.", customer=order.customer))
            return redirect(order)
    context = {"form": form, "open_day": _open_day()}
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
            orders.reserve_pair(order=order, pair=pair, who=_who(request, form))
        except SalesError as refusal:
            form.add_refusal(refusal)
        else:
            say_done(
                request,
                say(
                    "{label} is set aside for {customer}.",
                    label=pair.label,
                    customer=order.customer,
                ),
            )
            return redirect(order)
    return _detail(request, order, reserve=form)


@require_POST
def order_hand_over(request: Request, order_id: int) -> HttpResponse:
    """Hand the pair over and take the rest of the price."""
    order = _order(order_id)
    form = HandOverForm(request.POST)
    if form.is_valid():
        how = HandOver.How(form.cleaned_data["how"] or HandOver.How.HOME)
        try:
            sale = orders.hand_over(
                order=order,
                paid_by=Payment(form.cleaned_data["paid_by"]),
                how=how,
                day=_open_day() if how == HandOver.How.STALL else None,
                tax_percent=form.cleaned_data["tax_percent"],
                who=_who(request, form),
            )
        except (SalesError, ProductionError) as refusal:
            form.add_refusal(refusal)
        else:
            say_done(request, say("{pair} handed over.", pair=order.pair), act_id=sale.act_id)
            return redirect(order)
    return _detail(request, order, hand_over=form)


@require_POST
def order_deposit(request: Request, order_id: int) -> HttpResponse:
    """Take money for an order; with an open stall it goes into that day's tin."""
    order, form = _order(order_id), DepositForm(request.POST, workshop=workshop_of(request))
    if form.is_valid():
        try:
            deposit = take_deposit(
                order=order,
                amount_minor=form.cleaned_data["deposit"],
                paid_by=Payment(form.cleaned_data["paid_by"]),
                day=_open_day(),
                who=_who(request, form),
            )
        except (SalesError, ProductionError) as refusal:
            form.add_refusal(refusal)
        else:
            say_done(request, say("The money is in the book."), act_id=deposit.act_id)
            return redirect(order)
    return _detail(request, order, deposit=form)


@require_POST
def order_follow(request: Request, order_id: int) -> HttpResponse:
    """Say which socks were knitted for an order."""
    order, form = _order(order_id), FollowForm(request.POST)
    if form.is_valid():
        try:
            follow_socks(order=order, text=form.cleaned_data["socks"], who=_who(request, form))
        except SalesError as refusal:
            form.add_refusal(refusal)
        else:
            say_done(request, say("The order follows these socks now."))
            return redirect(order)
    return _detail(request, order, follow=form)


@require_POST
def order_release(request: Request, order_id: int) -> HttpResponse:
    """Give the pair that was set aside free again."""
    return _change(request, order_id, orders.release_pair, say("The pair is free again."))


@require_POST
def order_cancel(request: Request, order_id: int) -> HttpResponse:
    """Cancel an order; its deposit is kept or paid back."""
    form = CancelOrderForm(request.POST)
    way = form.cleaned_data["pay_back"] if form.is_valid() else ""
    day = _open_day() if way else None

    def cancel(*, order: Order, who: Who) -> Order:
        pay_back = Payment(way) if way else None
        return orders.cancel_order(order=order, who=who, pay_back=pay_back, day=day)

    return _change(request, order_id, cancel, say("Order cancelled."))


@require_POST
def order_erase(request: Request, order_id: int) -> HttpResponse:
    """Take the customer's name, contact and measures out of a closed order."""
    return _change(request, order_id, orders.erase_customer, say("The customer's data are erased."))


@require_GET
def customers_csv(_request: Request) -> HttpResponse:
    """Hand out what the book knows of customers as a sheet."""
    return _file(customers.customers_csv(), "text/csv", "customers.csv")


@require_GET
def customers_json(_request: Request) -> HttpResponse:
    """Hand out what the book knows of customers as JSON."""
    return _file(customers.customers_json(), "application/json", "customers.json")


@require_GET
def order_data(_request: Request, order_id: int) -> HttpResponse:
    """Hand out what the book knows of one customer's order."""
    order = _order(order_id)
    text = customers.customers_json([order])
    return _file(text, "application/json", f"order-{order.pk}.json")


def _file(text: str, kind: str, name: str) -> HttpResponse:
    answer = HttpResponse(text, content_type=f"{kind}; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


def _change(
    request: Request, order_id: int, change: Callable[..., Order], done: str
) -> HttpResponse:
    order = _order(order_id)
    try:
        change(order=order, who=_who(request))
    except (SalesError, ProductionError) as refusal:
        say_refused(request, str(refusal))
    else:
        say_done(request, done)
    return redirect(order)


def _detail(request: Request, order: Order, **sent: Any) -> HttpResponse:
    workshop, open_day = workshop_of(request), _open_day()
    how = HandOver.How.STALL if open_day else HandOver.How.HOME
    context = {
        "order": order,
        "due": orders.due_by(order, timezone.localdate()),
        "is_closed": order.state in orders.CLOSED,
        "is_erased": order.customer == orders.ERASED,
        "handed": orders.hand_over_of(order),
        "sold_meanwhile": orders.sold_meanwhile(order),
        "open_day": open_day,
        "kept": yarn_kept(order),
        "way": on_its_way(order),
        "deposits": order.deposits.select_related("act", "day__market").order_by("pk"),
        "changes": changes_of(order),
        "reserve": ReserveForm(),
        "follow": FollowForm(auto_id="id_follow_%s"),
        "deposit": DepositForm(workshop=workshop, auto_id="id_deposit_%s"),
        "cancel": CancelOrderForm(auto_id="id_cancel_%s"),
        "hand_over": HandOverForm(initial={"how": how, "paid_by": Payment.CASH}),
    } | sent
    return render(request, "sales/order_detail.html", context, status=422 if sent else 200)


def _open_day() -> MarketDay | None:
    return MarketDay.objects.filter(state=DayState.OPEN).with_market().order_by("-date").first()


def _who(request: Request, form: Any = None) -> Who:
    key = form.cleaned_data["key"] if form else None
    return Who(by=request.user, at=timezone.now(), key=key)


def _order(order_id: int) -> Order:
    orders_with_all = Order.objects.select_related(
        "version__pattern__design", "lot__yarn", "pair__version__pattern__design", "run__string"
    )
    return get_object_or_404(orders_with_all, pk=order_id)
