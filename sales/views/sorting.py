"""Pages: the tray of what the stall and the book disagree on."""

import re

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from patterns.core.words import say
from production.errors import ProductionError
from production.models import ActKind
from production.services.acts import Who
from sales.errors import SalesError
from sales.forms.days import SettleForm
from sales.models import PhoneAct, SortOut
from sales.services import daysheet, sync, till, tray
from socktrade.http import Request
from socktrade.notices import say_done

BEFORE = re.compile(r"([0-9]{1,9})-([0-9]{1,9})")


@require_GET
def sort_list(request: Request) -> HttpResponse:
    """Show what is still open, each with a place for the word that settles it."""
    return _page(request)


@require_POST
def sort_settle(request: Request, item_id: int) -> HttpResponse:
    """Put one disagreement to rest."""
    item = get_object_or_404(SortOut, pk=item_id)
    form = SettleForm(request.POST)
    if form.is_valid():
        who = Who(by=request.user, at=timezone.now(), key=form.cleaned_data["key"])
        try:
            act = till.settle(item=item, who=who, note=form.cleaned_data["note"])
        except SalesError as refusal:
            form.add_refusal(refusal)
        else:
            say_done(request, say("Settled."), act_id=act.pk)
            return redirect("sales:sort_list")
    return _page(request, failed=item.pk, form=form)


@require_POST
def sort_cure(request: Request, item_id: int) -> HttpResponse:
    """Put one disagreement right with one tap."""
    item = get_object_or_404(SortOut, pk=item_id)
    who = Who(by=request.user, at=timezone.now())
    try:
        act = tray.cure(item=item, name=request.POST.get("cure", ""), who=who)
    except (SalesError, ProductionError) as refusal:
        form = SettleForm({}, auto_id=f"id_{item.pk}_%s")
        form.errors.clear()
        form.add_error(None, str(refusal))
        return _page(request, failed=item.pk, form=form)
    say_done(request, say("Settled."), act_id=None if act.kind == ActKind.UNDO else act.pk)
    return redirect("sales:sort_list")


@require_POST
def sort_kept(request: Request, row_id: int) -> HttpResponse:
    """Record a phone's act after all, or put it aside with a word."""
    row = get_object_or_404(PhoneAct, pk=row_id)
    form = SettleForm(request.POST)
    who = Who(by=request.user, at=timezone.now())
    try:
        if "again" in request.POST:
            sync.try_again(row=row, who=who)
            say_done(request, say("Recorded after all."), act_id=None)
        else:
            note = request.POST.get("note", "")[:300].replace("\0", "")
            aside = sync.put_aside(row=row, who=who, note=note)
            say_done(
                request, say("Put aside. Its words stay in the book."), act_id=aside.settled_by_id
            )
    except SalesError as refusal:
        form.errors.clear()
        form.add_error(None, str(refusal))
        return _page(request, failed_row=row.pk, form=form)
    return redirect("sales:sort_list")


def _page(
    request: Request,
    *,
    failed: int | None = None,
    failed_row: int | None = None,
    form: SettleForm | None = None,
) -> HttpResponse:
    rows = [
        (case, form if form and case.item.pk == failed else _form(f"{case.item.pk}"))
        for case in tray.cases_of(daysheet.open_items())
    ]
    kept = [
        (row, form if form and row.pk == failed_row else _form(f"kept_{row.pk}"))
        for row in tray.kept_acts()
    ]
    settled, more = daysheet.settled_items(before=_before(request))
    context = {
        "rows": rows,
        "kept": kept,
        "settled": settled,
        "older": f"{settled[-1].settled_by_id}-{settled[-1].pk}" if more else None,
    }
    return render(request, "sales/sort_list.html", context, status=422 if form else 200)


def _before(request: Request) -> tuple[int, int] | None:
    asked = BEFORE.fullmatch(request.GET.get("before", ""))
    return (int(asked[1]), int(asked[2])) if asked else None


def _form(name: str) -> SettleForm:
    return SettleForm(auto_id=f"id_{name}_%s")
