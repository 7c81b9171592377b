"""Tax on a purchase against worked examples of others. Not tax advice, here or anywhere.

Sources, read as stored copies of the pages:
- Rhode Island General Laws 44-18.1-25, the rounding rule of the Streamlined Sales and Use Tax
  Agreement: carried to the third decimal, up when that is greater than four; the seller
  chooses to reckon by item or by invoice.
- legalclarity.org, "Does Sales Tax Round Up or Down?": 1.234 -> 1.23, 1.235 -> 1.24; an item
  of 10.99 at 6.25 % comes to 0.686875.
- developer.wafeq.com, "Calculations and Rounding": 45.30 at 5 % and 33.45 at 10 % are 2.27 and
  3.35, 5.62 together.
- ISO 4217 minor units: yen 0, dollar 2, Kuwaiti and Bahraini dinar 3 (from memory).
"""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sales.core.money import tax_minor, taxed_purchase
from socktrade.money import format_minor, minor_digits, parse_minor


@pytest.mark.parametrize(
    ("net", "percent", "tax"),
    [
        (4530, "5", 227),  # wafeq
        (3345, "10", 335),  # wafeq
        (1099, "6.25", 69),  # legalclarity: 0.686875
        (1234, "10", 123),  # legalclarity: 1.234
        (1235, "10", 124),  # legalclarity: 1.235
    ],
)
def test_tax_minor_agrees_with_a_worked_example(net, percent, tax):
    assert tax_minor(net, Decimal(percent) / 100, inclusive=False) == tax


def test_taxed_purchase_per_line_agrees_with_a_worked_sum():
    """The lines of the example have two rates; each rate is a purchase of its own here."""
    five = taxed_purchase([4530], Decimal("0.05"), inclusive=False, per_line=True)
    ten = taxed_purchase([3345], Decimal("0.10"), inclusive=False, per_line=True)

    assert five.tax_minor + ten.tax_minor == 562


def test_taxed_purchase_by_item_and_by_invoice_may_differ_as_the_rule_allows():
    # Three items of 1.05 at 10 %: 0.105 is 0.11 by item; 0.315 is 0.32 by invoice.
    by_item = taxed_purchase([105] * 3, Decimal("0.10"), inclusive=False, per_line=True)
    by_invoice = taxed_purchase([105] * 3, Decimal("0.10"), inclusive=False, per_line=False)

    assert (by_item.tax_minor, by_invoice.tax_minor) == (33, 32)


@given(st.integers(0, 10**7), st.decimals(0, 50, places=3))
def test_tax_minor_rounds_as_the_third_decimal_says(net, percent):
    # The rule's own steps on exact fractions: cut after the third decimal of the dollar,
    # then up if that decimal is greater than four.
    exact = Fraction(net) * Fraction(percent) / 100
    thousandths = int(exact * 10)
    told = thousandths // 10 + (thousandths % 10 > 4)

    assert tax_minor(net, percent / 100, inclusive=False) == told


@given(
    st.lists(st.integers(0, 10**6), min_size=1, max_size=8),
    st.decimals(0, 50, places=3),
    st.booleans(),
    st.booleans(),
)
def test_taxed_purchase_adds_up(amounts, percent, inclusive, per_line):
    money = taxed_purchase(amounts, percent / 100, inclusive=inclusive, per_line=per_line)

    assert money.net_minor + money.tax_minor == money.gross_minor
    assert (money.gross_minor if inclusive else money.net_minor) == sum(amounts)
    once = taxed_purchase(amounts, percent / 100, inclusive=inclusive, per_line=False)
    assert abs(money.tax_minor - once.tax_minor) <= (len(amounts) + 1) / 2


@pytest.mark.parametrize(
    ("currency", "digits", "typed", "minor", "shown"),
    [
        ("JPY", 0, "2,800", 2800, "¥2,800"),
        ("USD", 2, "28", 2800, "$28.00"),
        ("KWD", 3, "8.500", 8500, "KWD8.500"),
        ("BHD", 3, "8,5", 8500, "BHD8.500"),
    ],
)
def test_an_amount_has_the_digits_of_its_currency(currency, digits, typed, minor, shown):
    assert minor_digits(currency) == digits
    assert parse_minor(typed, currency) == minor
    assert format_minor(minor, currency).replace("\xa0", "") == shown
