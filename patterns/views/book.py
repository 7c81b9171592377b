"""The patterns she has, and one of them."""

from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from patterns.core.shaping import turn
from patterns.models import Cylinder, GaugeState, Pattern, PatternVersion, Swatch
from patterns.services import cards, sizes
from patterns.services.logbook import Times
from patterns.services.versions import patterns_by_design
from socktrade.http import Request
from socktrade.models import Workshop
from socktrade.workshop import workshop_of

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
    facts = _facts(shown, workshop_of(request)) if shown else {}
    return render(request, "patterns/pattern_detail.html", context | facts)


def _facts(version: PatternVersion, workshop: Workshop) -> dict:
    fit = sizes.fit_of(version)
    return {
        "fit": fit,
        "sizes": sizes.sizes_of(fit, workshop),
        "drawing": cards.drawing_of(version),
        "turn_drawing": cards.turn_drawing_of(version),
        "toe_drawing": cards.toe_drawing_of(version),
        "minutes": Times().of(
            needles=version.needles,
            machine_minutes=version.machine_minutes,
            seam_minutes=version.seam_minutes,
        ),
        "ease_got": 1 - version.circumference_mm / version.ball_mm,
        "again": _plan_address(version, foot=True),
        "other_size": _plan_address(version, foot=False),
        "size_run": _run_address(version),
    }


def _plan_address(version: PatternVersion, *, foot: bool) -> str:
    wish = _same_sock(version) | _same_turns(version)
    if foot:
        wish |= {
            "foot": f"{version.pattern.foot_length_mm:.1f} mm",
            "ball": "" if version.ball_guessed else f"{version.ball_mm:.1f} mm",
            "height": f"{version.height_mm:.1f} mm",
        }
    return f"{reverse('patterns:pattern_plan')}?{urlencode(wish)}"


def _run_address(version: PatternVersion) -> str:
    wish = _same_sock(version) | {"count": f"{version.tex:g} tex"}
    return f"{reverse('patterns:size_run')}?{urlencode(wish)}"


def _same_sock(version: PatternVersion) -> dict:
    cuff_mm = 0.0
    if version.cuff_rows:
        cuff_mm = 100 * version.cuff_rows / (version.cuff_courses_per_10cm or 1)
    return {
        "swatch": version.swatch_id or "",
        "yarn": f"{version.tex:g} tex",
        "ease": f"{100 * version.ease_asked:g}",
        "top": version.top,
        "hem": version.hem_rows or "",
        "cuff": f"{cuff_mm:.1f} mm" if cuff_mm else "",
        "cuff_swatch": version.cuff_swatch_id or "",
        "design": version.pattern.design_id,
    }


def _same_turns(version: PatternVersion) -> dict:
    usual, plain = turn(version.needles, None, version.deep_heel), turn(version.needles)
    return {
        "setting": "" if version.stitch_setting is None else version.stitch_setting,
        # A third of another cylinder is another count: only her own choice goes along.
        "centre": "" if version.centre == usual.centre else version.centre,
        "toe_centre": "" if version.toe_centre in (None, plain.centre) else version.toe_centre,
        "deep_heel": version.deep_heel,
        "heel_factor": f"{version.heel_factor:g}",
        "toe_factor": f"{version.toe_factor:g}",
    }
