"""Pages: markets, their taxes and the days planned there."""

from collections.abc import Sequence
from itertools import groupby

from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from patterns.core.words import say, say_count
from production.services.acts import Who
from sales.errors import SalesError
from sales.forms.markets import DayForm, MarketForm, TaxForm, WeeklyForm
from sales.models import Market, MarketDay
from sales.services import daysheet, season, taxes
from sales.services.changes import changes_of
from socktrade.http import Request
from socktrade.notices import say_done
from socktrade.workshop import workshop_of


def day_or_404(day_id: int) -> MarketDay:
    """Return a day with its market beside it."""
    return get_object_or_404(MarketDay.objects.with_market(), pk=day_id)


def months(days: Sequence[MarketDay]) -> list[tuple[str, list[MarketDay]]]:
    """Return days month by month, in the order they come."""
    by_month = groupby(days, lambda day: day.date.replace(day=1))
    return [(say("{month:month}", month=month), list(inside)) for month, inside in by_month]


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
    markets = list(Market.objects.order_by("name").prefetch_related("tax_rules"))
    next_of = {day.market_id: day for day in reversed(ahead)}
    today = timezone.localdate()
    context = {
        "markets": [
            (market, next_of.get(market.pk), taxes.tax_among(market, today)) for market in markets
        ],
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
        try:
            return _written(request, market, form)
        except SalesError as refusal:
            form.add_error("once", str(refusal))
    status = 422 if form.errors else 200
    changes = changes_of(market) if market.pk else []
    context = {"form": form, "market": market, "changes": changes}
    return render(request, "sales/market_form.html", context, status=status)


@transaction.atomic
def _written(request: Request, market: Market, form: MarketForm) -> HttpResponse:
    new, who = market.pk is None, _who(request)
    once = form.cleaned_data.get("once")
    market = season.write_market(market=market, figures=form.figures, who=who)
    if once:
        day = season.plan_day(market=market, date=once, today=timezone.localdate(), who=who)
        say_done(request, say("{day} is in the calendar.", day=day))
        return redirect(day)
    if new:
        say_done(request, say("{market} is in the book.", market=market))
        return redirect("sales:day_plan", market.pk)
    say_done(request, say("{market} is changed.", market=market))
    return redirect("sales:market_list")


@require_http_methods(["GET", "POST"])
def market_tax(request: Request, market_id: int) -> HttpResponse:
    """Let another tax hold from a date on; what was sold keeps its own."""
    market = get_object_or_404(Market, pk=market_id)
    now = taxes.tax_on(market, timezone.localdate())
    initial = {"socks_taxed": now.socks_taxed, "tax_included": now.tax_included}
    form = TaxForm(request.POST or None, initial=initial)
    if form.is_bound and form.is_valid():
        typed = form.cleaned_data
        try:
            rule = taxes.change_tax(
                market=market,
                since=typed["since"],
                percent=typed["tax_percent"],
                socks_taxed=typed["socks_taxed"],
                tax_included=typed["tax_included"],
                who=_who(request),
            )
        except SalesError as refusal:
            form.add_refusal(refusal)
        else:
            say_done(
                request,
                say(
                    "Another tax holds at {market} from {since:long}.",
                    market=market,
                    since=rule.since,
                ),
            )
            return redirect("sales:market_tax", market.pk)
    rules = market.tax_rules.order_by("-since")
    context = {"market": market, "form": form, "rules": rules, "changes": changes_of(market)}
    return render(request, "sales/market_tax.html", context, status=422 if form.errors else 200)


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
    typed, today, who = form.cleaned_data, timezone.localdate(), _who(request)
    if isinstance(form, WeeklyForm):
        made = season.plan_weekly(
            market=market, first=typed["first"], last=typed["last"], today=today, who=who
        )
        planned = say_count(
            "{count} day is in the calendar.", "{count} days are in the calendar.", len(made)
        )
        say_done(request, planned)
        return redirect("sales:market_list")
    day = season.plan_day(
        market=market, date=typed["date"], today=today, factor=typed["factor"], who=who
    )
    say_done(request, say("{day} is in the calendar.", day=day))
    return redirect(day)


def _who(request: Request) -> Who:
    return Who(by=request.user, at=timezone.now())
