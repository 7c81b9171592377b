"""Pages: markets, their calendar and the sheet of a day."""

from collections.abc import Sequence
from itertools import groupby

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from production.errors import ProductionError
from production.services.acts import Who
from sales.errors import SalesError
from sales.forms.markets import CloseForm, DayForm, MarketForm, OpenForm, WeeklyForm
from sales.models import DayState, Market, MarketDay
from sales.services import days as acts
from sales.services import daysheet
from socktrade.http import Request
from socktrade.notices import say_done, say_refused
from socktrade.workshop import workshop_of


def day_or_404(day_id: int) -> MarketDay:
    """Return a day with its market beside it."""
    return get_object_or_404(MarketDay.objects.with_market(), pk=day_id)


def months(days: Sequence[MarketDay]) -> list[tuple[str, list[MarketDay]]]:
    """Return days month by month, in the order they come."""
    return [(name, list(inside)) for name, inside in groupby(days, lambda day: f"{day.date:%B %Y}")]


@require_GET
def market_list(request: Request) -> HttpResponse:
    """Show the season: markets, the days ahead and the days behind."""
    mark = request.GET.get("before", "")
    before = (
        MarketDay.objects.filter(pk=int(mark)).first()
        if mark.isascii() and mark.isdecimal() and len(mark) < 19
        else None
    )
    ahead = [] if before else daysheet.upcoming_days()
    past = daysheet.past_days(before=before)
    markets = list(Market.objects.order_by("name"))
    next_of = {day.market_id: day for day in reversed(ahead)}
    context = {
        "markets": [(market, next_of.get(market.pk)) for market in markets],
        "ahead": months(ahead),
        "past": months(past),
        "older": past[-1].pk if len(past) == daysheet.NEWEST else None,
        "before": before,
        "to_sort_out": daysheet.count_open_items(),
    }
    return render(request, "sales/market_list.html", context)


@require_http_methods(["GET", "POST"])
def market_add(request: Request) -> HttpResponse:
    """Add a market."""
    return _write_market(request, Market())


@require_http_methods(["GET", "POST"])
def market_edit(request: Request, market_id: int) -> HttpResponse:
    """Change what is known of a market."""
    return _write_market(request, get_object_or_404(Market, pk=market_id))


def _write_market(request: Request, market: Market) -> HttpResponse:
    form = MarketForm(request.POST or None, workshop=workshop_of(request), market=market)
    if form.is_bound and form.is_valid():
        new = market.pk is None
        market = acts.write_market(market=market, figures=form.figures)
        say_done(request, f"{market} is {'in the book' if new else 'changed'}.")
        return redirect("sales:day_plan", market.pk) if new else redirect("sales:market_list")
    status = 422 if form.errors else 200
    context = {"form": form, "market": market}
    return render(request, "sales/market_form.html", context, status=status)


@require_http_methods(["GET", "POST"])
def day_plan(request: Request, market_id: int) -> HttpResponse:
    """Put one day, or the same weekday for a season, into the calendar."""
    market = get_object_or_404(Market, pk=market_id)
    weekly = "first" in request.POST
    one = DayForm(None if weekly else request.POST or None)
    many = WeeklyForm(request.POST if weekly else None)
    form: DayForm | WeeklyForm = many if weekly else one
    if form.is_bound and form.is_valid():
        try:
            return _planned(request, market, form)
        except SalesError as refusal:
            form.add_refusal(refusal)
    context = {"market": market, "one": one, "many": many}
    status = 422 if form.errors else 200
    return render(request, "sales/day_plan.html", context, status=status)


def _planned(request: Request, market: Market, form: DayForm | WeeklyForm) -> HttpResponse:
    typed, today = form.cleaned_data, timezone.localdate()
    if isinstance(form, WeeklyForm):
        made = acts.plan_weekly(
            market=market, first=typed["first"], last=typed["last"], today=today
        )
        plural = "day is" if len(made) == 1 else "days are"
        say_done(request, f"{len(made)} {plural} in the calendar.")
        return redirect("sales:market_list")
    day = acts.plan_day(market=market, date=typed["date"], today=today, factor=typed["factor"])
    say_done(request, f"{day} is in the calendar.")
    return redirect(day)


@require_POST
def day_cancel(request: Request, day_id: int) -> HttpResponse:
    """Strike a planned day."""
    return _change(request, day_or_404(day_id), DayState.CANCELLED)


@require_POST
def day_restore(request: Request, day_id: int) -> HttpResponse:
    """Put a cancelled day back."""
    return _change(request, day_or_404(day_id), DayState.PLANNED)


def _change(request: Request, day: MarketDay, state: DayState) -> HttpResponse:
    try:
        if state == DayState.CANCELLED:
            acts.cancel_day(day=day)
        else:
            acts.restore_day(day=day)
        say_done(request, f"{day} is {state.label}.")
    except SalesError as refusal:
        say_refused(request, str(refusal))
    return redirect(day)


@require_GET
def day_detail(request: Request, day_id: int) -> HttpResponse:
    """Show how far a day has come and what it brought."""
    day = day_or_404(day_id)
    over = day.state == DayState.CLOSED
    context = {
        "day": day,
        "packed": [] if over else daysheet.kinds_in_box(),
        "sold": daysheet.kinds_sold(day),
        "takings": daysheet.takings_of(day),
        "asks": daysheet.asks_of(day),
        "differences": daysheet.count_differences(day),
        "to_sort_out": daysheet.count_open_items(),
    }
    context["packed_pairs"] = sum(kind.pairs for kind in context["packed"])
    return render(request, "sales/day_detail.html", context)


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
            say_done(request, "The stall is open.", act_id=act.pk)
            return redirect("sales:stall", day.pk)
    status = 422 if form.errors else 200
    return render(request, "sales/day_open.html", {"day": day, "form": form}, status=status)


@require_http_methods(["GET", "POST"])
def day_close(request: Request, day_id: int) -> HttpResponse:
    """Count back and close the day."""
    day = day_or_404(day_id)
    form = CloseForm(
        request.POST or None, workshop=workshop_of(request), kinds=daysheet.kinds_in_box()
    )
    if form.is_bound and form.is_valid():
        typed = form.cleaned_data
        who = Who(by=request.user, at=timezone.now(), key=typed["key"])
        try:
            act = acts.close_day(
                day=day,
                counted_minor=typed["counted"],
                requests_noted=typed["requests_noted"],
                weather=typed["weather"],
                note=typed["note"],
                left=form.left,
                who=who,
            )
        except (SalesError, ProductionError) as refusal:
            form.add_refusal(refusal)
        else:
            say_done(request, "The day is closed; what was left went home.", act_id=act.pk)
            return redirect(day)
    status = 422 if form.errors else 200
    return render(request, "sales/day_close.html", {"day": day, "form": form}, status=status)
