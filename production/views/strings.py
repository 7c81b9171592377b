"""Pages: strings."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from patterns.core.words import say_count
from production.core.places import STEPS
from production.errors import ProductionError
from production.forms.strings import USUAL_FAULTS, StringForm
from production.models import String, StringRun
from production.services import string_queries as queries
from production.services.acts import Who
from production.services.steps import steps_off
from production.services.stories import story_of_string
from production.services.strings import (
    MOST_SOCKS,
    last_on_machine,
    log_string,
    resume_string,
    strings_on_machine,
)
from production.views.asked import whole_number
from socktrade.http import Request
from socktrade.notices import say_done
from socktrade.workshop import workshop_of

WEIGHTLESS = {"faults_text", "minutes", "at", "note", "goes_on"}  # no grams hang on these


@require_GET
def string_list(request: HttpRequest) -> HttpResponse:
    """Show the newest strings and where their socks are."""
    start = whole_number(request.GET.get("before"))
    rows, older = queries.newest_strings(before=start)
    context = {
        "rows": rows,
        "older": older,
        "is_first_page": start is None,
        "on_machine": strings_on_machine(),
    }
    return render(request, "production/string_list.html", context)


@require_http_methods(["GET", "POST"])
def string_new(request: Request) -> HttpResponse:
    """Log a string: pattern, lot, count, done."""
    form = _form(request, queries.last_run())
    if request.method == "POST" and form.is_valid():
        try:
            string = log_string(**_told(request, form))
        except ProductionError as refusal:
            form.add_refusal(refusal)
        else:
            count = string.socks.count()
            say_done(
                request,
                say_count(
                    "{string} logged: {count} sock.",
                    "{string} logged: {count} socks.",
                    count,
                    string=string,
                ),
                act_id=string.act_id,
            )
            return redirect(string)
    return _form_page(request, form, on_machine=strings_on_machine())


@require_http_methods(["GET", "POST"])
def string_resume(request: Request, number: int) -> HttpResponse:
    """Add what was knitted since to a string that stayed on the machine."""
    string = get_object_or_404(String, number=number)
    last = queries.with_base_lot(last_on_machine().filter(string=string)).first()
    form = _form(request, last or queries.last_run())
    if request.method == "POST" and form.is_valid():
        try:
            act = resume_string(string=string, **_told(request, form))
        except ProductionError as refusal:
            form.add_refusal(refusal)
        else:
            more = say_count(
                "{string} goes on: {count} sock more.",
                "{string} goes on: {count} socks more.",
                act.sock_moves.count(),
                string=string,
            )
            say_done(request, more, act_id=act.pk)
            return redirect(string)
    return _form_page(request, form, string=string, ended=last is None)


@require_GET
def string_check(request: HttpRequest) -> HttpResponse:
    """Say whether the lots can finish what the form holds so far."""
    weighty = {name: text for name, text in request.GET.items() if name not in WEIGHTLESS}
    form = StringForm(
        weighty,
        workshop=workshop_of(request),
        last=queries.last_run(),
        asked=whole_number(request.GET.get("version")),
        now=timezone.now(),
    )
    reaches = queries.reach_of(form.runs()) if form.is_valid() else []
    return render(request, "production/_string_reach.html", {"reaches": reaches})


@require_GET
def string_detail(request: HttpRequest, number: int) -> HttpResponse:
    """Show one string: its picture, its runs and yarns, its socks."""
    context = _string_context(number)
    string = context["string"]
    context |= {
        "story": story_of_string(string),
        "on_machine": last_on_machine().filter(string=string).exists(),
    }
    return render(request, "production/string_detail.html", context)


@require_GET
def string_slip(request: HttpRequest, number: int) -> HttpResponse:
    """Show the string as a slip of paper to tick off along the bench."""
    context = _string_context(number)
    runs = context["string"].runs.all()
    off = steps_off()
    context |= {
        "steps": [step for step in STEPS if step.key not in off],
        "is_mixed": len({run.version_id for run in runs}) > 1,
    }
    return render(request, "production/string_slip.html", context)


def _string_context(number: int) -> dict[str, Any]:
    string = get_object_or_404(queries.whole_strings(), number=number)
    row = queries.string_row(string)
    return {
        "string": string,
        "row": row,
        "act": string.act,
        "faulty": [sock for sock in row.socks if sock.fault],
    }


def _form(request: Request, last: StringRun | None) -> StringForm:
    count = whole_number(request.GET.get("count"))
    lot = whole_number(request.GET.get("lot"))
    asked = {"count": count if count and count <= MOST_SOCKS else None, "lot": lot}
    return StringForm(
        request.POST or None,
        workshop=workshop_of(request),
        last=last,
        asked=whole_number(request.GET.get("version")),
        now=timezone.now(),
        initial={name: value for name, value in asked.items() if value},
    )


def _form_page(request: Request, form: StringForm, **more: Any) -> HttpResponse:
    status = 422 if form.is_bound and form.errors else 200
    context = {"form": form, "usual_faults": USUAL_FAULTS, **more}
    return render(request, "production/string_new.html", context, status=status)


def _told(request: Request, form: StringForm) -> dict[str, Any]:
    said = form.cleaned_data
    return {
        "runs": form.runs(),
        "who": Who(by=request.user, at=said["at"] or timezone.now(), key=said["key"]),
        "minutes": said["minutes"],
        "note": said["note"],
        "goes_on": said["goes_on"],
    }
