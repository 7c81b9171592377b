"""The tax of a market on a date, as she typed it; nothing is built in and nothing is advice."""

import datetime as dt
from collections.abc import Sequence
from decimal import Decimal

from django.db import transaction

from patterns.core.words import say
from production.services.acts import Who
from sales.core.money import Taxed, taxed_purchase
from sales.errors import SalesError
from sales.models import DayState, Market, MarketDay, TaxRule
from sales.models.markets import TaxFigures
from sales.services.changes import note_change

HIGHEST_PERCENT = 50


def tax_on(market: Market, date: dt.date) -> TaxFigures:
    """Return what holds at a market on a date: the latest rule before it, else the first."""
    rule = TaxRule.objects.filter(market=market, since__lte=date).order_by("-since").first()
    return rule or market


def tax_among(market: Market, date: dt.date) -> TaxFigures:
    """Return what holds on a date, from a market read with all its rules."""
    rules = [rule for rule in market.tax_rules.all() if rule.since <= date]
    return max(rules, key=lambda rule: rule.since, default=None) or market


def give_tax(days: Sequence[MarketDay]) -> Sequence[MarketDay]:
    """Write the tax that holds on their dates into unsaved days of one market."""
    if not days:
        return days
    market = days[0].market
    rules = list(TaxRule.objects.filter(market=market).order_by("-since"))
    for day in days:
        figures: TaxFigures = next((rule for rule in rules if rule.since <= day.date), market)
        day.tax_percent, day.tax_included = figures.percent_on_socks, figures.tax_included
    return days


@transaction.atomic
def change_tax(
    *,
    market: Market,
    since: dt.date,
    percent: Decimal,
    socks_taxed: bool,
    tax_included: bool,
    who: Who,
) -> TaxRule:
    """Let another tax hold from a date on.

    Planned days from that date on take it. Days that were opened keep the tax they were sold
    under, so that no purchase of the past changes.

    Raises:
        SalesError: If the rate is out of range, or a day from that date on was opened.
    """
    if not 0 <= percent <= HIGHEST_PERCENT:
        msg = say(
            "{percent} % is no tax here; 0 to {HIGHEST_PERCENT}.",
            percent=percent,
            HIGHEST_PERCENT=HIGHEST_PERCENT,
        )
        raise SalesError(msg, field="tax_percent")
    sold = MarketDay.objects.filter(
        market=market, date__gte=since, state__in=[DayState.OPEN, DayState.CLOSED]
    )
    if last := sold.order_by("-date").first():
        msg = say("{last} was sold under the tax of before. Give a later date.", last=last)
        raise SalesError(msg, field="since")
    rule, _ = TaxRule.objects.update_or_create(
        market=market,
        since=since,
        defaults={
            "tax_percent": percent, "socks_taxed": socks_taxed, "tax_included": tax_included,
        },
    )  # fmt: skip
    _renew_days(market, since)
    if socks_taxed:
        words = say(
            "Tax {percent:f} % from {since:long}.", percent=percent.normalize(), since=since
        )
    else:
        words = say("No tax on socks from {since:long}.", since=since)
    note_change(who, words, market=market)
    return rule


def purchase_of(day: MarketDay, prices_minor: Sequence[int]) -> Taxed:
    """Return what a purchase comes to by the tax of the day and its way of rounding."""
    return taxed_purchase(
        prices_minor,
        Decimal(day.tax_percent) / 100,
        inclusive=day.tax_included,
        per_line=day.tax_per_line,
    )


def _renew_days(market: Market, since: dt.date) -> None:
    days = MarketDay.objects.filter(
        market=market, date__gte=since, state__in=[DayState.PLANNED, DayState.CANCELLED]
    ).select_related("market")
    MarketDay.objects.bulk_update(
        give_tax(list(days)), ["tax_percent", "tax_included"], batch_size=200
    )
