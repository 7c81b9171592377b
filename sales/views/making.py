"""Pages: what to make before the next market day."""

from collections.abc import Iterable
from dataclasses import replace

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from sales.forms.plans import HoursForm
from sales.models import MarketDay
from sales.services.calendar_ahead import days_to_choose, next_day
from sales.services.making import HOUR, MakePlan, Time, plan_making, usual_time
from sales.views.answers import csv_answer
from socktrade.workshop import workshop_of


@require_GET
def make(request: HttpRequest) -> HttpResponse:
    """The list for the bench, each line with its reasons."""
    form, plan = _planned(request)
    status = 422 if form.is_bound and form.errors else 200
    context = {"form": form, "plan": plan, "days": days_to_choose(today=timezone.localdate())}
    return render(request, "sales/make.html", context, status=status)


@require_GET
def make_csv(request: HttpRequest) -> HttpResponse:
    """The same list as a sheet."""
    _, plan = _planned(request)
    return csv_answer(_rows(plan), "to-make.csv")


def _planned(request: HttpRequest) -> tuple[HoursForm, MakePlan]:
    workshop, today = workshop_of(request), timezone.localdate()
    day = _day(request)
    time = usual_time(workshop=workshop, day=day, today=today)
    form = HoursForm(request.GET) if "hours" in request.GET else HoursForm(initial=_hours(time))
    if form.is_bound and form.is_valid():
        time = replace(
            time,
            minutes=round(form.cleaned_data["hours"] * HOUR),
            machine_minutes=round(form.cleaned_data["machine"] * HOUR),
        )
    return form, plan_making(workshop=workshop, today=today, time=time, day=day)


def _day(request: HttpRequest) -> MarketDay | None:
    """Return the market day asked for, else the next one."""
    today, asked = timezone.localdate(), request.GET.get("day", "")
    for day in days_to_choose(today=today):
        if str(day.pk) == asked:
            return day
    return next_day(today=today)


def _hours(time: Time) -> dict[str, float]:
    return {
        "hours": round(time.minutes / HOUR, 1),
        "machine": round(time.machine_minutes / HOUR, 1),
    }


def _rows(plan: MakePlan) -> Iterable[tuple[object, ...]]:
    yield (
        "kind", "finish", "make", "minutes", "finished_already", "in_progress",
        "expected_worth_minor_units", "guess",
    )  # fmt: skip
    for kind in plan.kinds:
        line = kind.line
        yield (
            str(kind.pattern), line.to_finish, kind.new, line.minutes, kind.on_hand,
            kind.underway, round(line.worth), "guess" if kind.guess else "",
        )  # fmt: skip
