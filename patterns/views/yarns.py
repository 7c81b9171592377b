"""Questions about yarn and rows: a setting, old directions, colour repeats."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from patterns.core.refusal import RefusedError
from patterns.core.words import say
from patterns.forms.yarns import DirectionsForm, SettingForm, StripesForm
from patterns.services import gauges, olddirections, stripes
from socktrade.http import Request
from socktrade.workshop import workshop_of


@require_GET
def gauge_lines(request: Request) -> HttpResponse:
    """Show what each yarn does at each setting; answer for a wanted gauge or setting."""
    asked = "line" in request.GET
    form = SettingForm(request.GET if asked else None, workshop=workshop_of(request))
    answer = None
    if asked and form.is_valid():
        answer = gauges.ask_line(form.cleaned_data)
        if isinstance(answer, str):
            form.add_error(None, answer)
            answer = None
    lines = gauges.yarn_lines()
    single = [line for line in lines if not line.line]
    context = {"form": form, "lines": lines, "single": single, "answer": answer}
    status = 422 if form.errors else 200
    return render(request, "patterns/gauge_lines.html", context, status=status)


@require_GET
def old_directions(request: Request) -> HttpResponse:
    """Show what sock each reading of old directions would give."""
    asked = "needles" in request.GET
    workshop = workshop_of(request)
    form = DirectionsForm(request.GET if asked else None, workshop=workshop)
    context: dict[str, Any] = {"form": form}
    if asked and form.is_valid():
        given = form.cleaned_data
        try:
            context |= {
                "readings": olddirections.readings(
                    needles=given["needles"],
                    leg=given["leg"],
                    foot=given["foot"],
                    centre=given["centre"],
                    swatch=given["swatch"],
                    tex=given["count"],
                    workshop=workshop,
                )
            }
        except RefusedError as problem:
            msg = say("These needles cannot turn so: {problem}.", problem=problem.reason)
            form.add_error("centre", msg)
    status = 422 if form.errors else 200
    return render(request, "patterns/old_directions.html", context, status=status)


@require_GET
def self_striping(request: Request) -> HttpResponse:
    """Show how long a colour repeat lasts and where the second sock starts."""
    asked = "repeat" in request.GET
    form = StripesForm(
        request.GET if asked else None,
        initial=None if asked else request.GET.dict(),
        workshop=workshop_of(request),
    )
    context: dict[str, Any] = {
        "form": form,
        "has_version": form.fields["version"].queryset.exists(),
    }
    if asked and form.is_valid():
        given = form.cleaned_data
        context["stripes"] = stripes.stripes_of(
            given["version"],
            repeat_m=given["repeat"],
            used_m=given["used"],
            plain_turns=given["plain_turns"],
        )
        context["version"] = given["version"]
    status = 422 if form.errors else 200
    return render(request, "patterns/self_striping.html", context, status=status)
