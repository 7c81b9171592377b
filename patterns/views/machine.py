"""What her machine and her washed socks teach the book."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from patterns.core.words import say
from patterns.errors import PatternsError
from patterns.forms.machine import LearnForm, MachineForm
from patterns.models import PatternVersion
from patterns.services import machine
from patterns.services.logbook import measured_foot_mm
from socktrade.http import Request, way_back
from socktrade.models import Workshop
from socktrade.notices import say_done
from socktrade.workshop import workshop_of


@require_http_methods(["GET", "POST"])
def machine_habits(request: Request) -> HttpResponse:
    """Ask once how her machine counts."""
    form = MachineForm(request.POST or None, instance=Workshop.current())
    if request.method == "POST" and form.is_valid():
        machine.keep_habits(workshop=form.instance, habits=form.cleaned_data)
        say_done(request, say("Row cards count like your machine from now on."))
        return redirect(way_back(request, otherwise="patterns:machine_habits"))
    status = 422 if request.method == "POST" else 200
    context = {"form": form, "next": request.GET.get("next") or request.POST.get("next", "")}
    return render(request, "patterns/machine_habits.html", context, status=status)


@require_http_methods(["GET", "POST"])
def learn_turns(request: Request, version_id: int) -> HttpResponse:
    """Learn from a washed sock what heel and toe really give."""
    version = get_object_or_404(
        PatternVersion.objects.select_related("pattern__design"), pk=version_id
    )
    workshop = workshop_of(request)
    blocked = measured_foot_mm(version.pk)
    begun = {"sock_foot": blocked[0]} if blocked else None
    form = LearnForm(request.POST or None, workshop=workshop, initial=begun)
    factor = _factor(version, form) if request.method == "POST" else None
    if factor is not None and request.POST.get("keep"):
        machine.keep_factors(workshop=workshop, heel=factor, toe=factor)
        say_done(
            request,
            say("Heel and toe count for {factor:.2f} of their passes from now on.", factor=factor),
        )
        return redirect(version.pattern)
    context = {
        "version": version,
        "form": form,
        "factor": factor,
        "blocked": blocked,
        "off_rows": None if factor is None else _off_rows(version, form),
    }
    refused = request.method == "POST" and factor is None
    return render(request, "patterns/learn_turns.html", context, status=422 if refused else 200)


def _factor(version: PatternVersion, form: LearnForm) -> float | None:
    if not form.is_valid():
        return None
    try:
        return machine.learned_factor(version, form.cleaned_data["sock_foot"])
    except PatternsError as refusal:
        form.add_refusal(refusal)
        return None


def _off_rows(version: PatternVersion, form: LearnForm) -> int:
    off_mm = form.cleaned_data["sock_foot"] - version.sock_foot_mm
    return round(off_mm * version.courses_per_10cm / 100)
