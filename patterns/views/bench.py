"""Cylinders and gauges."""

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from patterns.core.words import say
from patterns.errors import PatternsError
from patterns.forms.bench import CylinderForm, SwatchForm
from patterns.models import Cylinder, Fabric, GaugeState, Swatch
from patterns.services import bench
from patterns.services.gauges import Shrink, shrinks_of
from socktrade.http import Request
from socktrade.notices import say_done
from socktrade.workshop import workshop_of

SWATCHES_A_PAGE = 50
_USUAL_SHAPE = (1.15, 1.55)


@require_http_methods(["GET", "POST"])
def cylinder_list(request: Request) -> HttpResponse:
    """List her cylinders; add one."""
    form = CylinderForm(request.POST or None, workshop=workshop_of(request))
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            cylinder = bench.add_cylinder(
                needles=given["needles"], diameter_mm=given["diameter_mm"], note=given["note"]
            )
        except PatternsError as refusal:
            form.add_refusal(refusal)
        else:
            say_done(request, say("Cylinder of {cylinder} added.", cylinder=cylinder))
            return redirect("patterns:cylinder_list")
    context = {
        "form": form,
        "cylinders": Cylinder.objects.order_by("needles"),
        "has_swatch": Swatch.objects.exists(),
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "patterns/cylinder_list.html", context, status=status)


@require_http_methods(["GET", "POST"])
def swatch_list(request: Request) -> HttpResponse:
    """List her swatches, newest first; add one."""
    cylinders = list(Cylinder.objects.values_list("pk", flat=True)[:2])
    form = SwatchForm(
        request.POST or None,
        initial={"cylinder": cylinders[0] if len(cylinders) == 1 else None} | _begun(request),
        workshop=workshop_of(request),
        today=timezone.localdate(),
    )
    if request.method == "POST" and form.is_valid():
        try:
            swatch = _add_swatch(form.cleaned_data)
        except PatternsError as refusal:
            form.add_refusal(refusal)
        else:
            say_done(request, say("Swatch “{swatch}” added.", swatch=swatch))
            return redirect("patterns:swatch_list")
    swatches, older = _newest(request.GET.get("before", ""))
    context = {
        "form": form,
        "swatches": _measured(swatches),
        "lines": any(swatch.yarn_name for swatch in swatches),
        "older": older,
        "has_cylinder": bool(cylinders),
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "patterns/swatch_list.html", context, status=status)


def _begun(request: Request) -> dict[str, str]:
    names = ("name", "yarn_name", "cylinder", "stitch_setting", "state", "fabric")
    return {name: request.GET[name] for name in names if name in request.GET}


def _add_swatch(given: dict) -> Swatch:
    return bench.add_swatch(
        name=given["name"],
        yarn_name=given["yarn_name"],
        cylinder=given["cylinder"],
        stitch_setting=given["stitch_setting"],
        state=given["state"],
        wales=bench.Counted(given["wales"], given["wales_over_mm"]),
        courses=bench.Counted(given["courses"], given["courses_over_mm"]),
        measured_on=given["measured_on"],
        extra=bench.Extra(
            fabric=given["fabric"],
            round_cm=_round_cm(given["unravelled"], given["unravelled_rounds"]),
            hanging_mm=given["hanging"],
            hanging_rows=given["hanging_rows"],
        ),
    )


def _round_cm(unravelled_mm: float | None, rounds: int | None) -> float | None:
    return unravelled_mm / 10 / rounds if unravelled_mm and rounds else None


def _newest(before: str) -> tuple[list[Swatch], int | None]:
    swatches = Swatch.objects.select_related("cylinder").order_by("-pk")
    if before.isdecimal() and len(before) < 18:
        swatches = swatches.filter(pk__lt=int(before))
    found = list(swatches[: SWATCHES_A_PAGE + 1])
    shown = found[:SWATCHES_A_PAGE]
    return shown, shown[-1].pk if len(found) > SWATCHES_A_PAGE else None


def _measured(swatches: list[Swatch]) -> list[dict]:
    shrinks = shrinks_of(one for one in swatches if one.state == GaugeState.RAW)
    return [_facts(swatch, shrinks.get(swatch.pk)) for swatch in swatches]


def _facts(swatch: Swatch, shrink: Shrink | None) -> dict:
    gauge = swatch.gauge
    plain = swatch.fabric == Fabric.PLAIN
    shape = round(gauge.courses_per_wale, 9)
    return {
        "swatch": swatch,
        "gauge": gauge,
        "washed": shrink is None,
        "plain": plain,
        "shrink": shrink,
        "loop_cm": swatch.loop_cm if shrink is None else swatch.measured_loop_cm,
        "loop_measured": swatch.round_cm is not None,
        "odd_shape": plain and not _USUAL_SHAPE[0] <= shape <= _USUAL_SHAPE[1],
    }
