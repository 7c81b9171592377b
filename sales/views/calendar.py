"""Pages: the calendar by month, and its feed for other calendars."""

import datetime as dt
import re

from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.dates import WEEKDAYS_ABBR
from django.views.decorators.http import require_GET, require_POST

from patterns.core.words import say
from sales.services import months
from socktrade.http import Request
from socktrade.notices import say_done

_MONTH = re.compile(r"(20\d\d)-(0[1-9]|1[0-2])")
WEEKDAYS = tuple(WEEKDAYS_ABBR.values())


@require_GET
def market_calendar(request: Request) -> HttpResponse:
    """Show a month of market days and promised orders."""
    today = timezone.localdate()
    asked = _MONTH.fullmatch(request.GET.get("month", ""))
    first = dt.date(int(asked[1]), int(asked[2]), 1) if asked else today.replace(day=1)
    address = reverse("sales:calendar_feed", args=[months.feed_token()])
    context = {
        "first": first,
        "weeks": months.month_of(first),
        "weekdays": WEEKDAYS,
        "today": today,
        "before": first - dt.timedelta(days=1),
        "after": first + dt.timedelta(days=31),
        "feed_address": request.build_absolute_uri(address),
    }
    return render(request, "sales/market_calendar.html", context)


@require_POST
def calendar_renew(request: Request) -> HttpResponse:
    """Give the feed another secret address."""
    months.renew_token()
    say_done(request, say("The calendar has a new address; the old one no longer works."))
    return redirect("sales:market_calendar")


@login_not_required
@require_GET
def calendar_feed(_request: HttpRequest, token: str) -> HttpResponse:
    """Hand the market days to another calendar, which cannot sign in."""
    if not months.is_feed_token(token):
        raise Http404
    answer = HttpResponse(months.feed(at=timezone.now()), content_type="text/calendar")
    answer["Content-Disposition"] = 'inline; filename="market-days.ics"'
    answer["Cache-Control"] = "private, no-store"
    answer["Referrer-Policy"] = "no-referrer"
    return answer
