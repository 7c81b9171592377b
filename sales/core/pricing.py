"""What a pair costs, what it must bring, and how many pay for a market day.

Amounts may be whole or decimal, in any one unit; they are reckoned as `Decimal` and rounded
half up only where money is shown. Whether her own labour belongs in a cost is the maker's
choice: `PairCost` keeps both sums apart.
"""

from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

from sales.core.money import Amount, decimal_of


@dataclass(frozen=True, slots=True)
class PairCost:
    """Cost of one pair [money].

    Attributes:
        yarn: Yarn with its waste.
        labour: Her own minutes at her own wage.
        packaging: Tag, band, bag.
        overhead: Yearly fixed costs, spread over the pairs of a year.
    """

    yarn: Decimal
    labour: Decimal
    packaging: Decimal
    overhead: Decimal

    @property
    def total(self) -> Decimal:
        """Cost with her own labour [money]."""
        return self.without_labour + self.labour

    @property
    def without_labour(self) -> Decimal:
        """Cost without her own labour [money]."""
        return self.yarn + self.packaging + self.overhead


def pair_cost(
    *,
    grams: Amount,
    yarn_per_100_g: Amount,
    minutes: Amount,
    wage_per_hour: Amount,
    packaging: Amount = 0,
    waste: Amount = 0,
    overhead: Amount = 0,
) -> PairCost:
    """Return the cost of one pair.

    Args:
        grams: Yarn in the pair [g], 0 or more.
        yarn_per_100_g: Price of the yarn [money/100 g], 0 or more.
        minutes: All minutes the pair takes [min], 0 or more.
        wage_per_hour: What an hour of hers is worth to her [money/h], 0 or more.
        packaging: Tag, band, bag [money], 0 or more.
        waste: Yarn lost beside the pair, as a share of its grams [unitless], 0 or more.
        overhead: Fixed costs per pair, see `overhead_per_pair` [money], 0 or more.

    Raises:
        ValueError: If an argument is negative or not a number.
    """
    weight = _least("grams", grams) / 100
    yarn = weight * _least("yarn_per_100_g", yarn_per_100_g) * (1 + _least("waste", waste))
    labour = _least("minutes", minutes) * _least("wage_per_hour", wage_per_hour) / 60
    return PairCost(yarn, labour, _least("packaging", packaging), _least("overhead", overhead))


def overhead_per_pair(fixed_per_year: Amount, pairs_per_year: int) -> Decimal:
    """Return the year's fixed costs per pair [money].

    Args:
        fixed_per_year: Rent, insurance, permits and the like [money/year], 0 or more.
        pairs_per_year: Pairs made in a year [pairs], 1 or more.

    Raises:
        ValueError: If an argument is out of range.
    """
    pairs = decimal_of("pairs_per_year", pairs_per_year)
    if pairs < 1:
        msg = f"pairs_per_year={pairs_per_year!r} must be 1 or more."
        raise ValueError(msg)
    return _least("fixed_per_year", fixed_per_year) / pairs


def fee(price: Amount, fee_rate: Amount = 0, fee_each: Amount = 0) -> Decimal:
    """Return the payment fee of one sale [money].

    Args:
        price: What the buyer pays [money], 0 or more.
        fee_rate: Share of the price [unitless], 0 up to but not 1.
        fee_each: Fixed part of one sale [money], 0 or more.

    Raises:
        ValueError: If an argument is out of range.
    """
    return _least("price", price) * _rate(fee_rate) + _least("fee_each", fee_each)


def contribution(
    price: Amount, cost: Amount, fee_rate: Amount = 0, fee_each: Amount = 0
) -> Decimal:
    """Return what one sale leaves for the fixed costs of the day [money].

    Args:
        price: Price of a pair [money], 0 or more.
        cost: Its cost, `PairCost.total` or `PairCost.without_labour` [money], 0 or more.
        fee_rate: Payment fee as a share of the price [unitless], 0 up to but not 1.
        fee_each: Fixed part of the payment fee [money], 0 or more.

    Raises:
        ValueError: If an argument is out of range.
    """
    return _least("price", price) - fee(price, fee_rate, fee_each) - _least("cost", cost)


def contribution_per_hour(amount: Amount, minutes: Amount) -> Decimal:
    """Return a contribution per hour of making [money/h].

    Args:
        amount: Contribution of a pair [money]; may be negative.
        minutes: Minutes the pair takes [min], above 0.

    Raises:
        ValueError: If an argument is out of range.
    """
    taken = decimal_of("minutes", minutes)
    if taken <= 0:
        msg = f"minutes={minutes!r} must be above 0."
        raise ValueError(msg)
    return decimal_of("amount", amount) * 60 / taken


def break_even_pairs(
    fixed: Amount,
    price: Amount,
    cost: Amount,
    fee_rate: Amount = 0,
    fee_each: Amount = 0,
    profit: Amount = 0,
) -> int | None:
    """Return how many pairs pay for the day, or None if no number does.

    Args:
        fixed: Stall, fuel and whatever else the day costs [money], 0 or more.
        price: Price of a pair [money], 0 or more.
        cost: Its cost [money], 0 or more.
        fee_rate: Payment fee as a share of the price [unitless], 0 up to but not 1.
        fee_each: Fixed part of the payment fee [money], 0 or more.
        profit: What the day should leave beyond its costs [money], 0 or more.

    Raises:
        ValueError: If an argument is out of range.
    """
    needed = _least("fixed", fixed) + _least("profit", profit)
    each = contribution(price, cost, fee_rate, fee_each)
    if each <= 0:
        return None
    return int((needed / each).to_integral_value(rounding=ROUND_CEILING))


def price_for_target(
    cost: Amount,
    overhead: Amount = 0,
    fee_rate: Amount = 0,
    fee_each: Amount = 0,
    profit: Amount = 0,
) -> Decimal:
    """Return the price that leaves `profit` after cost, overhead and fees [money], unrounded.

    The fee is a share of the price, so the sum is divided by what the fee leaves.

    Args:
        cost: Cost of a pair [money], 0 or more.
        overhead: Fixed costs per pair, if not in `cost` already [money], 0 or more.
        fee_rate: Payment fee as a share of the price [unitless], 0 up to but not 1.
        fee_each: Fixed part of the payment fee [money], 0 or more.
        profit: What each pair should leave [money], 0 or more.

    Raises:
        ValueError: If an argument is out of range.
    """
    wanted = _least("cost", cost) + _least("overhead", overhead) + _least("profit", profit)
    return (wanted + _least("fee_each", fee_each)) / (1 - _rate(fee_rate))


def _least(name: str, value: Amount) -> Decimal:
    number = decimal_of(name, value)
    if number < 0:
        msg = f"{name}={value!r} must be 0 or more."
        raise ValueError(msg)
    return number


def _rate(value: Amount) -> Decimal:
    number = decimal_of("fee_rate", value)
    if not 0 <= number < 1:
        msg = f"fee_rate={value!r} must be a share from 0 up to but not 1 (1.75 % is 0.0175)."
        raise ValueError(msg)
    return number
