"""Pages: tags, their sheets, and the papers of production."""

from collections.abc import Sequence
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from patterns.core.words import say, say_count, say_list
from production.core.fibre.compose import RULES
from production.core.places import PairPlace
from production.core.taglayout import TagDoesNotFitError
from production.documents.pages import TagPrint, tag_pages
from production.documents.tags import lay_out_outlines, lay_out_tags
from production.errors import ProductionError
from production.forms.tags import TagForm
from production.models import Pair
from production.services import longprints, tags, tagsheets
from production.services.acts import Who, recorded
from production.services.pairs import tag_pairs
from socktrade.notices import say_done
from socktrade.papers import pdf_ready, pdf_response
from socktrade.workshop import workshop_of

MOST_NAMED = 12


@require_GET
def tag_list(request: HttpRequest) -> HttpResponse:
    """Show the pairs that wait for a tag, and how to print."""
    data = request.GET if "sheet" in request.GET else None
    return _page(request, TagForm(data, workshop=workshop_of(request)))


@require_GET
def tag_pdf(request: HttpRequest) -> HttpResponse:
    """Answer with the chosen tags as PDF, or send on to the page for the browser's print."""
    if not pdf_ready()[0]:
        return redirect(f"{reverse('production:tag_print')}?{request.GET.urlencode()}")
    form, paper = _paper(request, request.GET)
    if paper is None and "preview" in request.GET:
        return render(request, "production/tag_refused.html", {"form": form}, status=422)
    if paper is None:
        return _page(request, form, status=422)
    return _tag_paper(request, paper, "", "tags.pdf")


@require_POST
def tag_start(request: HttpRequest) -> HttpResponse:
    """Remember how it is printed; a few tags come at once, many sheet by sheet."""
    form = TagForm(request.POST, workshop=workshop_of(request))
    chosen, _ = _chosen(request, request.POST)
    if form.is_valid() and not chosen:
        form.add_error(None, say("Tick the pairs whose tags you want."))
    if form.errors:
        return _page(request, form, status=422)
    _remember(form)
    query = request.POST.copy()
    query.pop("csrfmiddlewaretoken", None)
    for name in ("shift_x", "shift_y"):  # a later correction must not bend a print on its way
        query[name] = str(form.cleaned_data[name])
    if len(chosen) <= tags.AT_ONCE or not pdf_ready()[0]:
        return redirect(f"{reverse('production:tag_pdf')}?{query.urlencode()}")
    query.pop("pair", None)
    job = longprints.start_print(
        texts=[tag.text for tag in chosen],
        layout={"start": form.layout.start, "skip": form.layout.skip, "form": query.urlencode()},
        grid=form.cleaned_data["grid"],
        who=Who(by=request.user, at=timezone.now(), key=form.cleaned_data["key"]),
    )
    return redirect("production:long_print", job.pk)


@require_GET
def tag_print(request: HttpRequest) -> HttpResponse:
    """Show the chosen tags for the browser's own print."""
    form, paper = _paper(request, request.GET)
    if paper is None:
        return _page(request, form, status=422)
    css = f"{reverse('production:tag_css')}?{request.GET.urlencode()}"
    return _tag_page(request, paper, css)


@require_GET
def tag_css(request: HttpRequest) -> HttpResponse:
    """Answer with the places of the words on that page; no page may carry its own styles."""
    _, paper = _paper(request, request.GET)
    if paper is None:
        raise Http404
    return HttpResponse(paper.css, content_type="text/css")


