"""Page: stitch settings up the leg of a knee sock."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from patterns.core.words import say
from patterns.forms.legs import KneeSockForm
from patterns.services.legs import USUAL_EASE, Leg, bands_of, lines_with_settings
from socktrade.http import Request
from socktrade.workshop import workshop_of


@require_GET
def knee_socks(request: Request) -> HttpResponse:
    """Show the setting for each band of a leg; a link may bring yarn and foot along."""
    asked = "ease" in request.GET
    lines = lines_with_settings()
    form = KneeSockForm(
        request.GET if asked else None,
        initial=None if asked else _brought(request, lines),
        workshop=workshop_of(request),
        lines=lines,
    )
    context: dict[str, Any] = {"form": form, "lines": lines}
    if asked and form.is_valid():
        given = form.cleaned_data
        line = next(one for one in lines if one.swatches[0].pk == given["line"])
        leg = Leg(given["foot"], given["ankle"], given["calf"], given["knee"])
        percent = given["ease"]
        ease = USUAL_EASE if percent is None else percent / 100
        try:
            context |= {"bands": bands_of(line, leg, ease=ease), "line": line, "leg": leg}
        except ValueError:
            form.add_error(
                None, say("No stitch of this yarn on this cylinder is that wide or narrow.")
            )
    status = 422 if form.errors else 200
    return render(request, "patterns/knee_socks.html", context, status=status)


def _brought(request: Request, lines: list) -> dict[str, Any]:
    swatch = request.GET.get("line", "")
    own = [
        line.swatches[0].pk for line in lines if swatch in {str(one.pk) for one in line.swatches}
    ]
    brought: dict[str, Any] = {"ease": "10", "foot": request.GET.get("foot", "")}
    return brought | ({"line": own[0]} if own else {})
