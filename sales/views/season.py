"""Pages: the rest of the season."""

from collections.abc import Iterable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_GET, require_POST

from patterns.core.words import say
from sales.core.bandchart import BandPoint, band_chart
from sales.errors import SalesError
from sales.forms.plans import DesignEndForm, EndForm, WeekHoursForm
from sales.models import DesignSeason
from sales.services.seasonplan import SeasonPage, plan_rest, set_design_end, set_season_end
from sales.views.answers import csv_answer
from socktrade.notices import say_done
from socktrade.workshop import workshop_of


@require_GET
def season(request: HttpRequest) -> HttpResponse:
    """Weeks to the end, what may sell, what may be left, and when to stop."""
    return _page(request)


@require_POST
def season_end(request: HttpRequest) -> HttpResponse:
    """Set the last market day of the season."""
    today = timezone.localdate()
    form = EndForm(request.POST, today=today)
    if form.is_valid():
        try:
            set_season_end(ends_on=form.cleaned_data["ends_on"], today=today)
        except SalesError as refusal:
            form.add_refusal(refusal)
        else:
            say_done(request, say("The end of the season is kept."))
            return redirect("sales:season")
    return _page(request, end_form=form)


@require_POST
def season_design_end(request: HttpRequest) -> HttpResponse:
    """Set the day until which a design sells."""
    today = timezone.localdate()
    form = DesignEndForm(request.POST, today=today)
    if form.is_valid():
        design, ends_on = form.cleaned_data["design"], form.cleaned_data["ends_on"]
        try:
            set_design_end(design=design, ends_on=ends_on, today=today)
        except SalesError as refusal:
            form.add_refusal(refusal)
        else:
            say_done(request, say("The season of {design} is kept.", design=design))
            return redirect("sales:season")
    return _page(request, design_form=form)


@require_GET
def season_csv(request: HttpRequest) -> HttpResponse:
    """The plan of the season as a sheet."""
    _, page = _planned(request)
    return csv_answer(_rows(page), "season.csv")


def _page(
    request: HttpRequest,
    end_form: EndForm | None = None,
    design_form: DesignEndForm | None = None,
) -> HttpResponse:
    today = timezone.localdate()
    hours_form, page = _planned(request)
    workshop = workshop_of(request)
    context = {
        "page": page,
        "hours_form": hours_form,
        "end_form": end_form or EndForm(today=today, initial={"ends_on": workshop.season_ends_on}),
        "design_form": design_form or DesignEndForm(today=today),
        "design_ends": DesignSeason.objects.select_related("design").order_by("ends_on"),
        "charts": _charts(page) if page else (),
    }
    refused = hours_form.errors or end_form or design_form
    return render(request, "sales/season.html", context, status=422 if refused else 200)


def _planned(request: HttpRequest) -> tuple[WeekHoursForm, SeasonPage | None]:
    workshop = workshop_of(request)
    hours: float = workshop.hours_per_week
    form = WeekHoursForm(initial={"hours": hours})
    if "hours" in request.GET:
        form = WeekHoursForm(request.GET)
        if form.is_valid():
            hours = form.cleaned_data["hours"]
    return form, plan_rest(workshop=workshop, today=timezone.localdate(), hours_per_week=hours)


def _charts(page: SeasonPage) -> Iterable[tuple[str, str]]:
    for name, title in (
        ("sales", say("Pairs sold so far, nine seasons of ten inside the band")),
        ("stock", say("Pairs left after each day, nine seasons of ten inside the band")),
    ):
        points = []
        for row in page.days:
            band, date = getattr(row, name), row.day.date
            points.append(BandPoint(say("{day:short}", day=date), band.low, band.middle, band.high))
        yield title, mark_safe(band_chart(points, title))  # noqa: S308 - drawn here, words escaped


def _rows(page: SeasonPage | None) -> Iterable[tuple[object, ...]]:
    yield (
        "what", "name", "made", "sold_low", "sold_middle", "sold_high", "left_low",
        "left_middle", "left_high", "stop_after",
    )  # fmt: skip
    if page is None:
        return
    for row in page.days:
        sales, stock = row.sales, row.stock
        yield (
            "day", row.day.date.isoformat(), row.made, sales.low, sales.middle, sales.high,
            stock.low, stock.middle, stock.high, "",
        )  # fmt: skip
    for kind in page.kinds:
        sold, left = kind.sold, kind.left
        yield (
            "kind", str(kind.pattern), kind.made, sold.low, sold.middle, sold.high, left.low,
            left.middle, left.high, kind.stop_on or "",
        )  # fmt: skip
