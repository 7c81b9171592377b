"""Pages: yarn."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from production.core.fibre.names import NAMES
from production.errors import ProductionError
from production.forms.yarn import (
    LotFacts,
    LotForm,
    NewYarnForm,
    ScaleForm,
    TakeForm,
    WeighForm,
    YarnFacts,
    facts_of,
)
from production.models import Act, DyeLot, Yarn
from production.services import yarn as services
from production.services import yarn_queries as queries
from production.services.acts import Who
from production.views.asked import whole_number
from socktrade.forms import ActForm
from socktrade.http import Request
from socktrade.notices import say_done
from socktrade.workshop import workshop_of

UNPROCESSABLE = 422


@require_GET
def yarn_list(request: HttpRequest) -> HttpResponse:
    """Show every yarn with what is left of its lots."""
    with_used_up = "used_up" in request.GET
    reserve_g = workshop_of(request).lot_reserve_g
    context = {
        "yarns": queries.yarn_shelf(reserve_g=reserve_g, with_used_up=with_used_up),
        "usual": queries.usual_version(),
        "with_used_up": with_used_up,
    }
    return render(request, "production/yarn_list.html", context)


@require_http_methods(["GET", "POST"])
def yarn_new(request: Request) -> HttpResponse:
    """Enter a yarn with its first dye lot."""
    form = NewYarnForm(request.POST or None, workshop=workshop_of(request), now=timezone.now())
    if request.method == "POST" and form.is_valid():
        try:
            lot = services.add_yarn(yarn=form.yarn(), lot=form.new_lot(), who=_who(request, form))
        except ProductionError as refusal:
            form.add_refusal(refusal)
        else:
            return _to_new_lot(request, lot)
    context = {"form": form, "fibre_names": NAMES}
    return render(request, "production/yarn_new.html", context, status=_status(form))


@require_http_methods(["GET", "POST"])
def yarn_edit(request: Request, yarn_id: int) -> HttpResponse:
    """Mend what the book says of a yarn's band."""
    yarn = get_object_or_404(Yarn, pk=yarn_id)
    form = YarnFacts(request.POST or None, workshop=workshop_of(request), initial=facts_of(yarn))
    if request.method == "POST" and form.is_valid():
        try:
            services.change_yarn(yarn=form.yarn(yarn.pk))
        except ProductionError as refusal:
            form.add_refusal(refusal)
        else:
            say_done(request, f"{yarn} changed.")
            return redirect(f"{reverse('production:yarn_list')}#yarn-{yarn.pk}")
    context = {"form": form, "yarn": yarn, "fibre_names": NAMES}
    return render(request, "production/yarn_edit.html", context, status=_status(form))


@require_http_methods(["GET", "POST"])
def lot_edit(request: Request, lot_id: int) -> HttpResponse:
    """Mend the number, the empty weight or the day of a lot."""
    lot = _lot(lot_id)
    shown = {"code": lot.code, "tare_g": lot.tare_g, "bought_on": lot.bought_on}
    form = LotFacts(request.POST or None, now=timezone.now(), initial=shown)
    if request.method == "POST" and form.is_valid():
        try:
            services.change_lot(lot=lot, facts=form.new_lot())
        except ProductionError as refusal:
            form.add_refusal(refusal)
        else:
            say_done(request, f"{lot} changed.")
            return redirect(lot)
    context = {"form": form, "lot": lot}
    return render(request, "production/lot_edit.html", context, status=_status(form))


@require_http_methods(["GET", "POST"])
def lot_new(request: Request, yarn_id: int) -> HttpResponse:
    """Enter another dye lot of a yarn."""
    yarn = get_object_or_404(Yarn, pk=yarn_id)
    form = LotForm(request.POST or None, workshop=workshop_of(request), now=timezone.now())
    if request.method == "POST" and form.is_valid():
        try:
            lot = services.add_lot(yarn=yarn, lot=form.new_lot(), who=_who(request, form))
        except ProductionError as refusal:
            form.add_refusal(refusal)
        else:
            return _to_new_lot(request, lot)
    context = {"form": form, "yarn": yarn}
    return render(request, "production/lot_new.html", context, status=_status(form))


@require_GET
def lot_detail(request: HttpRequest, lot_id: int) -> HttpResponse:
    """Show one lot: what is left, for how many pairs, and every booking."""
    return _lot_page(request, _lot(lot_id))


