"""Pages: label sheets, what the tags say, and long prints on their way."""

from typing import Any

from django.db.models import Count
from django.http import HttpRequest, HttpResponse, JsonResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from patterns.core.words import say
from production.core.taglayout import TagDoesNotFitError
from production.core.tagpanels import Layout
from production.documents.pages import tag_pages
from production.documents.tags import lay_out_tags
from production.errors import ProductionError
from production.forms.tags import TagForm, TagHabitsForm, TagSheetForm
from production.models import LongPrint, TagHabits, TagSheet
from production.services import longprints, tagsheets
from socktrade.notices import say_done
from socktrade.papers import join_pdfs, render_pdf
from socktrade.workshop import workshop_of


@require_http_methods(["GET", "POST"])
def tag_sheet_list(request: HttpRequest) -> HttpResponse:
    """Show the label sheets, and keep one that she measured."""
    form = TagSheetForm(request.POST or None, workshop=workshop_of(request))
    if request.method == "POST" and form.is_valid():
        try:
            sheet = tagsheets.add_sheet(
                name=form.cleaned_data["name"], grid=form.cleaned_data["grid"]
            )
        except ProductionError as refusal:
            form.add_refusal(refusal)
        else:
            say_done(
                request,
                say("{name} is kept. Print its outlines on plain paper first.", name=sheet.name),
            )
            return redirect("production:tag_sheet_list")
    context = {
        "form": form,
        "sheets": TagSheet.objects.order_by("name"),
        "built_in": tagsheets.BUILT_IN.items(),
    }
    status = 422 if form.errors else 200
    return render(request, "production/tag_sheet_list.html", context, status=status)


@require_http_methods(["GET", "POST"])
def tag_habits(request: HttpRequest) -> HttpResponse:
    """Choose what the tags say beyond what the rules want."""
    form = TagHabitsForm(request.POST or None, instance=TagHabits.current())
    if request.method == "POST" and form.is_valid():
        form.save()
        say_done(request, say("Kept. Tags printed from now on say it so."))
        return redirect("production:tag_list")
    status = 422 if form.errors else 200
    return render(request, "production/tag_habits.html", {"form": form}, status=status)


@require_GET
def long_print(request: HttpRequest, pk: int) -> HttpResponse:
    """Show how far a long print is."""
    job = _job(pk)
    form = _form(request, job)
    made = job.made
    context = {
        "job": job,
        "tags": len(job.texts),
        "made": longprints.tags_made(job, grid=form.cleaned_data["grid"], chunks=made),
        "finished": made == job.chunks,
    }
    return render(request, "production/tag_progress.html", context)


@require_POST
def long_print_go_on(request: HttpRequest, pk: int) -> HttpResponse:
    """Make the next sheets."""
    job = _job(pk)
    form = _form(request, job)
    grid, layout = form.cleaned_data["grid"], form.layout

    def chunk(texts: Any, start: int, skip: tuple[int, ...]) -> bytes:
        how = Layout(start, skip, layout.two_sided, layout.stub, layout.outline)
        paper = lay_out_tags(texts, grid, how)
        context = {**tag_pages(paper), "for_pdf": True}
        return render_pdf(render_to_string("print/tags.html", context))

    try:
        made = longprints.go_on(job, grid=grid, render=chunk)
    except TagDoesNotFitError as problem:
        context = {"job": job, "tags": len(job.texts), "made": 0, "problem": str(problem)}
        return render(request, "production/tag_progress.html", context, status=422)
    if request.headers.get("Accept") == "application/json":
        done = longprints.tags_made(job, grid=grid, chunks=made)
        return JsonResponse({"made": done, "finished": made == job.chunks})
    return redirect("production:long_print", job.pk)


@require_POST
def long_print_stop(request: HttpRequest, pk: int) -> HttpResponse:
    """Stop a long print and throw its sheets away."""
    longprints.stop_print(_job(pk))
    say_done(request, say("The print was stopped. No pair was moved."))
    return redirect("production:tag_list")


@require_GET
def long_print_pdf(_request: HttpRequest, pk: int) -> HttpResponse:
    """Answer with the sheets that are made."""
    job = _job(pk)
    if not job.made:
        return redirect("production:long_print", job.pk)
    answer = HttpResponse(join_pdfs(longprints.parts_of(job)), content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="tags-{job.pk}.pdf"'
    return answer


def _job(pk: int) -> LongPrint:
    return get_object_or_404(LongPrint.objects.annotate(made=Count("parts")), pk=pk)


def _form(request: HttpRequest, job: LongPrint) -> TagForm:
    """Read again how it was asked for; the sheet was on the list when the print began."""
    form = TagForm(QueryDict(job.layout["form"]), workshop=workshop_of(request))
    form.is_valid()
    return form
