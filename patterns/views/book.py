"""The patterns she has, and one of them."""

from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from patterns.models import Cylinder, GaugeState, Pattern, PatternVersion, Swatch
from patterns.services import cards, sizes
from patterns.services.versions import patterns_by_design
from socktrade.http import Request

VERSIONS_SHOWN = 50


@require_GET
def pattern_list(request: Request) -> HttpResponse:
    """Show every pattern by design, small to large; or the first thing to do."""
    context = {
        "designs": patterns_by_design(),
        "has_cylinder": Cylinder.objects.exists(),
        "has_washed": Swatch.objects.filter(state=GaugeState.WASHED).exists(),
    }
    return render(request, "patterns/pattern_list.html", context)


@require_GET
def pattern_detail(request: Request, pattern_id: int) -> HttpResponse:
    """Show a pattern: its newest version large (or the one asked for), and all of them."""
    pattern = get_object_or_404(Pattern.objects.select_related("design"), pk=pattern_id)
    versions = pattern.versions.select_related("made_by", "swatch__cylinder", "pattern__design")
    listed = list(versions.order_by("-number")[:VERSIONS_SHOWN])
    asked = request.GET.get("version", "")
    shown = listed[0] if listed else None
    if asked.isdecimal() and len(asked) < 6:
        shown = get_object_or_404(versions, number=int(asked))
    context = {"pattern": pattern, "versions": listed, "version": shown}
    return render(request, "patterns/pattern_detail.html", context | _facts(shown))


def _facts(version: PatternVersion | None) -> dict:
    if version is None:
        return {}
    fit = sizes.fit_of(version)
    return {
        "fit": fit,
        "sizes": sizes.sizes_of(fit),
        "drawing": cards.drawing_of(version),
        "turn_drawing": cards.turn_drawing_of(version),
        "grams_a_pair": 2 * version.grams,
        "metres_a_pair": 2 * version.metres,
        "minutes_a_pair": version.machine_minutes + version.seam_minutes,
        "ease_got": 1 - version.circumference_mm / version.ball_mm,
        "again": _plan_address(version, foot=True),
        "other_size": _plan_address(version, foot=False),
    }


def _plan_address(version: PatternVersion, *, foot: bool) -> str:
    wish = {
        "swatch": version.swatch_id or "",
        "yarn": f"{version.tex:g} tex",
        "ease": f"{100 * version.ease_asked:g}",
        "hem": version.hem_rows,
        "design": version.pattern.design_id,
    }
    if foot:
        wish |= {
            "foot": f"{version.pattern.foot_length_mm:.1f} mm",
            "ball": "" if version.ball_guessed else f"{version.ball_mm:.1f} mm",
            "height": f"{version.height_mm:.1f} mm",
        }
    return f"{reverse('patterns:pattern_plan')}?{urlencode(wish)}"
