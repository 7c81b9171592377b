"""The size chart, a whole run of sizes, and whom a sock fits."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from patterns.core.words import say, say_count
from patterns.errors import PatternsError
from patterns.forms.plan import DesignForm, RunForm
from patterns.forms.sizes import FitForm, SizeForm
from patterns.models import SizeRow
from patterns.services import sizechart
from patterns.services.fits import fitting_patterns
from patterns.services.plans import Wish
from patterns.services.runpaper import run_csv
from patterns.services.sizerun import SizeOfRun, plan_run, save_sizes
from socktrade.http import Request
from socktrade.notices import say_done
from socktrade.workshop import workshop_of


@require_http_methods(["GET", "POST"])
def size_chart(request: Request) -> HttpResponse:
    """Show her size chart; add a size."""
    form = SizeForm(request.POST or None, workshop=workshop_of(request))
    if request.method == "POST" and form.is_valid() and (row := _keep(form, None)):
        say_done(request, say("{row} added to the chart.", row=row))
        return redirect("patterns:size_chart")
    rows = sizechart.sizes()
    status = 422 if request.method == "POST" else 200
    return render(request, "patterns/size_chart.html", {"form": form, "rows": rows}, status=status)


@require_POST
def size_usual(request: Request) -> HttpResponse:
    """Fill the usual sizes in that are not there."""
    count = sizechart.fill_in_usual_sizes()
    say_done(
        request,
        say_count(
            "{count} size filled in. Look them over.",
            "{count} sizes filled in. Look them over.",
            count,
        ),
    )
    return redirect("patterns:size_chart")


@require_http_methods(["GET", "POST"])
def size_change(request: Request, size_id: int) -> HttpResponse:
    """Change a size of the chart."""
    row = get_object_or_404(SizeRow, pk=size_id)
    form = SizeForm(request.POST or None, workshop=workshop_of(request), row=row)
    if request.method == "POST" and form.is_valid() and _keep(form, row):
        say_done(request, say("{row} changed.", row=row))
        return redirect("patterns:size_chart")
    status = 422 if request.method == "POST" else 200
    return render(request, "patterns/size_change.html", {"form": form, "row": row}, status=status)


@require_POST
def size_remove(request: Request, size_id: int) -> HttpResponse:
    """Take a size off the chart; patterns planned with it stay."""
    row = get_object_or_404(SizeRow, pk=size_id)
    row.delete()
    say_done(request, say("{row} taken off the chart.", row=row))
    return redirect("patterns:size_chart")


@require_http_methods(["GET", "POST"])
def size_run(request: Request) -> HttpResponse:
    """Plan one sock in every size; a POST to the same address saves the ticked ones."""
    asked = "count" in request.GET
    form = _run_form(request, asked=asked)
    run = _run(request, form) if asked else None
    save = DesignForm(request.POST or None, initial={"design": request.GET.get("design")})
    context = {"form": form, "run": run, "save": save, "has_chart": SizeRow.objects.exists()}
    if request.method == "POST" and run is not None and save.is_valid():
        saved = _save_run(request, run, save)
        if saved:
            say_done(
                request,
                say_count(
                    "{count} size saved as patterns.", "{count} sizes saved as patterns.", saved
                ),
            )
            return redirect("patterns:pattern_list")
    refused = (asked and run is None) or request.method == "POST"
    context["query"] = request.GET.urlencode()
    return render(request, "patterns/size_run.html", context, status=422 if refused else 200)


@require_GET
def size_run_csv(request: Request) -> HttpResponse:
    """Send a run as a CSV file."""
    run = _run(request, _run_form(request, asked=True))
    if run is None:
        return redirect(f"{request.path.removesuffix('sizes.csv')}?{request.GET.urlencode()}")
    answer = HttpResponse(run_csv(run), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="size-run.csv"'
    return answer


@require_GET
def will_it_fit(request: Request) -> HttpResponse:
    """Show which patterns fit a foot."""
    asked = any(request.GET.get(name) for name in ("foot", "size"))
    form = FitForm(request.GET if asked else None, workshop=workshop_of(request))
    context: dict[str, Any] = {"form": form}
    if asked and form.is_valid():
        given = form.cleaned_data
        context |= {
            "foot_mm": given["foot_length_mm"],
            "fits": fitting_patterns(foot_mm=given["foot_length_mm"], ball_mm=given["ball"]),
        }
    return render(request, "patterns/will_it_fit.html", context, status=422 if form.errors else 200)


def _keep(form: SizeForm, row: SizeRow | None) -> SizeRow | None:
    names = ("name", "group", "foot_mm", "around_mm", "height_mm")
    try:
        return sizechart.keep_size(
            row=row, figures={name: form.cleaned_data[name] for name in names}
        )
    except PatternsError as refusal:
        form.add_refusal(refusal)
        return None


def _run_form(request: Request, *, asked: bool) -> RunForm:
    begun = request.GET.dict()
    return RunForm(
        request.GET if asked else None,
        initial=None if asked else begun,
        workshop=workshop_of(request),
    )


def _run(request: Request, form: RunForm) -> list[SizeOfRun] | None:
    if not form.is_valid():
        return None
    workshop = workshop_of(request)
    wish = Wish(
        foot_length_mm=0.0,  # each size brings its own
        heel_factor=workshop.heel_factor,
        toe_factor=workshop.toe_factor,
        **form.sock_wish(),
    )
    rows = form.cleaned_data["sizes"] or sizechart.sizes()
    return plan_run(wish, rows, workshop=workshop)


def _save_run(request: Request, run: list[SizeOfRun], save: DesignForm) -> int:
    ticked = set(request.POST.getlist("row"))
    wanted = [size for size in run if str(size.row.pk) in ticked and size.planned]
    if not wanted:
        save.add_error(None, say("Tick the sizes to save."))
        return 0
    try:
        save_sizes(
            sizes=wanted,
            design_name=save.cleaned_data["design_name"],
            by=request.user,
            at=timezone.now(),
        )
    except PatternsError as refusal:
        save.add_error(None, str(refusal))
        return 0
    return len(wanted)
