"""Yarn beside what is to be made: what runs low, and when."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from sales.services.yarn_ahead import yarn_ahead
from socktrade.workshop import workshop_of


@require_GET
def yarn_low(request: HttpRequest) -> HttpResponse:
    """Show which yarn runs out first, the day, and how much to buy."""
    ahead = yarn_ahead(workshop=workshop_of(request), today=timezone.localdate())
    return render(request, "socktrade/yarn_low.html", {"ahead": ahead})
