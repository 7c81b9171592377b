from decimal import Decimal

import pytest

from sales.core.money import half_up
from sales.core.pricing import (
    break_even_pairs,
    contribution,
    contribution_per_hour,
    fee,
    overhead_per_pair,
    pair_cost,
    price_for_target,
)

COST = pair_cost(grams=85, yarn_per_100_g="9.00", minutes=85, wage_per_hour=15, packaging="0.60")


# One pair worked by hand: 85 g at 9.00/100 g, 85 min at 15/h, packaging .60, price 32.
def test_pair_cost_keeps_labour_apart():
    assert COST.total == Decimal("29.50")
    assert COST.without_labour == Decimal("8.25")


def test_pair_cost_adds_waste_to_the_yarn_only():
    wasteful = pair_cost(
        grams=85,
        yarn_per_100_g=9,
        minutes=85,
        wage_per_hour=15,
        packaging="0.60",
        waste="0.10",
        overhead=2,
    )

    assert wasteful.yarn == Decimal("8.415")
    assert wasteful.total == Decimal("32.265")


def test_fee_has_a_share_and_a_fixed_part():
    assert fee(32, "0.0175", "0.10") == Decimal("0.66")


def test_contribution_depends_on_whose_labour_counts():
    assert contribution(32, COST.without_labour, 0.0175, 0.10) == Decimal("23.09")
    assert contribution(32, COST.total, 0.0175, 0.10) == Decimal("1.84")


def test_break_even_pairs_of_a_market_day():
    # Stall 45 + fuel 12.
    assert break_even_pairs(57, 32, COST.without_labour, 0.0175, 0.10) == 3
    assert break_even_pairs(57, 32, COST.total, 0.0175, 0.10) == 31


def test_break_even_pairs_is_the_same_in_cents():
    assert break_even_pairs(5700, 3200, 2950, 0.0175, 10) == 31


def test_break_even_pairs_is_the_first_number_that_pays():
    for fixed in range(1, 400, 7):
        pairs = break_even_pairs(fixed, 32, COST.total, 0.0175, 0.10)

        assert pairs * Decimal("1.84") >= fixed
        assert (pairs - 1) * Decimal("1.84") < fixed


def test_break_even_pairs_is_exact_where_floats_are_not():
    # .1 + .2 is not .3 in binary: three pairs at .1 pay exactly .3.
    assert break_even_pairs(0.3, 0.1, 0, 0, 0) == 3


def test_break_even_pairs_is_none_when_a_pair_brings_nothing():
    assert break_even_pairs(57, 29, COST.total, 0.0175, 0.10) is None
    assert break_even_pairs(57, 10, 10, 0, 0) is None


def test_break_even_pairs_of_a_free_day_is_none_needed():
    assert break_even_pairs(0, 32, 8, 0, 0) == 0


def test_price_for_target_divides_by_what_the_fee_leaves():
    price = price_for_target(Decimal("29.5"), 3, "0.0175", "0.1")

    assert half_up(price, 4) == Decimal("33.1807")
    # Adding rate times cost, the usual mistake, would fall short.
    assert price > Decimal("32.5") * Decimal("1.0175") + Decimal("0.1")


def test_price_for_target_leaves_what_was_asked():
    price = price_for_target(20, 3, "0.029", "0.30", profit=7)

    assert half_up(contribution(price, 23, "0.029", "0.30"), 12) == 7


def test_overhead_is_spread_over_the_pairs_of_a_year():
    assert overhead_per_pair(900, 300) == 3


def test_contribution_per_hour_is_per_hour_of_making():
    assert contribution_per_hour("23.80", 85) == Decimal("16.8")


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: break_even_pairs(-1, 32, 8, 0, 0), r"fixed=-1 must be 0 or more"),
        (lambda: break_even_pairs(1, -32, 8, 0, 0), r"price=-32 must be 0 or more"),
        (lambda: break_even_pairs(1, 32, -8, 0, 0), r"cost=-8 must be 0 or more"),
        (lambda: break_even_pairs(1, 32, 8, 1, 0), r"fee_rate=1 must be a share from 0"),
        (lambda: break_even_pairs(1, 32, 8, 1.75, 0), r"1.75 % is 0.0175"),
        (lambda: break_even_pairs(1, 32, 8, 0, -1), r"fee_each=-1 must be 0 or more"),
        (lambda: break_even_pairs(1, 32, 8, 0, 0, -1), r"profit=-1 must be 0 or more"),
        (lambda: price_for_target("ten"), r"cost='ten' must be a finite number"),
        (lambda: price_for_target(float("nan")), r"cost=nan must be a finite number"),
        (lambda: overhead_per_pair(900, 0), r"pairs_per_year=0 must be 1 or more"),
        (lambda: contribution_per_hour(1, 0), r"minutes=0 must be above 0"),
    ],
)
def test_pricing_names_what_is_out_of_range(call, message):
    with pytest.raises(ValueError, match=message):
        call()
