"""Papers: the season, the stock count of a day, takings and tax by month."""

from collections.abc import Iterator
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.http import require_GET

from sales.forms.plans import SheetForm
from sales.models import MarketDay
from sales.services.breakdown import GROUPS, group_chart, group_told, told_of
from sales.services.report import closed_days
from sales.services.sizes import sells_page
from sales.services.stockcount import StockCount, count_rows, count_stock
from sales.services.takings import TakingsSheet, takings_by_month, takings_rows
from sales.views.answers import csv_answer
from socktrade.papers import paper_for, pdf_or_page
from socktrade.workshop import workshop_of

# A picture inside a paper does not see the style sheet of the paper.
PRINTED = (
    "<style>.bar{fill:#444}.bar-ghost{fill:#fff;stroke:#444;stroke-dasharray:4 3}"
    ".grid{stroke:#bbb}.whisker{stroke:#000;stroke-width:2}"
    ".whisker-edge{stroke:#fff;stroke-width:5}.is-guess{stroke-dasharray:3 4}"
    "text{font-family:Atkinson Paper,sans-serif;font-size:13px}</style>"
)


@require_GET
def sheets(request: HttpRequest) -> HttpResponse:
    """Choose the days and the paper."""
    form = _form(request)
    status = 422 if form.errors else 200
    return render(request, "sales/sheet_list.html", {"form": form}, status=status)


@require_GET
def season_sheet(request: HttpRequest) -> HttpResponse:
    """What sold from one day to another, with pictures, to print."""
    form = _form(request)
    if form.errors:
        return sheets(request)
    workshop = workshop_of(request)
    since, until = form.cleaned_data["since"], form.cleaned_data["until"]
    days = closed_days(since=since, until=until)
    page = sells_page(days, ask_share=workshop.ask_share, memory=workshop.memory_percent / 100)
    context = {
        "page": page,
        "chart": _printed(page.chart),
        "tables": _tables(days),
        "takings": takings_by_month(since=since, until=until),
    }
    return _paper(request, "season", context, form)


@require_GET
def stock_sheet(request: HttpRequest) -> HttpResponse:
    """Yarn, work in progress and finished pairs at cost on a day, to print."""
    form = _form(request)
    if form.errors:
        return sheets(request)
    return _paper(request, "stock", {"count": _count(request, form)}, form)


@require_GET
def stock_csv(request: HttpRequest) -> HttpResponse:
    """The stock count as a sheet."""
    form = _form(request)
    if form.errors:
        return sheets(request)
    count = _count(request, form)
    return csv_answer(count_rows(count), f"stock-{count.as_of}.csv")


@require_GET
def takings_sheet(request: HttpRequest) -> HttpResponse:
    """Takings and tax by market and month, to print."""
    form = _form(request)
    if form.errors:
        return sheets(request)
    return _paper(request, "takings", {"takings": _takings(form)}, form)


@require_GET
def takings_csv(request: HttpRequest) -> HttpResponse:
    """Takings and tax as a sheet."""
    form = _form(request)
    if form.errors:
        return sheets(request)
    return csv_answer(takings_rows(_takings(form)), "takings.csv")


def _form(request: HttpRequest) -> SheetForm:
    today = timezone.localdate()
    usual = {"since": today.replace(month=1, day=1).isoformat(), "until": today.isoformat()}
    form = SheetForm({**usual, **request.GET.dict()}, today=today)
    form.is_valid()
    return form


def _count(request: HttpRequest, form: SheetForm) -> StockCount:
    return count_stock(as_of=form.cleaned_data["until"], workshop=workshop_of(request))


def _takings(form: SheetForm) -> TakingsSheet:
    return takings_by_month(since=form.cleaned_data["since"], until=form.cleaned_data["until"])


def _tables(days: list[MarketDay]) -> Iterator[dict[str, Any]]:
    told = told_of(days)
    for by in ("market", "month", "design"):
        table = group_told(told, by=by)
        yield {"table": table, "grouping": GROUPS[by], "chart": _printed(group_chart(table))}


def _printed(svg: str) -> SafeString:
    return mark_safe(svg.replace("<title>", f"{PRINTED}<title>", 1))  # noqa: S308 - drawn here


def _paper(
    request: HttpRequest, name: str, context: dict[str, Any], form: SheetForm
) -> HttpResponse:
    since, until = form.cleaned_data["since"], form.cleaned_data["until"]
    workshop = workshop_of(request)
    return pdf_or_page(
        request,
        f"sales/sheet_{name}.html",
        {**context, "since": since, "until": until, "made_on": timezone.localdate()},
        f"{name}-{until}.pdf",
        page=paper_for(workshop.label_rules),
    )
