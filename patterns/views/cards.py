"""Row cards, on screen and on paper."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from patterns.forms.cards import CardForm, PaperForm
from patterns.models import PatternVersion
from patterns.services import cards
from socktrade.http import Request
from socktrade.workshop import workshop_of


@require_GET
def row_card(request: Request, version_id: int) -> HttpResponse:
    """Show a string step by step, for the phone beside the machine."""
    return _card(request, version_id, CardForm, "patterns/row_card.html")


@require_GET
def row_card_paper(request: Request, version_id: int) -> HttpResponse:
    """Show a string on one sheet with boxes to tick."""
    return _card(request, version_id, PaperForm, "patterns/row_card_paper.html")


def _card(
    request: Request, version_id: int, form_class: type[CardForm], template: str
) -> HttpResponse:
    version = get_object_or_404(
        PatternVersion.objects.select_related("pattern__design", "swatch"), pk=version_id
    )
    workshop = workshop_of(request)
    form = form_class({"socks": 2} | request.GET.dict())
    context: dict[str, Any] = {"version": version, "pattern": version.pattern, "form": form}
    if not form.is_valid():
        return render(request, template, context, status=422)
    given = form.cleaned_data
    habits = cards.habits_of(workshop)
    steps = cards.steps_of(version, socks=given["socks"], habits=habits)
    context |= {
        "steps": steps,
        "lines": cards.paper_lines(steps),
        "cautions": cards.cautions_of(steps),
        "yarn": cards.yarn_of(version, socks=given["socks"], habits=habits),
        "drawing": cards.drawing_of(version),
        "socks": range(1, given["socks"] + 1),
        "habits": habits,
        "string": given["string"],
        "query": request.GET.urlencode(),
    }
    return render(request, template, context)


@require_GET
def card_worker(request: Request) -> HttpResponse:
    """Send the script that keeps opened row cards on the phone, for when there is no signal."""
    answer = render(request, "patterns/card_worker.js", content_type="text/javascript")
    # The browser must ask again each time, or an old one would keep serving old pages.
    answer["Cache-Control"] = "no-cache"
    return answer
