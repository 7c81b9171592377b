"""What is known of every kind at once: demand, stock, cost, price and the days ahead."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from django.db.models import Count

from patterns.models import Pattern
from production.core.places import PairPlace
from production.models import Pair, Price
from production.services.pairs import current_prices
from sales.core.demand import Prediction, predict
from sales.core.making import most_worth_holding
from sales.models import MarketDay, Order
from sales.services.calendar_ahead import Ahead, days_ahead
from sales.services.costs import KindCost, kind_costs
from sales.services.report import KindHistory, WhatSells, closed_days, what_sells
from socktrade.models import Workshop

DAYS_READ_BACK = 730
LOOK_AHEAD = 2
LEAST_ASK_SHARE = 0.01
NO_LIMIT = 10_000
# Money and room that a pair ties up until it sells: a guess of a hundredth of its price.
KEEPING_SHARE = 0.01
# A day that hardly wants anything, for kinds whose season is over.
NO_DAY = 1e-6


@dataclass(frozen=True, slots=True)
class Book:
    """All that a plan is made from.

    Attributes:
        found: What sold in the last two years.
        costs: What a pair takes and costs, by pattern id.
        prices: Price list, by pattern id.
        on_hand: Finished pairs that no customer is promised, by pattern id [pairs].
        ahead: Market days to come.
        workshop: Her settings.
        tax: Tax that prices of the next day hold, as a share of the net price.
    """

    found: WhatSells
    costs: Mapping[int, KindCost]
    prices: Mapping[int, Price]
    on_hand: Mapping[int, int]
    ahead: Ahead
    workshop: Workshop
    tax: float

    def net_price(self, pattern_id: int) -> float:
        """Return what a sale leaves; without a price, that of the middle kind [minor units]."""
        price = self.prices.get(pattern_id)
        known = sorted(p.first_minor for p in self.prices.values())
        minor = price.first_minor if price else known[len(known) // 2] if known else 1
        return net_of_fees(minor, workshop=self.workshop, tax=self.tax)

    def factors(self, pattern: Pattern) -> list[float]:
        """Return the sizes of the next two market days that still want a design."""
        days = self.ahead.days_for(pattern.design_id)
        left = self.ahead.factors[:days][:LOOK_AHEAD]
        if self.ahead.is_guarded(pattern.design_id):
            return left or [NO_DAY]
        return [*left, *[1.0] * (LOOK_AHEAD - len(left))]

    def demand(self, history: KindHistory) -> Prediction:
        """Return what the next two market days may want of a kind."""
        return predict(history.rate, self.factors(history.pattern), self.found.day_noise)

    def most(self, history: KindHistory) -> int:
        """Return the most pairs worth holding, if the end of their season is known [pairs]."""
        design = history.pattern.design_id
        if not self.ahead.is_guarded(design):
            return NO_LIMIT
        rest = self.ahead.factors[: self.ahead.days_for(design)]
        price = self.net_price(history.pattern.pk)
        material = float(self.costs[history.pattern.pk].material_minor)
        carried = self.carried(history.pattern.pk)
        if not rest or price <= material:
            return 0
        if material <= carried:
            return NO_LIMIT
        return most_worth_holding(
            predict(history.rate, rest, self.found.day_noise), price, material, carried
        )

    def carried(self, pattern_id: int) -> float:
        """Return the worth of a pair left over at the end of the season [minor units]."""
        return self.costs[pattern_id].material_minor * self.workshop.carried_percent / 100


def read_book(*, workshop: Workshop, today: dt.date, day: MarketDay | None = None) -> Book:
    """Read everything a plan needs.

    Args:
        workshop: Her hours, wage, fees and how buyers ask.
        today: Days after it are ahead, days up to it are read.
        day: The next market day; its market says what tax the prices hold.
    """
    days = closed_days(since=today - dt.timedelta(days=DAYS_READ_BACK), until=today)
    patterns = Pattern.objects.filter(versions__isnull=False).distinct().select_related("design")
    found = what_sells(
        days,
        ask_share=max(workshop.ask_share, LEAST_ASK_SHARE),
        patterns=patterns,
        memory=workshop.memory_percent / 100,
    )
    kinds = [kind.pattern for kind in found.kinds]
    return Book(
        found=found,
        costs=kind_costs(kinds, workshop=workshop, today=today),
        prices=current_prices(pattern.pk for pattern in kinds),
        on_hand=pairs_on_hand(),
        ahead=days_ahead(workshop=workshop, today=today),
        workshop=workshop,
        tax=tax_share(day),
    )


def pairs_on_hand() -> dict[int, int]:
    """Return by pattern id the finished pairs that no customer is promised."""
    promised = Order.objects.due().filter(pair__isnull=False).order_by().values("pair_id")
    rows = (
        Pair.objects.filter(place__in=(PairPlace.SHELF, PairPlace.STALL))
        .exclude(pk__in=promised)
        .order_by()
        .values_list("pattern_id")
        .annotate(pairs=Count("pk"))
    )
    return dict(rows)


def net_of_fees(price_minor: float, *, workshop: Workshop, tax: float = 0.0) -> float:
    """Return what a sale leaves of its price: tax taken out, card fees taken off.

    Args:
        price_minor: What the buyer pays [minor units].
        workshop: Whose fees.
        tax: Share of the net price that is tax inside it, 0 or more [unitless].
    """
    fees = price_minor * float(workshop.fee_percent) / 100 + workshop.fee_each_minor
    return max(0.0, price_minor / (1 + tax) - fees)


def tax_share(day: MarketDay | None) -> float:
    """Return the tax that prices of a day hold, as a share of the net price."""
    return float(day.tax_percent) / 100 if day and day.tax_included else 0.0