@require_POST
def tag_on(request: HttpRequest) -> HttpResponse:
    """Put the chosen pairs on the shelf with the words of their tags kept."""
    form = TagForm(request.POST, workshop=workshop_of(request))
    if form.is_valid() and recorded(form.cleaned_data["key"]):
        return redirect("production:tag_list")
    chosen, changed = _chosen(request, request.POST)
    _refuse_gone(form, _numbers(request.POST), chosen)
    if form.is_valid() and not _refused(form, chosen, changed):
        who = Who(by=request.user, at=timezone.now(), key=form.cleaned_data["key"])
        texts = {tag.pair.pk: tag.text for tag in chosen}
        try:
            act = tag_pairs(texts=texts, who=who, note=form.cleaned_data["reason"])
        except ProductionError as refusal:
            form.add_refusal(refusal)
        else:
            _remember(form)
            done = say_count(
                "{count} pair is tagged and on the shelf.",
                "{count} pairs are tagged and on the shelf.",
                len(texts),
            )
            say_done(request, done, act_id=act.pk)
            return redirect("production:tag_list")
    return _page(request, form, status=422)


@require_GET
def tag_reprint(request: HttpRequest, number: int) -> HttpResponse:
    """Print a tag again, word for word as it was kept."""
    pair = get_object_or_404(Pair, number=number)
    text = tags.kept_text(pair)
    if text is None:
        msg = say("No tag of {pair} was kept.", pair=pair)
        raise Http404(msg)
    asked = request.GET if "sheet" in request.GET else _usual_sheet(request)
    form = TagForm(asked, workshop=workshop_of(request))
    paper = _lay_out(form, [text]) if form.is_valid() else None
    if paper is None:
        return _page(request, form, status=422)
    if "css" in request.GET:
        return HttpResponse(paper.css, content_type="text/css")
    css = f"{request.path}?{asked.urlencode()}&css=1"
    return _tag_paper(request, paper, css, f"tag-{pair}.pdf")


def _page(request: HttpRequest, form: TagForm, *, status: int = 200) -> HttpResponse:
    workshop = workshop_of(request)
    waiting = tags.tags_of(tags.waiting_pairs(), workshop=workshop, site=_site(request))
    data = request.POST or request.GET
    picked = set(_numbers(data))
    ready, install = pdf_ready()
    context: dict[str, Any] = {
        "form": form,
        "tags": waiting,
        "picked": picked if form.is_bound else {tag.pair.number for tag in waiting},
        "more": Pair.objects.to_tag().count() - len(waiting),
        "missing": tags.missing(waiting),
        "cautions": list(dict.fromkeys(c for tag in waiting for c in tag.draft.cautions)),
        "rules_date": RULES[workshop.label_rules].date,
        "ask": RULES[workshop.label_rules].ask,
        "pdf_is_ready": ready,
        "pdf_install": install,
        "preview": _preview(form, waiting),
    }
    return render(request, "production/tag_list.html", context, status=status)


def _paper(request: HttpRequest, data: QueryDict) -> tuple[TagForm, TagPrint | None]:
    """Return the form and the pages asked for; no pages when the form says what is wrong."""
    form = TagForm(data, workshop=workshop_of(request))
    if not form.is_valid():
        return form, None
    if "outlines" in data:
        return form, lay_out_outlines(form.cleaned_data["grid"])
    chosen, _ = _chosen(request, data)
    if not chosen:
        form.add_error(None, say("Tick the pairs whose tags you want."))
        return form, None
    if "preview" in data:  # the first sheet shows whether it fits
        grid, skip = form.cleaned_data["grid"], form.layout.skip
        free = range(form.layout.start, grid.per_page + 1)
        chosen = chosen[: len([place for place in free if place not in skip])]
    return form, _lay_out(form, [tag.text for tag in chosen])


def _tag_paper(request: HttpRequest, paper: TagPrint, css: str, name: str) -> HttpResponse:
    """Answer with tags as PDF, or as a page whose places stand at the address `css`."""
    if not pdf_ready()[0]:
        return _tag_page(request, paper, css)
    context = {**tag_pages(paper), "for_pdf": True}
    return pdf_response(render_to_string("print/tags.html", context, request), name)


def _tag_page(request: HttpRequest, paper: TagPrint, css: str) -> HttpResponse:
    context = {
        **tag_pages(paper), "for_pdf": False, "css_address": css, "pdf_install": pdf_ready()[1],
    }  # fmt: skip
    return render(request, "print/tags.html", context)


