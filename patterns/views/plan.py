"""The planning table: from a foot to a pattern version."""

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from patterns.core.drawing import sock_outline
from patterns.core.notices import stretch_needed
from patterns.core.tops import tops_for
from patterns.core.words import say
from patterns.core.yarncount import counts
from patterns.errors import CannotPlanError, PatternsError
from patterns.forms.plan import PlanForm, SaveForm
from patterns.models import PatternVersion
from patterns.services import sizes
from patterns.services.logbook import Times
from patterns.services.plans import Planned, Wish, make_plan
from patterns.services.sizechart import chart_rows
from patterns.services.versions import save_version
from socktrade.http import Request
from socktrade.models import Workshop
from socktrade.notices import say_done
from socktrade.workshop import workshop_of


@require_http_methods(["GET", "POST"])
def pattern_plan(request: Request) -> HttpResponse:
    """Plan the sock in the address; a POST to the same address saves it."""
    asked = "count" in request.GET
    form = PlanForm(
        request.GET if asked else None,
        initial=None if asked else _begun(request),
        workshop=workshop_of(request),
    )
    planned = _planned(form) if asked else None
    context = {"form": form, "planned": planned}
    if planned is None:
        refused = asked or request.method == "POST"
        return render(
            request, "patterns/pattern_plan.html", context, status=422 if refused else 200
        )
    save = SaveForm(request.POST or None, initial=_suggested(request, form, planned))
    if request.method == "POST" and save.is_valid():
        version = _save(request, planned, save)
        if version is not None:
            say_done(
                request,
                say(
                    "{pattern_} saved as version {number}.",
                    pattern_=version.pattern,
                    number=version.number,
                ),
            )
            return redirect(version.pattern)
    context |= {"save": save} | _shown(planned, workshop_of(request))
    status = 422 if request.method == "POST" else 200
    return render(request, "patterns/pattern_plan.html", context, status=status)


def _begun(request: Request) -> dict[str, str]:
    begun = request.GET.dict()
    # An address without a count only fills the form in; "yarn" is the count to begin with.
    return begun | {"count": begun["yarn"]} if begun.get("yarn") else begun


def _planned(form: PlanForm) -> Planned | None:
    if not form.is_valid():
        return None
    wish = Wish(**form.wish(), chart=chart_rows())
    try:
        return make_plan(wish)
    except CannotPlanError as refusal:
        form.add_refusal(refusal)
        return None


def _suggested(request: Request, form: PlanForm, planned: Planned) -> dict:
    foot_mm, system = planned.wish.foot_length_mm, form.chosen_system
    return {
        "seal": planned.seal,
        "design": request.GET.get("design"),
        "size_name": request.GET.get("called")
        or sizes.suggest_size_name(foot_mm, workshop_of(request), system),
        "group": sizes.suggest_group(foot_mm, system),
    }


def _save(request: Request, planned: Planned, save: SaveForm) -> PatternVersion | None:
    given = save.cleaned_data
    if given["seal"] != planned.seal:
        save.add_error(
            None, say("The plan has changed since you saw it. Look once more, then save.")
        )
        return None
    try:
        return save_version(
            planned=planned,
            design_name=given["design_name"],
            size_name=given["size_name"],
            group=given["group"],
            by=request.user,
            at=timezone.now(),
        )
    except PatternsError as refusal:
        save.add_refusal(refusal)
        return None


def _shown(planned: Planned, workshop: Workshop) -> dict:
    plan, wish = planned.plan, planned.wish
    return {
        "plan": plan,
        "wish": wish,
        "sizes": sizes.sizes_of(planned.fit, workshop),
        "yarn": counts(wish.tex),
        "drawing": sock_outline(
            needles=plan.needles,
            leg_rows=plan.leg_rows,
            heel_rows=plan.heel_rows,
            foot_rows=plan.foot_rows,
            toe_rows=plan.toe_rows,
            gauge=planned.taken.gauge,
            hem_rows=planned.hem_rows,
            cuff_rows=plan.cuff_rows,
            cuff_courses_per_10cm=planned.cuff_courses_per_10cm,
            title=say("The sock, drawn to scale"),
        ),
        "loops_a_pair": 2 * plan.loops,
        "minutes": Times().of(
            needles=plan.needles,
            machine_minutes=plan.machine_minutes,
            seam_minutes=plan.seam_minutes,
        ),
        "stretch": stretch_needed(plan.ease),
        "tops": tops_for(plan.needles),
    }
