"""Pages: the till. The purchase is kept on the server, so every tap works without scripts."""

from typing import Any

from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from patterns.core.words import say, say_count
from patterns.models import Pattern
from production.errors import ProductionError
from production.models import Quality
from production.services.acts import Who, recorded
from production.services.pairs import current_prices
from sales.core.money import change_due
from sales.errors import AlreadySoldError, SalesError
from sales.forms.stall import (
    REASONS,
    DiscountForm,
    NumberForm,
    PayForm,
    PriceForm,
)
from sales.models import DayState, MarketDay, Payment, Sale
from sales.services import daysheet, sums, till
from sales.services.claims import Claim, claim, claim_stubs
from sales.services.tiles import patterns_made, patterns_off_table, tiles_of
from sales.views.cart import Cart, CartLine
from sales.views.markets import day_or_404
from socktrade.http import Request
from socktrade.money import format_minor, minor_digits
from socktrade.notices import say_done
from socktrade.workshop import workshop_of


@never_cache
@require_GET
def stall(request: Request, day_id: int) -> HttpResponse:
    """Show the table as tiles, and the purchase that is being made."""
    day = day_or_404(day_id)
    if day.state == DayState.PLANNED:
        return redirect("sales:day_open", day.pk)
    if day.state == DayState.CANCELLED:
        return redirect(day)
    return _page(request, day, Cart(request, day))


@require_POST
def stall_add(request: Request, day_id: int) -> HttpResponse:
    """Add a pair of the tapped kind."""
    day = day_or_404(day_id)
    cart = Cart(request, day)
    if line := _tapped(day, request.POST.get("tile", "")):
        cart.add(line)
    return _changed(request, day, cart)


@require_POST
def stall_number(request: Request, day_id: int) -> HttpResponse:
    """Add the pair whose number was typed or scanned."""
    day = day_or_404(day_id)
    cart = Cart(request, day)
    form = NumberForm(request.POST, workshop=workshop_of(request))
    question = ""
    if form.is_valid():
        try:
            question = _add_numbers(day, cart, form)
        except SalesError as refusal:
            form.add_refusal(refusal)
        if not form.errors:
            return redirect(f"{_address(day)}?number=1")
    return _page(request, day, cart, number=form, question=question)


@require_POST
def stall_remove(request: Request, day_id: int, place: int) -> HttpResponse:
    """Take a line out of the purchase."""
    day = day_or_404(day_id)
    cart = Cart(request, day)
    cart.remove(place)
    return _changed(request, day, cart)


@require_POST
def stall_price(request: Request, day_id: int, place: int) -> HttpResponse:
    """Give a line another price, with the reason."""
    day = day_or_404(day_id)
    cart = Cart(request, day)
    form = PriceForm(request.POST, workshop=workshop_of(request), auto_id=f"id_{place}_%s")
    line = cart.line(place)
    if line is None:
        return redirect("sales:stall", day.pk)
    if form.is_valid():
        if form.cleaned_data["price"] <= till.HIGHEST_LINE_MINOR:
            line.price_minor = form.cleaned_data["price"]
            line.reason = form.cleaned_data["reason"]
            cart.save()
            return _changed(request, day, cart)
        form.add_error("price", say("No pair costs that much. Check the amount."))
    return _page(request, day, cart, price_forms={place: form})


@require_POST
def stall_discount(request: Request, day_id: int) -> HttpResponse:
    """Take something off the whole purchase, shared out over its lines."""
    day = day_or_404(day_id)
    cart = Cart(request, day)
    form = _discount_form(request, cart, request.POST)
    if form.is_valid():
        try:
            prices = sums.discounted(cart.prices, form.cleaned_data["off"])
        except SalesError as refusal:
            form.add_refusal(refusal)
        else:
            for line, price in zip(cart.lines, prices, strict=True):
                line.price_minor, line.reason = price, line.reason or "discount"
            cart.save()
            return _changed(request, day, cart)
    return _page(request, day, cart, discount=form)


