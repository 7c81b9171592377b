"""Pages: yarn."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from patterns.core.words import say
from production.core.fibre.names import NAMES
from production.errors import ProductionError
from production.forms.yarn import (
    LotFacts,
    LotForm,
    NewYarnForm,
    YarnFacts,
    facts_of,
    facts_of_lot,
)
from production.models import DyeLot, Yarn
from production.services import yarn as services
from production.services import yarn_queries as queries
from production.services.acts import Who
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
            say_done(request, say("{yarn} changed.", yarn=yarn))
            return redirect(f"{reverse('production:yarn_list')}#yarn-{yarn.pk}")
    context = {"form": form, "yarn": yarn, "fibre_names": NAMES}
    return render(request, "production/yarn_edit.html", context, status=_status(form))


@require_http_methods(["GET", "POST"])
def lot_edit(request: Request, lot_id: int) -> HttpResponse:
    """Mend the number, the empty weight or the day of a lot."""
    lot = _lot(lot_id)
    form = LotFacts(
        request.POST or None,
        workshop=workshop_of(request),
        now=timezone.now(),
        initial=facts_of_lot(lot),
    )
    if request.method == "POST" and form.is_valid():
        try:
            services.change_lot(lot=lot, facts=form.new_lot())
        except ProductionError as refusal:
            form.add_refusal(refusal)
        else:
            say_done(request, say("{lot} changed.", lot=lot))
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


def _lot(lot_id: int) -> DyeLot:
    return get_object_or_404(DyeLot.objects.with_yarn(), pk=lot_id)


def _who(request: Request, form: ActForm) -> Who:
    return Who(by=request.user, at=timezone.now(), key=form.cleaned_data["key"])


def _status(form: ActForm) -> int:
    return UNPROCESSABLE if form.is_bound and form.errors else 200


def _to_new_lot(request: HttpRequest, lot: DyeLot) -> HttpResponse:
    received = lot.moves.first()
    say_done(
        request, say("{lot} is in the book.", lot=lot), act_id=received.act_id if received else None
    )
    return redirect(lot)
