from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sales.core.money import (
    Taxed,
    change_due,
    decimal_of,
    discount_minor,
    half_up,
    share_out,
    tax_minor,
    taxed,
)

profile = settings(max_examples=100, derandomize=True, database=None, deadline=None)
amounts = st.integers(-100_000, 1_000_000)
rates = st.decimals(0, "0.30", places=5)


# Worked by hand; halves go up (common practice for sales tax).
@pytest.mark.parametrize(
    ("net", "rate", "tax"),
    [
        (3200, "0.08875", 284),
        (1000, "0.0625", 63),
        (1000, "0.0624", 62),
        (3200, 0.06, 192),
        (3200, 0, 0),
        (250, 0.05, 13),
    ],
)
def test_tax_minor_on_a_net_amount_rounds_half_up(net, rate, tax):
    assert tax_minor(net, rate, inclusive=False) == tax


@pytest.mark.parametrize(
    ("gross", "rate", "tax"),
    [(1200, "0.20", 200), (2500, "0.20", 417), (2500, 0.25, 500), (1999, "0.19", 319)],
)
def test_tax_minor_inside_a_gross_amount(gross, rate, tax):
    assert tax_minor(gross, rate, inclusive=True) == tax


@given(amounts, rates, st.booleans())
@profile
def test_refund_undoes_its_sale(amount, rate, inclusive):
    sale = tax_minor(amount, rate, inclusive=inclusive)

    assert tax_minor(-amount, rate, inclusive=inclusive) == -sale


@given(amounts, rates, st.booleans())
@profile
def test_net_and_tax_make_the_gross(amount, rate, inclusive):
    parts = taxed(amount, rate, inclusive=inclusive)

    assert parts.net_minor + parts.tax_minor == parts.gross_minor
    assert amount == (parts.gross_minor if inclusive else parts.net_minor)
    assert abs(parts.tax_minor - parts.net_minor * rate) <= 1


def test_taxed_names_its_parts():
    assert taxed(2500, "0.20", inclusive=True) == Taxed(2083, 417, 2500)


def test_change_due_is_what_was_given_less_what_was_owed():
    assert change_due(3200, 5000) == 1800
    assert change_due(3200, 3200) == 0


def test_change_due_says_how_much_is_missing():
    with pytest.raises(ValueError, match=r"paid_minor=3000 must be 3200 or more: 200 are missing"):
        change_due(3200, 3000)


def test_discount_minor_rounds_half_up():
    assert discount_minor(3250, "0.10") == 325
    assert discount_minor(3205, "0.10") == 321
    assert discount_minor(3200, 1) == 3200


def test_half_up_is_not_bankers_rounding():
    assert half_up(Decimal("2.5")) == 3
    assert half_up(Decimal("-2.5")) == -3
    assert half_up(Decimal("0.125"), 2) == Decimal("0.13")


def test_decimal_of_takes_a_float_as_it_is_written():
    assert decimal_of("rate", 0.1) == Decimal("0.1")


def test_share_out_gives_left_over_cents_to_the_largest_remainders():
    assert share_out(100, [1, 1, 1]) == [34, 33, 33]
    assert share_out(10, [3200, 1600, 0]) == [7, 3, 0]
    assert share_out(0, [5, 5]) == [0, 0]


@given(st.integers(0, 50_000), st.lists(st.integers(0, 9000), min_size=1).filter(any))
@profile
def test_share_out_adds_up_and_stays_within_a_cent(amount, weights):
    parts = share_out(amount, weights)

    assert sum(parts) == amount
    for part, weight in zip(parts, weights, strict=True):
        assert abs(part - amount * weight / sum(weights)) < 1


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: tax_minor(32.5, 0.1, inclusive=True), r"net_or_gross=32.5 must be a whole"),
        (lambda: tax_minor(32, 8.875, inclusive=True), r"rate=8.875 must be a share from 0 to 1"),
        (lambda: tax_minor(32, -0.1, inclusive=True), r"rate=-0.1 must be a share from 0 to 1"),
        (lambda: tax_minor(32, "x", inclusive=True), r"rate='x' must be a finite number"),
        (lambda: change_due(-1, 5), r"due_minor=-1 must be 0 or more"),
        (lambda: discount_minor(100, 1.1), r"share=1.1 must be a share from 0 to 1"),
        (lambda: share_out(-1, [1]), r"amount_minor=-1 must be 0 or more"),
        (lambda: share_out(1, [0, 0]), r"weights=\[0, 0\] must be 0 or more and not all 0"),
        (lambda: share_out(1, []), r"weights=\[\] must be 0 or more and not all 0"),
    ],
)
def test_money_names_what_is_out_of_range(call, message):
    with pytest.raises(ValueError, match=message):
        call()