@require_POST
def stall_clear(request: Request, day_id: int) -> HttpResponse:
    """Drop the purchase; nothing was recorded yet."""
    day = day_or_404(day_id)
    cart = Cart(request, day)
    cart.clear()
    return _changed(request, day, cart)


@require_POST
def stall_sell(request: Request, day_id: int) -> HttpResponse:
    """Record the purchase."""
    day = day_or_404(day_id)
    cart = Cart(request, day)
    form = PayForm(request.POST, workshop=workshop_of(request))
    question = ""
    if form.is_valid():
        if recorded(form.cleaned_data["key"]):
            return redirect("sales:stall", day.pk)
        try:
            return _sold(request, day, cart, form)
        except AlreadySoldError as doubt:
            question = str(doubt)
            form.add_error(None, question)
        except (SalesError, ProductionError) as refusal:
            form.add_error(
                "given" if getattr(refusal, "field", "") == "given" else None, str(refusal)
            )
    return _page(request, day, cart, pay=form, sell_question=question)


def _add_numbers(day: MarketDay, cart: Cart, form: NumberForm) -> str:
    """Add what the form names; return the question that stands in the way, if one does."""
    typed = form.cleaned_data
    known = list(cart.pairs())
    if len(typed["number"].split()) > 1:
        for stub in claim_stubs(day=day, text=typed["number"], in_purchase=known):
            cart.add(_claimed(stub, stub.price_minor))
        return ""
    said = claim(day=day, text=typed["number"], in_purchase=known)
    price = said.price_minor if typed["price"] is None else typed["price"]
    if not said.question or (typed["anyway"] and price is not None):
        cart.add(_claimed(said, price))
        return ""
    if typed["anyway"]:
        form.add_error("price", say("Give the price it was sold at."))
    form.add_error("number", said.question)
    return said.question


def _sold(request: Request, day: MarketDay, cart: Cart, form: PayForm) -> HttpResponse:
    typed = form.cleaned_data
    paid_by = Payment(typed["paid_by"])
    if unpriced := cart.without_price:
        msg = say("{name} has no price yet. Give it one first.", name=unpriced.name)
        raise SalesError(msg)
    change = _change(request, cart.money["due"], typed["given"], paid_by)
    who = Who(by=request.user, at=timezone.now(), key=typed["key"])
    doubted = typed["anyway"] or any(line.anyway for line in cart.lines)
    sold = len(cart.lines)
    with transaction.atomic():
        returned, sale = till.settle_purchase(
            day=day,
            back=cart.returned,
            lines=cart.as_sold(),
            paid_by=paid_by,
            who=who,
            timed=day.state == DayState.OPEN,
            despite_doubt=doubted,
        )
        cart.clear_at_once()
    for back in returned:
        told = shown(request, back.refund_minor)
        came = say("{pair} came back for {money}.", pair=back.line.pair, money=told)
        say_done(request, came, act_id=back.act_id)
    if sale:
        say_done(request, _sold_words(request, sale, sold, change), act_id=sale.act_id)
    return redirect("sales:stall", day.pk)


def _sold_words(request: Request, sale: Sale, pairs: int, change: str) -> str:
    said = say_count(
        "Sold: {count} pair for {total}, {way}.",
        "Sold: {count} pairs for {total}, {way}.",
        pairs,
        total=shown(request, sale.total_minor),
        way=Payment(sale.paid_by).label,
    )
    return f"{said} {change}" if change else said


def _change(request: Request, due: int, given: int | None, paid_by: Payment) -> str:
    if due < 0:
        return say("Pay out {money}.", money=shown(request, -due))
    if given is None or paid_by != Payment.CASH:
        return ""
    if given < due:
        msg = say("{money} are missing.", money=shown(request, due - given))
        raise SalesError(msg, field="given")
    return say("Change: {money}.", money=shown(request, change_due(due, given)))


