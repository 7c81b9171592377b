"""Today: what waits, in one look."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from socktrade.today import look_around
from socktrade.workshop import workshop_of


@require_GET
def today(request: HttpRequest) -> HttpResponse:
    """Show what to do now."""
    look = look_around(workshop=workshop_of(request), date=timezone.localdate())
    return render(request, "socktrade/today.html", {"today": look})
