"""Markets and their days; what is sold there is reached through the services."""

import datetime as dt
from typing import Any

import factory

from production.services.acts import Who
from sales.models import Market, MarketDay
from sales.services import days
from tests.factories.shelf import pairs_on_shelf

AT = dt.datetime(2026, 6, 4, 9, 30, tzinfo=dt.UTC)


class MarketFactory(factory.django.DjangoModelFactory):
    """A quay market from 8 to 14 without tax, room for 60 pairs."""

    class Meta:
        model = Market

    name = factory.Sequence("Quay market {}".format)
    opens = dt.time(8)
    closes = dt.time(14)


class MarketDayFactory(factory.django.DjangoModelFactory):
    """A planned day, the fourth of June 2026."""

    class Meta:
        model = MarketDay

    market = factory.SubFactory(MarketFactory)
    date = AT.date()
    opens = dt.time(8)
    closes = dt.time(14)
    tax_percent = factory.SelfAttribute("market.tax_percent")
    tax_included = factory.SelfAttribute("market.tax_included")


def open_stall(by: Any, *, pairs: int = 3, float_minor: int = 5000, **of_market: Any) -> MarketDay:
    """Return an open day with pairs of one kind in its stall box, each tagged 28.00."""
    who = Who(by=by, at=AT)
    day = MarketDayFactory(market=MarketFactory(**of_market))
    made = pairs_on_shelf(pairs, who)
    days.pack_pairs(day=day, pair_ids=[pair.pk for pair in made], who=who)
    days.open_day(day=day, float_minor=float_minor, who=who)
    day.refresh_from_db()
    return day
