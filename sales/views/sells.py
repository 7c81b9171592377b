"""Pages: what sells."""

import datetime as dt
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_GET

from patterns.models import Pattern
from sales.forms.sells import SellsForm
from sales.models import MarketDay
from sales.services.report import closed_days
from sales.services.sizes import LISTED, SellsPage, sales_behind, sells_page, sizes_csv
from socktrade.workshop import workshop_of

YEAR_DAYS = 365


@require_GET
def sells(request: HttpRequest) -> HttpResponse:
    """Which sizes sell: the picture first, the figures behind it."""
    form = _form(request)
    page = _page(request, form)
    context = {
        "form": form,
        "page": page,
        "chart": mark_safe(page.chart),  # noqa: S308 - drawn here, every word in it escaped
        "race": page.race(request.GET.get("a", ""), request.GET.get("b", "")),
        "query": _query(form),
    }
    return render(request, "sales/sells.html", context, status=422 if form.errors else 200)


@require_GET
def sells_csv(request: HttpRequest) -> HttpResponse:
    """The same figures as a sheet."""
    form = _form(request)
    if not form.is_valid():
        return render(request, "sales/sells.html", {"form": form}, status=422)
    answer = HttpResponse(sizes_csv(_page(request, form)), content_type="text/csv; charset=utf-8")
    answer["content-disposition"] = 'attachment; filename="sizes.csv"'
    return answer


@require_GET
def sells_detail(request: HttpRequest) -> HttpResponse:
    """The sales behind a figure of the table."""
    form = _form(request)
    days = _days(form)
    name, patterns = _asked_kind(request)
    lines = list(sales_behind(days, pattern_ids=[p.pk for p in patterns])[: LISTED + 1])
    context = {
        "name": name,
        "lines": lines[:LISTED],
        "more": len(lines) > LISTED,
        "days": days,
        "query": _query(form),
    }
    return render(request, "sales/sells_detail.html", context)


def _form(request: HttpRequest) -> SellsForm:
    today = timezone.localdate()
    asked: dict[str, Any] = request.GET.dict()
    if not any(name in asked for name in ("since", "until", "market")):
        asked["since"] = (today - dt.timedelta(days=YEAR_DAYS)).isoformat()
    return SellsForm(asked, today=today)


def _days(form: SellsForm) -> list[MarketDay]:
    if not form.is_valid():
        return []
    market = form.cleaned_data["market"]
    return closed_days(
        since=form.cleaned_data["since"],
        until=form.cleaned_data["until"],
        market_id=market.pk if market else None,
    )


def _page(request: HttpRequest, form: SellsForm) -> SellsPage:
    return sells_page(_days(form), ask_share=workshop_of(request).ask_share)


def _query(form: SellsForm) -> str:
    asked = {name: form.data.get(name) for name in ("since", "until", "market")}
    return urlencode({name: value or "" for name, value in asked.items()})


def _asked_kind(request: HttpRequest) -> tuple[str, list[Pattern]]:
    """Return the name and the patterns that the address asks for."""
    # A text with a null character is no size, and PostgreSQL refuses to look for it.
    kind = request.GET.get("kind", "").replace("\0", "")
    patterns = Pattern.objects.select_related("design")
    if kind.isascii() and kind.isdecimal() and len(kind) < 10:
        found = list(patterns.filter(pk=int(kind)))
        return (str(found[0]) if found else "no kind"), found
    group, _, size = kind.partition(":")
    found = list(patterns.filter(group=group, size_name=size))
    return (f"{size}, all designs" if found else "no kind"), found
