"""Pages: what sells."""

import datetime as dt
from dataclasses import dataclass, replace
from typing import Any
from urllib.parse import urlencode

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_GET

from patterns.core.words import say
from patterns.models import Pattern
from production.models import Yarn
from sales.forms.sells import SellsForm
from sales.models import MarketDay
from sales.services.breakdown import (
    GROUPS,
    break_down,
    breakdown_rows,
    day_by_day,
    group_chart,
)
from sales.services.report import closed_days, size_name
from sales.services.sizes import (
    LISTED,
    SellsPage,
    asks_behind,
    sales_behind,
    sells_page,
    sizes_csv,
)
from sales.views.answers import csv_answer
from socktrade.workshop import workshop_of

NO_KIND = say("no kind")
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
def sells_by(request: HttpRequest, by: str) -> HttpResponse:
    """Sizes by market, month, design or colour."""
    form = _form(request)
    table = break_down(_days(form), by=_group(by))
    context = {
        "form": form,
        "table": table,
        "by": by,
        "chart": mark_safe(group_chart(table)),  # noqa: S308 - drawn here, every word escaped
        "query": _query(form),
        "grouping": GROUPS[by],
        "groups": GROUPS,
    }
    return render(request, "sales/sells_by.html", context, status=422 if form.errors else 200)


@require_GET
def sells_by_csv(request: HttpRequest, by: str) -> HttpResponse:
    """The same table as a sheet."""
    table = break_down(_days(_form(request)), by=_group(by))
    return csv_answer(breakdown_rows(table), f"sizes-by-{by}.csv")


@require_GET
def sells_detail(request: HttpRequest) -> HttpResponse:
    """The sales, requests and days behind a figure of the tables."""
    form = _form(request)
    days = _days(form)
    asked = _of_size(_asked_kind(request), request.GET.get("size", ""))
    pattern_ids = [pattern.pk for pattern in asked.patterns]
    lines = list(sales_behind(days, pattern_ids=pattern_ids, yarn_id=asked.yarn_id)[: LISTED + 1])
    context = {
        "name": asked.name,
        "lines": lines[:LISTED],
        "more": len(lines) > LISTED,
        "asks": asks_behind(days, pattern_ids=pattern_ids, yarn_id=asked.yarn_id)[:LISTED],
        "by_day": day_by_day(days, pattern_ids=pattern_ids)[:LISTED] if not asked.yarn_id else (),
        "days": days,
        "query": _query(form),
    }
    return render(request, "sales/sells_detail.html", context)


@dataclass(frozen=True, slots=True)
class _Asked:
    """What an address asks for: its name, its patterns, and a yarn if only that counts."""

    name: str
    patterns: list[Pattern]
    yarn_id: int | None = None


def _group(by: str) -> str:
    if by not in GROUPS:
        msg = say("Nothing is grouped by {by}.", by=by)
        raise Http404(msg)
    return by


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
    workshop = workshop_of(request)
    return sells_page(
        _days(form), ask_share=workshop.ask_share, memory=workshop.memory_percent / 100
    )


def _query(form: SellsForm) -> str:
    asked = {name: form.data.get(name) for name in ("since", "until", "market")}
    return urlencode({name: value or "" for name, value in asked.items()})


def _asked_kind(request: HttpRequest) -> _Asked:
    """Return what the address asks for; without a kind, everything."""
    patterns = Pattern.objects.select_related("design")
    if design := _number(request, "design"):
        found = list(patterns.filter(design=design))
        return _Asked(str(found[0].design) if found else str(say("no design")), found)
    if yarn_id := _number(request, "yarn"):
        yarn = Yarn.objects.filter(pk=yarn_id).first()
        return _Asked(str(yarn) if yarn else str(say("no yarn")), list(patterns), yarn_id)
    # A text with a null character is no size, and PostgreSQL refuses to look for it.
    kind = request.GET.get("kind")
    if kind is None:
        return _Asked(say("every kind"), list(patterns))
    kind = kind.replace("\0", "")
    if number := _number(request, "kind"):
        found = list(patterns.filter(pk=number))
        return _Asked(str(found[0]) if found else NO_KIND, found)
    group, _, size = kind.partition(":")
    found = list(patterns.filter(group=group, size_name=size))
    return _Asked(say("{size}, all designs", size=size) if found else NO_KIND, found)


def _of_size(asked: _Asked, size: str) -> _Asked:
    """Narrow what is asked for to one size, named as the columns name it."""
    if not size:
        return asked
    found = [pattern for pattern in asked.patterns if size_name(pattern) == size]
    return replace(asked, name=f"{asked.name}, {size}" if found else NO_KIND, patterns=found)


def _number(request: HttpRequest, name: str) -> int | None:
    text = request.GET.get(name, "")
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 10 else None
