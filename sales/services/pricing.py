"""What each kind costs, leaves and must bring; what pays for a market day."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction

from patterns.models import Pattern
from production.models import Price
from production.services.pair_queries import price_history
from production.services.pairs import current_prices
from sales.core.pricing import (
    break_even_pairs,
    contribution,
    contribution_per_hour,
    fee,
    price_for_target,
)
from sales.models import Market, MarketDay
from sales.services.calendar_ahead import next_day
from sales.services.costs import KindCost, kind_costs
from socktrade.models import Workshop


@dataclass(frozen=True, slots=True)
class Terms:
    """What a sale loses before it is hers.

    Attributes:
        fee_rate: Card fee as a share of the price.
        fee_each: Fixed part of the card fee [minor units].
        tax_rate: Tax inside the price, as a share of the price.
        fixed: What a market day costs: its fee, fuel and the like [minor units].
    """

    fee_rate: Decimal
    fee_each: int
    tax_rate: Decimal
    fixed: int

    @property
    def rate(self) -> Decimal:
        """Share of the price that is gone: card fee and tax."""
        return self.fee_rate + self.tax_rate


@dataclass(frozen=True, slots=True)
class KindPrice:
    """The price of one kind against its cost [minor units]."""

    cost: KindCost
    price: Price | None
    terms: Terms

    @property
    def pattern(self) -> Pattern:
        """What it is."""
        return self.cost.pattern

    @property
    def price_minor(self) -> int | None:
        """Price of a first."""
        return self.price.first_minor if self.price else None

    @property
    def fee_minor(self) -> Decimal | None:
        """Card fee of a sale."""
        if self.price_minor is None:
            return None
        return fee(self.price_minor, self.terms.fee_rate, self.terms.fee_each)

    @property
    def tax_minor(self) -> Decimal | None:
        """Tax inside the price."""
        return None if self.price_minor is None else self.price_minor * self.terms.tax_rate

    @property
    def margin_with_labour(self) -> Decimal | None:
        """What is left after all costs, her own hours at her wage among them."""
        return self._left(self.cost.cost.total)

    @property
    def margin_without_labour(self) -> Decimal | None:
        """What is left to pay her hours."""
        return self._left(self.cost.cost.without_labour)

    @property
    def per_hour(self) -> Decimal | None:
        """What an hour of making brings her."""
        left = self.margin_without_labour
        if left is None or self.cost.minutes <= 0:
            return None
        return contribution_per_hour(left, Decimal(str(self.cost.minutes)))

    @property
    def break_even_with_labour(self) -> int | None:
        """Pairs of it that pay for a day and her hours; None if no number does."""
        return self._break_even(self.cost.cost.total - self.cost.cost.overhead)

    @property
    def break_even_without_labour(self) -> int | None:
        """Pairs of it that pay for a day, her hours unpaid."""
        return self._break_even(self.cost.cost.without_labour - self.cost.cost.overhead)

    @property
    def price_covering_all(self) -> Decimal:
        """Price that pays every cost, her wage among them, and leaves nothing."""
        return self.price_for(0)

    def price_for(self, profit_minor: int) -> Decimal:
        """Return the price that leaves `profit_minor` a pair beyond all costs."""
        return price_for_target(
            self.cost.cost.total,
            fee_rate=self.terms.rate,
            fee_each=self.terms.fee_each,
            profit=profit_minor,
        )

    def _left(self, cost: Decimal) -> Decimal | None:
        if self.price_minor is None:
            return None
        return contribution(self.price_minor, cost, self.terms.rate, self.terms.fee_each)

    def _break_even(self, cost: Decimal) -> int | None:
        if self.price_minor is None:
            return None
        terms = self.terms
        return break_even_pairs(terms.fixed, self.price_minor, cost, terms.rate, terms.fee_each)


@dataclass(frozen=True, slots=True)
class PricePage:
    """Every kind with its price, and the day they are to pay for."""

    kinds: tuple[KindPrice, ...]
    day: MarketDay | None
    terms: Terms


def price_page(*, workshop: Workshop, today: dt.date) -> PricePage:
    """Return what every planned kind costs and leaves, the least left first."""
    patterns = list(
        Pattern.objects.filter(versions__isnull=False).distinct().select_related("design")
    )
    day = next_day(today=today)
    terms = terms_of(workshop, day)
    costs = kind_costs(patterns, workshop=workshop, today=today)
    prices = current_prices(costs)
    kinds = [KindPrice(cost, prices.get(pk), terms) for pk, cost in costs.items()]
    kinds.sort(key=lambda one: (one.pattern.foot_length_mm, one.pattern.design.name))
    return PricePage(tuple(kinds), day, terms)


def price_of_kind(*, pattern: Pattern, workshop: Workshop, today: dt.date) -> KindPrice:
    """Return what one kind costs and leaves."""
    terms = terms_of(workshop, next_day(today=today))
    cost = kind_costs([pattern], workshop=workshop, today=today)[pattern.pk]
    return KindPrice(cost, current_prices([pattern.pk]).get(pattern.pk), terms)


def prices_of(pattern: Pattern) -> Sequence[Price]:
    """Return the prices a kind had, the newest first."""
    return list(price_history(pattern))


def terms_of(workshop: Workshop, day: MarketDay | None) -> Terms:
    """Return what a sale loses on a day; without one, at the market that was entered first."""
    market = None if day else Market.objects.order_by("pk").first()
    tax = Decimal(0)
    if day and day.tax_included:
        tax = day.tax_percent / (100 + day.tax_percent)
    elif market and market.tax_included:
        tax = market.percent_on_socks / (100 + market.percent_on_socks)
    stall_fee = day.fee_minor if day else market.fee_minor if market else 0
    return Terms(
        fee_rate=workshop.fee_percent / 100,
        fee_each=workshop.fee_each_minor,
        tax_rate=tax,
        fixed=stall_fee + workshop.day_cost_minor,
    )


@transaction.atomic
def keep_figures(**figures: object) -> None:
    """Keep her wage, fees and costs in the workshop's settings."""
    Workshop.objects.filter(pk=1).update(**figures)
