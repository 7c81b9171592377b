"""Pages: packing for a market day."""

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from patterns.core.words import say, say_count
from production.errors import ProductionError
from production.services.acts import Who
from sales.errors import SalesError
from sales.forms.packing import NumbersForm, PackForm
from sales.models import DayState, MarketDay
from sales.services import days as acts
from sales.services import daysheet, packing
from sales.views.markets import day_or_404
from socktrade.http import Request
from socktrade.notices import say_done, say_refused
from socktrade.workshop import workshop_of


@require_http_methods(["GET", "POST"])
def day_pack(request: Request, day_id: int) -> HttpResponse:
    """Propose what to bring; pack what is ticked."""
    day = day_or_404(day_id)
    form = PackForm(request.POST or None)
    if form.is_bound and form.is_valid():
        try:
            return _packed(request, day, form.cleaned_data["pairs"], form)
        except (SalesError, ProductionError) as refusal:
            form.add_refusal(refusal)
    return _page(request, day, form=form)


@require_POST
def day_pack_numbers(request: Request, day_id: int) -> HttpResponse:
    """Pack the pairs whose numbers were typed or scanned."""
    day = day_or_404(day_id)
    form = NumbersForm(request.POST)
    if form.is_valid():
        try:
            pairs = packing.pairs_of_numbers(form.cleaned_data["numbers"])
            return _packed(request, day, pairs, form)
        except (SalesError, ProductionError) as refusal:
            form.add_error("numbers", str(refusal))
    return _page(request, day, numbers=form)


@require_POST
def day_unpack(request: Request, day_id: int) -> HttpResponse:
    """Take ticked pairs out of the stall box."""
    day = day_or_404(day_id)
    form = PackForm(request.POST)
    if form.is_valid():
        who = Who(by=request.user, at=timezone.now(), key=form.cleaned_data["key"])
        try:
            act = acts.unpack_pairs(day=day, pair_ids=form.cleaned_data["pairs"], who=who)
            count = act.pair_moves.count()
            back = say_count(
                "{count} pair back on the shelf.", "{count} pairs back on the shelf.", count
            )
            say_done(request, back, act_id=act.pk)
        except (SalesError, ProductionError) as refusal:
            say_refused(request, str(refusal))
    else:
        say_refused(request, say("Choose the pairs first."))
    return redirect("sales:day_pack", day.pk)


def _packed(
    request: Request, day: MarketDay, pairs: list[int], form: PackForm | NumbersForm
) -> HttpResponse:
    who = Who(by=request.user, at=timezone.now(), key=form.cleaned_data["key"])
    act = acts.pack_pairs(day=day, pair_ids=pairs, who=who)
    packed = say_count("{count} pair packed.", "{count} pairs packed.", act.pair_moves.count())
    say_done(request, packed, act_id=act.pk)
    return redirect("sales:day_pack", day.pk)


def _page(
    request: Request,
    day: MarketDay,
    *,
    form: PackForm | None = None,
    numbers: NumbersForm | None = None,
) -> HttpResponse:
    workshop = workshop_of(request)
    plan = packing.propose(
        day=day, ask_share=workshop.ask_share, memory=workshop.memory_percent / 100
    )
    form, numbers = form or PackForm(), numbers or NumbersForm()
    context = {
        "day": day,
        "plan": plan,
        "box": daysheet.packed_pairs(day),
        "form": form,
        "numbers": numbers,
        "may_pack": day.state in (DayState.PLANNED, DayState.OPEN),
    }
    status = 422 if form.errors or numbers.errors else 200
    return render(request, "sales/pack_page.html", context, status=status)
