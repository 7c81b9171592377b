"""Pages: loads, and the lots that may bleed."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from patterns.core.words import say
from production.errors import ProductionError
from production.forms.baskets import DryForm
from production.models import DyeLot, Load
from production.services import washing
from production.services.acts import Who
from production.services.loads import note_dark
from production.views.asked import whole_number
from socktrade.http import Request
from socktrade.notices import say_done
from socktrade.workshop import workshop_of


@require_GET
def load_list(request: HttpRequest) -> HttpResponse:
    """Show the newest loads."""
    loads = washing.newest_loads(before=whole_number(request.GET.get("before")))
    older = loads[-1].number if len(loads) == washing.NEWEST_LOADS else None
    return render(request, "production/load_list.html", {"loads": loads, "older": older})


@require_http_methods(["GET", "POST"])
def load_detail(request: Request, number: int) -> HttpResponse:
    """Show one load with its socks; on POST take in what hangs of it."""
    loads = Load.objects.select_related("wash__by", "wash__undone_by")
    load = get_object_or_404(loads, number=number)
    form = DryForm(request.POST or None, workshop=workshop_of(request))
    if request.method == "POST" and form.is_valid():
        who = Who(by=request.user, at=timezone.now(), key=form.cleaned_data["key"])
        try:
            act = washing.dry_load(load=load, who=who, minutes=form.cleaned_data["minutes"])
        except ProductionError as refusal:
            form.add_refusal(refusal)
        else:
            say_done(request, say("{load} is taken in.", load=load), act_id=act.pk)
            return redirect(load)
    context = {
        "load": load,
        "socks": washing.socks_of_load(load),
        "wet": len(washing.on_the_line(load)),
        "form": form,
    }
    return render(
        request, "production/load_detail.html", context, status=422 if form.errors else 200
    )


@require_POST
def lot_dark(request: Request, lot_id: int) -> HttpResponse:
    """Note whether a lot may bleed in its first wash."""
    lot = get_object_or_404(DyeLot.objects.with_yarn(), pk=lot_id)
    dark = request.POST.get("dark") == "yes"
    note_dark(lot=lot, dark=dark)
    kept = say("{lot} may be washed with others.", lot=lot)
    if dark:
        kept = say("{lot} goes by itself in its first wash.", lot=lot)
    say_done(request, kept)
    return redirect("production:basket_detail", "wash")
