"""Today: what waits, in one look."""

from urllib.parse import urlencode

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.templatetags.static import static
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET

from socktrade.beside import can_open_demo
from socktrade.data.keeping import copy_trouble
from socktrade.today import look_around
from socktrade.workshop import workshop_of


@require_GET
def today(request: HttpRequest) -> HttpResponse:
    """Show what to do now."""
    now = timezone.now()
    look = look_around(workshop=workshop_of(request), date=timezone.localdate(now))
    context = {
        "today": look,
        "copy_trouble": copy_trouble(),
        "now": now,
        "last_act_at": look.last_act_ahead(now),
        "can_open_demo": can_open_demo(),
    }
    return render(request, "socktrade/today.html", context)


@login_not_required
@require_GET
def favicon(_request: HttpRequest) -> HttpResponse:
    """Lead a browser that asks at the usual place to the icon that every page names."""
    return redirect(static("icons/sock.svg"))


@require_GET
def log_string(request: HttpRequest) -> HttpResponse:
    """Open the form of a string with what a row card already knows: version, lot, count."""
    told = {name: request.GET[name] for name in ("version", "lot", "count") if name in request.GET}
    return redirect(f"{reverse('production:string_new')}?{urlencode(told)}")
