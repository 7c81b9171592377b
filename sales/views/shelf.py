"""Pages: shelf."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from patterns.core.words import say, say_count
from production.core.places import PairPlace
from production.errors import ProductionError
from production.models import Act, ActKind
from production.services.acts import Who
from sales.errors import SalesError
from sales.forms.shelf import CountForm, FoundForm, MissingForm, ScanForm
from sales.services.shelf import (
    count_result,
    count_shelf,
    days_counted,
    find_again,
    kinds_to_count,
    newest_counts,
    set_aside,
    stock_rows,
    write_off,
)
from sales.services.shelfscan import count_by_number, seen_at
from socktrade.forms import ActForm
from socktrade.http import Request
from socktrade.notices import say_done


@require_GET
def shelf(request: Request) -> HttpResponse:
    """What is at home and packed, by size, design and quality, and what it is worth."""
    rows = stock_rows()
    names = ("on_shelf", "in_box", "pairs", "worth_minor", "unpriced", "yarn_minor", "uncosted")
    totals = {name: sum(getattr(row, name) for row in rows) for name in names}
    context = {
        "rows": rows,
        "totals": totals,
        "set_aside": set_aside(),
        "counts": list(days_counted()),
        "at": timezone.now(),
    }
    return render(request, "sales/shelf.html", context)


@require_http_methods(["GET", "POST"])
def shelf_count(request: Request) -> HttpResponse:
    """The blind count: a field for each kind, nothing told."""
    form = CountForm(request.POST or None, kinds=kinds_to_count(request.POST))
    if form.is_valid():
        try:
            act = count_shelf(counted=form.counted, who=_who(request, form))
        except SalesError as refusal:
            form.add_refusal(refusal)
        else:
            say_done(request, say("{count} kinds counted.", count=len(form.counted)), act_id=act.pk)
            return redirect("sales:shelf_count_result", act.pk)
    context = {"form": form, "counts": newest_counts(), "at": timezone.now()}
    return render(request, "sales/shelf_count.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
def shelf_scan(request: Request) -> HttpResponse:
    """The blind count by number: every pair that is read lies there."""
    form = ScanForm(request.POST or None)
    if form.is_valid():
        pairs = form.cleaned_data["numbers"]
        try:
            act = count_by_number(
                pairs=pairs, whole=form.cleaned_data["whole"], who=_who(request, form)
            )
        except SalesError as refusal:
            form.add_refusal(refusal)
        else:
            count = len(pairs)
            said = say_count(
                "{count} pair counted by number.", "{count} pairs counted by number.", count
            )
            say_done(request, said, act_id=act.pk)
            return redirect("sales:shelf_count_result", act.pk)
    status = 422 if form.errors else 200
    return render(request, "sales/shelf_scan.html", {"form": form}, status=status)


@require_GET
def shelf_count_result(request: Request, act_id: int) -> HttpResponse:
    """What a count found, kind by kind, and what to do about the differences."""
    return _result(request, _count(act_id))


@require_POST
def shelf_missing(request: Request, act_id: int) -> HttpResponse:
    """Write off the ticked pairs with a reason."""
    count = _count(act_id)
    form = MissingForm(request.POST)
    if form.is_valid():
        pairs = form.cleaned_data["pairs"]
        try:
            act = write_off(
                pair_ids=[pair.pk for pair in pairs],
                reason=form.cleaned_data["reason"],
                who=_who(request, form),
            )
        except (SalesError, ProductionError) as refusal:
            form.add_refusal(refusal)
        else:
            said = ", ".join(pair.label for pair in pairs)
            say_done(request, say("Written off: {said}.", said=said), act_id=act.pk)
            return redirect("sales:shelf_count_result", act_id)
    return _result(request, count, missing=form)


@require_POST
def shelf_found(request: Request, act_id: int) -> HttpResponse:
    """Put a pair back on the shelf that was written off, or say where the book has it."""
    count = _count(act_id)
    form = FoundForm(request.POST)
    elsewhere = None
    if form.is_valid():
        pair = form.cleaned_data["number"]
        try:
            act = find_again(pair=pair, who=_who(request, form))
        except (SalesError, ProductionError) as refusal:
            elsewhere = pair
            form.add_refusal(refusal)
        else:
            say_done(
                request, say("{label} is on the shelf again.", label=pair.label), act_id=act.pk
            )
            return redirect("sales:shelf_count_result", act_id)
    return _result(request, count, found=form, elsewhere=elsewhere)


def _result(
    request: Request,
    count: Act,
    *,
    missing: MissingForm | None = None,
    found: FoundForm | None = None,
    elsewhere: object = None,
) -> HttpResponse:
    kinds, seen = count_result(count), seen_at(count)
    short = [kind for kind in kinds if kind.open_difference < 0]
    unread = [pair.pk for kind in short for pair in kind.pairs if seen and pair.pk not in seen]
    context = {
        "count": count,
        "kinds": kinds,
        "short": short,
        "over": [kind for kind in kinds if kind.open_difference > 0],
        "expected": sum(kind.expected for kind in kinds),
        "counted": sum(kind.counted for kind in kinds),
        "missing": missing or MissingForm(),
        "ticked": missing.data.getlist("pairs") if missing else [str(pk) for pk in unread],
        "by_number": bool(seen),
        "strays": [pair for pair in seen.values() if pair.place != PairPlace.SHELF],
        "found": found or FoundForm(),
        "elsewhere": elsewhere,
    }
    status = 422 if missing or found else 200
    return render(request, "sales/shelf_count_result.html", context, status=status)


def _count(act_id: int) -> Act:
    acts = Act.objects.select_related("by", "undone_by")
    return get_object_or_404(acts, pk=act_id, kind=ActKind.COUNT)


def _who(request: Request, form: ActForm) -> Who:
    return Who(by=request.user, at=timezone.now(), key=form.cleaned_data["key"])
