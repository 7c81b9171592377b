"""Pages: strings."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from production.core.places import STEPS, SockPlace
from production.errors import ProductionError
from production.forms.strings import StringForm
from production.models import String
from production.services import string_queries as queries
from production.services.acts import Who
from production.services.strings import log_string
from production.views.asked import whole_number
from socktrade.http import Request
from socktrade.notices import say_done
from socktrade.workshop import workshop_of

WEIGHTLESS = {"faults_text", "minutes", "at", "note"}  # no grams hang on these


@require_GET
def string_list(request: HttpRequest) -> HttpResponse:
    """Show the newest strings and where their socks are."""
    start = whole_number(request.GET.get("before"))
    rows, older = queries.newest_strings(before=start)
    context = {"rows": rows, "older": older, "is_first_page": start is None}
    return render(request, "production/string_list.html", context)


@require_http_methods(["GET", "POST"])
def string_new(request: Request) -> HttpResponse:
    """Log a string: pattern, lot, count, done."""
    form = StringForm(
        request.POST or None,
        workshop=workshop_of(request),
        last=queries.last_run(),
        asked=whole_number(request.GET.get("version")),
        now=timezone.now(),
    )
    if request.method == "POST" and form.is_valid():
        try:
            string = _log(request, form)
        except ProductionError as refusal:
            form.add_refusal(refusal)
        else:
            count = string.socks.count()
            text = f"String {string.number} logged: {count} sock{'' if count == 1 else 's'}."
            say_done(request, text, act_id=string.act_id)
            return redirect(string)
    status = 422 if form.is_bound and form.errors else 200
    return render(request, "production/string_new.html", {"form": form}, status=status)


@require_GET
def string_check(request: HttpRequest) -> HttpResponse:
    """Say whether the lots can finish what the form holds so far."""
    weighty = {name: text for name, text in request.GET.items() if name not in WEIGHTLESS}
    form = StringForm(
        weighty,
        last=queries.last_run(),
        asked=whole_number(request.GET.get("version")),
        now=timezone.now(),
    )
    reaches = queries.reach_of(form.runs()) if form.is_valid() else []
    return render(request, "production/_string_reach.html", {"reaches": reaches})


@require_GET
def string_detail(request: HttpRequest, number: int) -> HttpResponse:
    """Show one string: its picture, its runs and yarns, its socks."""
    return render(request, "production/string_detail.html", _string_context(number))


@require_GET
def string_slip(request: HttpRequest, number: int) -> HttpResponse:
    """Show the string as a slip of paper to tick off along the bench."""
    context = _string_context(number)
    runs = context["string"].runs.all()
    context |= {"steps": STEPS, "is_mixed": len({run.version_id for run in runs}) > 1}
    return render(request, "production/string_slip.html", context)


def _string_context(number: int) -> dict[str, Any]:
    string = get_object_or_404(queries.whole_strings(), number=number)
    row = queries.string_row(string)
    waiting = all(sock.place == SockPlace.TO_CUT for sock in row.socks)
    return {
        "string": string,
        "row": row,
        "act": string.act,
        "faulty": [sock for sock in row.socks if sock.fault],
        "may_undo": waiting and not string.act.is_undone,
    }


def _log(request: Request, form: StringForm) -> String:
    said = form.cleaned_data
    return log_string(
        runs=form.runs(),
        who=Who(by=request.user, at=said["at"] or timezone.now(), key=said["key"]),
        minutes=said["minutes"],
        note=said["note"],
    )
