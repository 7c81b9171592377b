"""Pages: what is in a sock or a pair, care sets, and whether the yarn is enough."""

from collections.abc import Sequence

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from patterns.core.words import say
from patterns.models import Pattern
from production.core.care import PRESET_NAMES, PRESETS, CareSet, care_words
from production.core.caresymbols import Symbol, care_symbols
from production.errors import ProductionError
from production.forms.labels import CareForm, ChoiceForm, ReachForm, care_facts
from production.models import Care, DyeLot, LabelChoice, Pair, Sock, Yarn
from production.services import care as care_services
from production.services import label_choices
from production.services.acts import Who
from production.services.content import content_of
from production.services.stories import socks_of
from production.services.yarn_queries import newest_versions
from production.services.yarn_reach import lots_for, waste_yarn_m
from production.views.asked import whole_number
from socktrade.forms import ActForm
from socktrade.http import Request
from socktrade.models import Workshop
from socktrade.notices import say_done
from socktrade.workshop import workshop_of

UNPROCESSABLE = 422


@require_http_methods(["GET", "POST"])
def pair_content(request: Request, number: int) -> HttpResponse:
    """Show what is in a pair and its fibre label under each rule set; keep a choice."""
    pair = get_object_or_404(Pair.objects.with_kind(), number=number)
    return _content_page(request, socks_of(pair), pair.pattern, pair)


@require_http_methods(["GET", "POST"])
def sock_content(request: Request, number: int, position: int) -> HttpResponse:
    """Show what is in one sock and its fibre label under each rule set; keep a choice."""
    sock = get_object_or_404(Sock.objects.with_kind(), string__number=number, position=position)
    return _content_page(request, [sock], sock.version.pattern, sock)


@require_POST
def choice_drop(request: Request, choice_id: int) -> HttpResponse:
    """End one choice."""
    choice = get_object_or_404(LabelChoice, pk=choice_id)
    label_choices.drop_choice(choice=choice, who=Who(by=request.user, at=timezone.now()))
    say_done(
        request, say("Dropped: {choice}. Labels made from now on go without it.", choice=choice)
    )
    number = whole_number(request.POST.get("pair"))
    pair = Pair.objects.filter(number=number).first() if number else None
    return (
        redirect("production:pair_content", pair.number)
        if pair
        else redirect("production:tag_list")
    )


@require_GET
def care_list(request: HttpRequest) -> HttpResponse:
    """Show her care sets and the starting points."""
    workshop = workshop_of(request)
    context = {
        "own": [(row, *_said(row.care_set, workshop)) for row in Care.objects.order_by("name")],
        "presets": [
            (name, PRESET_NAMES[name], *_said(care, workshop)) for name, care in PRESETS.items()
        ],
    }
    return render(request, "production/care_list.html", context)


@require_http_methods(["GET", "POST"])
def care_new(request: Request) -> HttpResponse:
    """Build a care set, from nothing or from a starting point."""
    start = PRESETS.get(request.GET.get("from", ""))
    shown = care_facts(start) if start else {}
    return _care_page(request, None, shown)


@require_http_methods(["GET", "POST"])
def care_edit(request: Request, care_id: int) -> HttpResponse:
    """Change a care set of her own."""
    row = get_object_or_404(Care, pk=care_id)
    return _care_page(request, row, care_facts(row.care_set, row))


@require_GET
def yarn_enough(request: HttpRequest) -> HttpResponse:
    """Say, before a pattern is started, which lots reach and what to do with those that do not."""
    versions = {version.pk: version for version in newest_versions()}
    form = ReachForm(request.GET or None, versions=versions)
    workshop = workshop_of(request)
    context: dict[str, object] = {"form": form, "versions": versions}
    if form.is_valid():
        version, pairs = versions[form.cleaned_data["version"]], form.cleaned_data["pairs"]
        lot = DyeLot.objects.filter(pk=whole_number(request.GET.get("lot")) or 0).first()
        context |= {
            "version": version,
            "pairs": pairs,
            "rows": lots_for(version, pairs=pairs, reserve_g=workshop.lot_reserve_g, lot=lot),
            "waste_m": waste_yarn_m(version, pairs=pairs, rounds=workshop.waste_rounds),
        }
    status = UNPROCESSABLE if form.is_bound and form.errors else 200
    return render(request, "production/yarn_enough.html", context, status=status)


def _content_page(
    request: Request, socks: Sequence[Sock], pattern: Pattern, thing: Pair | Sock
) -> HttpResponse:
    content = content_of(socks, pattern_id=pattern.pk)
    form = ChoiceForm(request.POST or None, content=content, pattern=str(pattern))
    if request.method == "POST" and form.is_valid() and _chosen(request, form, pattern):
        return redirect(request.path)
    workshop = workshop_of(request)
    yarns = list(dict.fromkeys(row.lot.yarn for row in content.rows))
    care = care_services.care_of_parts([yarn.care_set for yarn in yarns])
    context = {
        "thing": thing,
        "pair": thing if isinstance(thing, Pair) else None,
        "content": content,
        "form": form,
        "care_lines": care_words(care, workshop.label_rules) if care else [],
        "care_doubts": care_services.care_doubts(yarns),
        "care_place": label_choices.care_place_text(content.made),
        "symbols": _symbols(care, workshop),
    }
    status = UNPROCESSABLE if form.is_bound and form.errors else 200
    return render(request, "production/content.html", context, status=status)


def _chosen(request: Request, form: ChoiceForm, pattern: Pattern) -> bool:
    kind, value = form.kind_and_value()
    said = form.cleaned_data
    by_pattern = said["holds_for"] == "pattern"
    try:
        label_choices.make_choice(
            kind=kind,
            value=value,
            reason=said["reason"],
            pattern=pattern if by_pattern else None,
            yarn=None if by_pattern else Yarn.objects.get(pk=int(said["holds_for"])),
            who=Who(by=request.user, at=timezone.now()),
        )
    except ProductionError as refusal:
        form.add_refusal(refusal)
        return False
    say_done(request, say("The choice is kept, and your reason with it."))
    return True


def _care_page(request: Request, row: Care | None, shown: dict[str, object]) -> HttpResponse:
    form = CareForm(request.POST or None, now=timezone.now(), initial=shown)
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        try:
            kept = care_services.keep_care(
                name=said["name"],
                care=form.care,
                basis=said["basis"],
                basis_on=said["basis_on"],
                row=row,
            )
        except ProductionError as refusal:
            form.add_refusal(refusal)
        else:
            say_done(request, say("{kept} is kept. Choose it on the page of a yarn.", kept=kept))
            return redirect("production:care_list")
    context = {"form": form, "row": row}
    return render(request, "production/care_edit.html", context, status=_status(form))


def _said(care: CareSet, workshop: Workshop) -> tuple[list[str], tuple[Symbol, ...]]:
    return care_words(care, workshop.label_rules), _symbols(care, workshop)


def _symbols(care: CareSet | None, workshop: Workshop) -> tuple[Symbol, ...]:
    if care is None or not workshop.care_symbols:
        return ()
    return care_symbols(care, workshop.label_rules)


def _status(form: ActForm) -> int:
    return UNPROCESSABLE if form.is_bound and form.errors else 200
