"""Pages of the till beside the purchase: asked for, brought back, what was sold today."""

import uuid

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods

from patterns.core.words import say
from patterns.models import Pattern
from production.errors import ProductionError
from production.models import Pair
from production.services.acts import Who
from sales.errors import SalesError
from sales.forms.stall import AskedForm, BackForm, RefundForm
from sales.models import MarketDay, Payment, SaleLine
from sales.services import daysheet, till
from sales.services.table import find_pair, paid_for, sold_line
from sales.services.tiles import patterns_off_table
from sales.views.cart import Cart
from sales.views.markets import day_or_404
from sales.views.stall import shown
from socktrade.http import Request
from socktrade.notices import say_done
from socktrade.workshop import workshop_of


@never_cache
@require_http_methods(["GET", "POST"])
def stall_asked(request: Request, day_id: int) -> HttpResponse:
    """Note what the table could not give: one tap on a kind, or a few words."""
    day = day_or_404(day_id)
    form = AskedForm(request.POST or None)
    if form.is_bound and form.is_valid():
        typed = form.cleaned_data
        pattern = Pattern.objects.filter(pk=typed["pattern"]).first() if typed["pattern"] else None
        # One page offers many kinds under one key: each kind is an act of its own.
        asked = (
            f"{pattern.pk if pattern else ''} {typed['yarn'].pk if typed['yarn'] else ''}".strip()
        )
        key = uuid.uuid5(typed["key"], asked) if typed["key"] else None
        who = Who(by=request.user, at=timezone.now(), key=key)
        try:
            ask = till.note_ask(
                day=day, pattern=pattern, yarn=typed["yarn"], words=typed["words"], who=who
            )
        except SalesError as refusal:
            form.add_refusal(refusal)
        else:
            say_done(request, say("Asked for: {ask}. Noted.", ask=ask), act_id=ask.act_id)
            return redirect("sales:stall", day.pk)
    context = {
        "day": day,
        "form": form,
        "off_table": patterns_off_table(day),
        "coloured": daysheet.kinds_and_colours(),
        "asks": daysheet.asks_of(day),
    }
    status = 422 if form.errors else 200
    return render(request, "sales/stall_asked.html", context, status=status)


@never_cache
@require_http_methods(["GET", "POST"])
def stall_back(request: Request, day_id: int) -> HttpResponse:
    """Find the sale of a pair that a buyer brings back."""
    day = day_or_404(day_id)
    form = BackForm(request.POST or None)
    if form.is_bound and form.is_valid():
        pair = find_pair(form.cleaned_data["number"])
        line = sold_line(pair) if pair else None
        if line:
            return redirect("sales:stall_refund", day.pk, line.pk)
        form.add_error("number", _no_sale(pair))
    status = 422 if form.errors else 200
    return render(request, "sales/stall_back.html", {"day": day, "form": form}, status=status)


def _no_sale(pair: Pair | None) -> str:
    if pair is None:
        return say("The book has no such pair; there is no sale of it to take back.")
    return say(
        "{pair} is {place}; there is no sale of it to take back.",
        pair=pair.label,
        place=pair.place_name,
    )


@never_cache
@require_http_methods(["GET", "POST"])
def stall_refund(request: Request, day_id: int, line_id: int) -> HttpResponse:
    """Pay out for a pair that came back, or exchange it."""
    day = day_or_404(day_id)
    rows = SaleLine.objects.select_related(
        "sale__act", "sale__day__market", "pair", "pattern__design"
    )
    line = get_object_or_404(rows, pk=line_id, pair__isnull=False)
    if "exchange" in request.POST:
        return _exchange(request, day, line)
    paid = paid_for(line)
    form = RefundForm(request.POST or None, workshop=workshop_of(request), initial={"refund": paid})
    if form.is_bound and form.is_valid():
        typed = form.cleaned_data
        try:
            back = till.take_back(
                line=line,
                refund_minor=typed["refund"],
                paid_by=Payment(typed["paid_by"]),
                day=day,
                who=Who(by=request.user, at=timezone.now(), key=typed["key"]),
            )
        except (SalesError, ProductionError) as refusal:
            form.add_refusal(refusal)
        else:
            told = shown(request, back.refund_minor)
            say_done(
                request,
                say("{pair} is back; {told} paid out.", pair=line.pair, told=told),
                act_id=back.act_id,
            )
            return redirect("sales:stall", day.pk)
    context = {"day": day, "line": line, "form": form, "paid": paid}
    status = 422 if form.errors else 200
    return render(request, "sales/stall_refund.html", context, status=status)


@require_GET
def stall_sales(request: Request, day_id: int) -> HttpResponse:
    """Show the purchases of the day, the last one first, each with its way back."""
    day = day_or_404(day_id)
    mark = request.GET.get("before", "")
    before = int(mark) if mark.isascii() and mark.isdecimal() and len(mark) < 19 else None
    sales = daysheet.recent_sales(day, before=before)
    older = sales[-1].pk if len(sales) == daysheet.NEWEST else None
    context = {"day": day, "sales": sales, "older": older}
    return render(request, "sales/stall_sales.html", context)


def _exchange(request: Request, day: MarketDay, line: SaleLine) -> HttpResponse:
    cart = Cart(request, day)
    if line.holds and line.pk not in cart.back:
        cart.back.append(line.pk)
        cart.save()
    return redirect("sales:stall", day.pk)
