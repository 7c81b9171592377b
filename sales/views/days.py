"""Pages of one market day: its sheet, changed, opened, closed, its differences settled."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from patterns.core.words import say
from production.errors import ProductionError
from production.models import Act
from production.services.acts import Who
from sales.errors import SalesError
from sales.forms.days import (
    CancelForm,
    CloseForm,
    CureForm,
    DayFactsForm,
    OpenForm,
    SlipForm,
    UnpackedForm,
)
from sales.models import CountCure, CountLine, DayState, MarketDay, Payment
from sales.services import days as acts
from sales.services import daysheet, purse
from sales.services.changes import changes_of
from sales.services.cures import cure_gap
from sales.services.overcounts import found_unpacked, maybe_slips, undo_slip
from sales.views.markets import day_or_404
from socktrade.forms import ActForm
from socktrade.http import Request
from socktrade.notices import say_done, say_refused
from socktrade.workshop import workshop_of

UNSOLD = (DayState.PLANNED, DayState.OPEN, DayState.CANCELLED)


@require_GET
def day_detail(request: Request, day_id: int) -> HttpResponse:
    """Show how far a day has come and what it brought."""
    day = day_or_404(day_id)
    context = sheet_of(day) | {
        "packed": daysheet.kinds_in_box(day) if day.state in UNSOLD else [],
        "to_sort_out": daysheet.count_open_items(),
        "cancel": CancelForm(),
        "changes": changes_of(day),
        "payments": Payment.choices,
    }
    slips = maybe_slips(day, context["differences"])
    context["gaps"] = [(gap, slips.get(gap.line.pk, ())) for gap in context["differences"]]
    context["packed_pairs"] = sum(kind.pairs for kind in context["packed"])
    return render(request, "sales/day_detail.html", context)


def sheet_of(day: MarketDay) -> dict[str, Any]:
    """Return what stands on the sheet of a day, on screen and on paper."""
    return {
        "day": day,
        "sold": daysheet.kinds_sold(day),
        "takings": purse.takings_of(day),
        "asks": daysheet.asks_of(day),
        "differences": daysheet.count_differences(day),
    }


@require_http_methods(["GET", "POST"])
def day_edit(request: Request, day_id: int) -> HttpResponse:
    """Change hours, fee, factor or note of one day."""
    day = day_or_404(day_id)
    form = DayFactsForm(request.POST or None, workshop=workshop_of(request), day=day)
    if form.is_bound and form.is_valid():
        try:
            acts.change_day(day=day, facts=form.facts, who=_who(request))
        except SalesError as refusal:
            form.add_refusal(refusal)
        else:
            say_done(request, say("{day} is changed.", day=day))
            return redirect(day)
    status = 422 if form.errors else 200
    return render(request, "sales/day_edit.html", {"day": day, "form": form}, status=status)


@require_POST
def day_cancel(request: Request, day_id: int) -> HttpResponse:
    """Strike a planned day."""
    day, form = day_or_404(day_id), CancelForm(request.POST)
    reason = form.cleaned_data["reason"] if form.is_valid() else ""
    try:
        acts.cancel_day(day=day, reason=reason, who=_who(request))
        say_done(request, say("{day} is cancelled.", day=day))
    except SalesError as refusal:
        say_refused(request, str(refusal))
    return redirect(day)


@require_POST
def day_restore(request: Request, day_id: int) -> HttpResponse:
    """Put a cancelled day back."""
    day = day_or_404(day_id)
    try:
        acts.restore_day(day=day, who=_who(request))
        say_done(request, say("{day} is planned.", day=day))
    except SalesError as refusal:
        say_refused(request, str(refusal))
    return redirect(day)


@require_POST
def day_home(request: Request, day_id: int) -> HttpResponse:
    """Put everything in the stall box back on the shelf."""
    day = day_or_404(day_id)
    try:
        act = acts.bring_home(day=day, who=_who(request))
        say_done(
            request,
            say("{count} pairs back on the shelf.", count=act.pair_moves.count()),
            act_id=act.pk,
        )
    except (SalesError, ProductionError) as refusal:
        say_refused(request, str(refusal))
    return redirect(day)


@require_http_methods(["GET", "POST"])
def day_open(request: Request, day_id: int) -> HttpResponse:
    """Count the tin and open the stall."""
    day = day_or_404(day_id)
    initial = {"float": daysheet.last_float(day)}
    form = OpenForm(request.POST or None, workshop=workshop_of(request), initial=initial)
    if form.is_bound and form.is_valid():
        who = Who(by=request.user, at=timezone.now(), key=form.cleaned_data["key"])
        try:
            act = acts.open_day(day=day, float_minor=form.cleaned_data["float"], who=who)
        except (SalesError, ProductionError) as refusal:
            form.add_refusal(refusal)
        else:
            say_done(request, say("The stall is open."), act_id=act.pk)
            return redirect("sales:stall", day.pk)
    status = 422 if form.errors else 200
    return render(request, "sales/day_open.html", {"day": day, "form": form}, status=status)


@require_http_methods(["GET", "POST"])
def day_close(request: Request, day_id: int) -> HttpResponse:
    """Count back, blind or against the book, and close the day."""
    day = day_or_404(day_id)
    against_book = "book" in request.GET
    form = CloseForm(
        request.POST or None,
        workshop=workshop_of(request),
        kinds=daysheet.kinds_in_box(day),
        day=day,
        against_book=against_book,
    )
    if form.is_bound and form.is_valid():
        try:
            act = _closed(request, day, form)
        except (SalesError, ProductionError) as refusal:
            form.add_refusal(refusal)
        else:
            say_done(request, say("The day is closed; what was left went home."), act_id=act.pk)
            return redirect(day)
    context = {"day": day, "form": form, "against_book": against_book}
    if against_book:
        context["takings"] = purse.takings_of(day)
    status = 422 if form.errors else 200
    return render(request, "sales/day_close.html", context, status=status)


@require_POST
def day_cure(request: Request, day_id: int, line_id: int) -> HttpResponse:
    """Record what became of pairs that were missing at the count."""
    day, form = day_or_404(day_id), CureForm(request.POST)
    line = get_object_or_404(CountLine.objects.select_related("pattern__design"), pk=line_id)
    if not form.is_valid():
        say_refused(request, say("Say how many pairs, and whether they were sold or lost."))
        return redirect(day)
    typed = form.cleaned_data
    who = Who(by=request.user, at=timezone.now(), key=typed["key"])
    try:
        act = cure_gap(
            day=day,
            line=line,
            how=CountCure.How(typed["how"]),
            pairs=typed["pairs"],
            paid_by=Payment(typed["paid_by"] or Payment.CASH),
            who=who,
        )
        say_done(request, say("{typed} recorded.", typed=typed["pairs"]), act_id=act.pk)
    except (SalesError, ProductionError) as refusal:
        say_refused(request, str(refusal))
    return redirect(day)


@require_POST
def day_found(request: Request, day_id: int, line_id: int) -> HttpResponse:
    """Name a pair that was counted without being packed."""
    day, form = day_or_404(day_id), UnpackedForm(request.POST)
    line = get_object_or_404(CountLine.objects.select_related("pattern__design"), pk=line_id)
    if not form.is_valid():
        return _refuse(request, day, form)
    pair, who = form.cleaned_data["pair"], _keyed(request, form)
    try:
        act = found_unpacked(day=day, line=line, pair=pair, who=who)
        say_done(
            request,
            say("{label} was on the table; it is on the shelf.", label=pair.label),
            act_id=act.pk,
        )
    except (SalesError, ProductionError) as refusal:
        say_refused(request, str(refusal))
    return redirect(day)


@require_POST
def day_slip(request: Request, day_id: int, line_id: int) -> HttpResponse:
    """Take back a purchase whose pair was counted at the stall all the same."""
    day, form = day_or_404(day_id), SlipForm(request.POST)
    line = get_object_or_404(CountLine.objects.select_related("pattern__design"), pk=line_id)
    if not form.is_valid():
        return _refuse(request, day, form)
    sale, who = form.cleaned_data["sale"], _keyed(request, form)
    try:
        undo_slip(day=day, line=line, sale=sale, who=who)
        say_done(
            request, say("Purchase {pk} is undone; what was left of it went home.", pk=sale.pk)
        )
    except (SalesError, ProductionError) as refusal:
        say_refused(request, str(refusal))
    return redirect(day)


def _refuse(request: Request, day: MarketDay, form: ActForm) -> HttpResponse:
    say_refused(request, " ".join(word for words in form.errors.values() for word in words))
    return redirect(day)


def _keyed(request: Request, form: ActForm) -> Who:
    return Who(by=request.user, at=timezone.now(), key=form.cleaned_data["key"])


def _closed(request: Request, day: MarketDay, form: CloseForm) -> Act:
    typed = form.cleaned_data
    return acts.close_day(
        day=day,
        counted_minor=typed["counted"],
        card_minor=typed["cards"],
        requests_noted=typed["requests_noted"],
        weather=typed["weather"],
        facts=form.facts,
        left=form.left,
        who=Who(by=request.user, at=timezone.now(), key=typed["key"]),
    )


def _who(request: Request) -> Who:
    return Who(by=request.user, at=timezone.now())