def _tapped(day: MarketDay, key: str) -> CartLine | None:
    """Return a line for a tile, or for a kind that is not on the table."""
    tile = next((tile for tile in tiles_of(day) if tile.key == key), None)
    if tile:
        return CartLine(
            name=tile.name,
            price_minor=tile.price_minor,
            list_minor=tile.price_minor,
            pattern=tile.pattern.pk,
            quality=tile.quality,
            yarn=tile.yarn_id,
        )
    # A tile that sold out while the page was open is still a pair that went.
    pk, _, rest = key.partition("-")
    quality = rest.partition("-")[0]
    if not (pk.isascii() and pk.isdecimal() and len(pk) < 19):
        return None
    pattern = Pattern.objects.select_related("design").filter(pk=int(pk)).first()
    if pattern is None:
        return None
    quality = quality if quality in (Quality.FIRST, Quality.SECOND) else Quality.FIRST
    listed = current_prices([pattern.pk]).get(pattern.pk)
    price = listed.of_quality(quality) if listed else None
    return CartLine(
        name=str(pattern),
        price_minor=price,
        list_minor=price,
        pattern=pattern.pk,
        quality=quality,
        doubt=str(say("The book has none left on the table; kept to be sorted out.")),
    )


def _claimed(said: Claim, price: int | None) -> CartLine:
    pair = said.pair
    return CartLine(
        name=f"{pair.label}, {pair.pattern}" if pair else said.number,
        price_minor=price,
        list_minor=pair.price_minor if pair else None,
        pattern=pair.pattern_id if pair else None,
        quality=pair.quality if pair else Quality.FIRST,
        pair=pair.pk if pair else None,
        number=said.number,
        doubt=str(say("Recorded anyway; kept to be sorted out.") if said.question else said.note),
        anyway=bool(said.question),
    )


def _changed(request: Request, day: MarketDay, cart: Cart) -> HttpResponse:
    if not request.htmx:
        return redirect("sales:stall", day.pk)
    context = _context(request, day, cart)
    return render(request, "sales/_stall_purchase.html", {**context, "swapped": True})


def _page(request: Request, day: MarketDay, cart: Cart, **shown: Any) -> HttpResponse:
    made = patterns_made()
    context = _context(request, day, cart, shown.get("price_forms"), made)
    context |= {name: value for name, value in shown.items() if value is not None}
    forms = (shown.get(name) for name in ("number", "pay", "discount"))
    failed = bool(shown.get("price_forms")) or any(form and form.errors for form in forms)
    context["last_sale"] = daysheet.last_sale(day)
    context["off_table"] = patterns_off_table(day, [tile for tile, _ in context["tiles"]], made)
    context["to_sort_out"] = daysheet.count_open_items()
    context["scanning"] = "number" in request.GET or "number" in shown
    return render(request, "sales/stall.html", context, status=422 if failed else 200)


def _context(
    request: Request,
    day: MarketDay,
    cart: Cart,
    price_forms: dict[int, PriceForm] | None = None,
    made: list[Pattern] | None = None,
) -> dict[str, Any]:
    workshop = workshop_of(request)
    tiles = [(tile, tile.left - cart.in_cart(tile)) for tile in tiles_of(day, made)]
    return {
        "day": day,
        "cart": cart,
        "lines": [
            (line, (price_forms or {}).get(line.place) or _price_form(line, workshop))
            for line in cart.lines
        ],
        "money_due": cart.money,
        "tiles": tiles,
        "number": NumberForm(workshop=workshop),
        "pay": PayForm(workshop=workshop, initial={"key": cart.key}),
        "discount": _discount_form(request, cart, None),
        "reasons": REASONS,
        "digits": minor_digits(workshop.currency),
        "tax_apart": not day.tax_included and day.tax_percent > 0,
    }


def _price_form(line: CartLine, workshop: Any) -> PriceForm:
    initial = {"price": line.price_minor, "reason": line.reason}
    return PriceForm(workshop=workshop, initial=initial, auto_id=f"id_{line.place}_%s")


def _discount_form(request: Request, cart: Cart, typed: Any) -> DiscountForm:
    return DiscountForm(typed, total_minor=sum(cart.prices), currency=workshop_of(request).currency)


def _address(day: MarketDay) -> str:
    return str(redirect("sales:stall", day.pk).url)


def shown(request: Request, minor: int) -> str:
    """Return an amount in the workshop's currency."""
    return format_minor(minor, workshop_of(request).currency)