@require_POST
def lot_receive(request: Request, lot_id: int) -> HttpResponse:
    """Book more yarn of a lot in."""
    lot = _lot(lot_id)
    form = ScaleForm(request.POST, workshop=workshop_of(request), auto_id="receive_%s")
    if form.is_valid():
        said = form.cleaned_data
        try:
            act = services.receive_yarn(
                lot=lot,
                gross_g=said["gross_g"],
                packages=said["packages"],
                note=said["note"],
                who=_who(request, form),
            )
        except ProductionError as refusal:
            form.add_refusal(refusal)
        else:
            return _to_lot(request, lot, act, "Yarn received.")
    return _lot_page(request, lot, receive_form=form)


@require_POST
def lot_weigh(request: Request, lot_id: int) -> HttpResponse:
    """Set the book right by the scale, after asking when damp air explains the difference."""
    lot = _lot(lot_id)
    form = WeighForm(request.POST, workshop=workshop_of(request), auto_id="weigh_%s")
    if form.is_valid() and _may_book(form, lot):
        said = form.cleaned_data
        try:
            act = services.weigh_lot(
                lot=lot,
                gross_g=said["gross_g"],
                packages=said["packages"],
                note=said["note"],
                who=_who(request, form),
            )
        except ProductionError as refusal:
            form.add_refusal(refusal)
        else:
            return _to_lot(request, lot, act, "Weighed; the book follows the scale.")
    return _lot_page(request, lot, weigh_form=form)


@require_POST
def lot_take(request: Request, lot_id: int) -> HttpResponse:
    """Book yarn out for a swatch, as waste, written off or returned."""
    lot = _lot(lot_id)
    form = TakeForm(request.POST, workshop=workshop_of(request), auto_id="take_%s")
    if form.is_valid():
        said = form.cleaned_data
        try:
            act = services.take_yarn(
                lot=lot,
                grams=said["grams"],
                use=said["use"],
                note=said["note"],
                who=_who(request, form),
            )
        except ProductionError as refusal:
            form.add_refusal(refusal)
        else:
            return _to_lot(request, lot, act, f"{said['grams']} g taken out.")
    return _lot_page(request, lot, take_form=form)


def _lot_page(request: HttpRequest, lot: DyeLot, **refused: ActForm) -> HttpResponse:
    reserve_g = workshop_of(request).lot_reserve_g
    lines = queries.ledger(lot=lot, before=whole_number(request.GET.get("before")))
    learned = queries.learned_grams(lot)
    context: dict[str, Any] = {
        "shelf": queries.on_shelf(lot, lot.yarn, None, reserve_g=reserve_g),
        "enough": queries.enough_by_version(
            lot=lot,
            grams=lot.grams,  # type: ignore[attr-defined]
            reserve_g=reserve_g,
            ratio=learned.ratio if learned else 1.0,
        ),
        "learned": learned,
        "lines": lines,
        "older": lines[-1].move.pk if len(lines) == queries.LEDGER_LENGTH else None,
        "strings": queries.strings_of(lot),
        "receive_form": ScaleForm(auto_id="receive_%s"),
        "weigh_form": WeighForm(auto_id="weigh_%s"),
        "take_form": TakeForm(auto_id="take_%s"),
    }
    status = UNPROCESSABLE if refused else 200
    return render(request, "production/lot_detail.html", context | refused, status=status)


def _may_book(form: WeighForm, lot: DyeLot) -> bool:
    """Ask before a difference is booked that moisture alone explains."""
    said = form.cleaned_data
    weighing = services.read_scale(lot=lot, gross_g=said["gross_g"], packages=said["packages"])
    if said["anyway"] or not weighing.is_moisture:
        return True
    form.add_error(
        "anyway",
        f"The scale says {weighing.net_g} g of yarn, the book {weighing.book_g} g. "
        f"{abs(weighing.difference_g)} g is within 5 %, which damp or dry air explains with "
        "no yarn gone. Tick the box to book it all the same.",
    )
    return False


def _lot(lot_id: int) -> DyeLot:
    return get_object_or_404(DyeLot.objects.with_grams().with_yarn(), pk=lot_id)


def _who(request: Request, form: ActForm) -> Who:
    return Who(by=request.user, at=timezone.now(), key=form.cleaned_data["key"])


def _status(form: ActForm) -> int:
    return UNPROCESSABLE if form.is_bound and form.errors else 200


def _to_lot(request: HttpRequest, lot: DyeLot, act: Act, text: str) -> HttpResponse:
    say_done(request, text, act_id=act.pk)
    return redirect(lot)


def _to_new_lot(request: HttpRequest, lot: DyeLot) -> HttpResponse:
    received = lot.moves.first()
    say_done(request, f"{lot} is in the book.", act_id=received.act_id if received else None)
    return redirect(lot)