def _lay_out(form: TagForm, texts: Sequence[dict[str, Any]]) -> TagPrint | None:
    try:
        return lay_out_tags(texts, form.cleaned_data["grid"], form.layout)
    except TagDoesNotFitError as problem:
        form.add_error("sheet", str(problem))
        return None


def _chosen(request: HttpRequest, data: QueryDict) -> tuple[list[tags.Tag], list[str]]:
    """Return the chosen tags as they read now, and the pairs whose words changed since."""
    asked = dict(mark.partition(".")[::2] for mark in data.getlist("pair"))
    numbers = _numbers(data)[: tags.MOST_TAGS]
    found = tags.tags_of(
        tags.pairs_numbered(numbers), workshop=workshop_of(request), site=_site(request)
    )
    waiting = [tag for tag in found if tag.pair.place == PairPlace.TO_TAG]
    changed = [
        tag.pair.label
        for tag in waiting
        if asked.get(str(tag.pair.number), "") not in {"", tag.mark.partition(".")[2]}
    ]
    return waiting, changed


def _refused(form: TagForm, chosen: Sequence[tags.Tag], changed: Sequence[str]) -> bool:
    if changed:
        form.add_error(
            None,
            say(
                "The words of {items} changed since this page was opened. Print them again, "
                "then put them on.",
                items=say_list(list(changed)),
            ),
        )
    gaps = [tag.pair.label for tag in chosen if tag.blocking]
    if gaps and not form.cleaned_data["reason"].strip():
        form.add_error(
            "reason",
            say("Something is missing on {items}. Say why they go on.", items=say_list(gaps)),
        )
    return bool(form.errors)


def _refuse_gone(form: TagForm, asked: Sequence[int], chosen: Sequence[tags.Tag]) -> None:
    """Say which ticked pairs somebody else has seen to; a part of them is not tagged silently."""
    gone = sorted(set(asked) - {tag.pair.number for tag in chosen})
    if gone:
        named = ", ".join(f"P{number}" for number in gone[:MOST_NAMED])
        said = say(
            "No longer waiting for a tag: {pairs}. Nothing was tagged; look again.", pairs=named
        )
        form.add_error(None, said)


def _numbers(data: QueryDict) -> list[int]:
    marks = (mark.partition(".")[0].removeprefix("P") for mark in data.getlist("pair"))
    return [int(m) for m in marks if m.isascii() and m.isdigit() and len(m) < 10]


def _remember(form: TagForm) -> None:
    asked = form.cleaned_data
    tagsheets.remember_print(
        sheet=asked["sheet"],
        sides=asked["sides"] or "one",
        stub=asked["stub"],
        shift_x_tenths=asked["shift_x"],
        shift_y_tenths=asked["shift_y"],
    )


def _preview(form: TagForm, waiting: Sequence[tags.Tag]) -> str:
    """Return the address of the first sheet as it would print now."""
    data = QueryDict(mutable=True)
    for name in ("sheet", "sides", "start", "skip", "shift_x", "shift_y"):
        data[name] = str(form[name].value() or "")
    if form["stub"].value():
        data["stub"] = "on"
    data.setlist("pair", [tag.mark for tag in waiting[: tags.AT_ONCE]])
    data["preview"] = "1"
    return f"{reverse('production:tag_pdf')}?{data.urlencode()}"


def _usual_sheet(request: HttpRequest) -> QueryDict:
    """Return the form as it was last sent, for a print that asks for nothing."""
    form = TagForm(workshop=workshop_of(request))
    data = QueryDict(mutable=True)
    sheet, sides = form.fields["sheet"].initial, form.fields["sides"].initial
    data.update({"sheet": sheet, "sides": sides, "start": "1"})
    if form.fields["stub"].initial:
        data["stub"] = "on"
    return data


def _site(request: HttpRequest) -> str:
    return request.build_absolute_uri("/")
