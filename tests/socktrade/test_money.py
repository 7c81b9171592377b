import pytest
from babel.numbers import parse_decimal
from hypothesis import given
from hypothesis import strategies as st

from socktrade.forms import MoneyField
from socktrade.money import LARGEST_MINOR, format_minor, minor_digits, parse_minor

# ISO 4217, table A.1, column "minor unit" (from memory).
ISO_DIGITS = {"USD": 2, "EUR": 2, "GBP": 2, "CHF": 2, "JPY": 0, "KRW": 0, "KWD": 3, "TND": 3}

amounts = st.integers(min_value=0, max_value=LARGEST_MINOR)
currencies = st.sampled_from([*ISO_DIGITS, "CAD", "AUD", "MXN", "SEK", "INR", "PLN", "NZD", "ISK"])


@pytest.mark.parametrize(("code", "digits"), ISO_DIGITS.items())
def test_a_currency_has_the_digits_of_its_standard(code, digits):
    assert minor_digits(code) == digits


@given(amounts, currencies)
def test_an_amount_that_was_shown_can_be_typed_back(minor, currency):
    assert parse_minor(format_minor(minor, currency), currency) == minor


@given(amounts, currencies)
def test_a_field_shows_what_it_reads_back(minor, currency):
    field = MoneyField(currency=currency)

    assert field.clean(field.prepare_value(minor)) == minor


@pytest.mark.parametrize(
    ("text", "locale"),
    [
        ("28.50", "en_US"), ("1,200", "en_US"), ("1,234,567.89", "en_US"), ("28,50", "de_DE"),
        ("1.200,50", "de_DE"), ("1\u202f200,50", "fr_FR"), ("1’200.50", "de_CH"),
    ],
)  # fmt: skip
def test_an_amount_means_what_its_own_country_means_by_it(text, locale):
    # Unicode's locale data (CLDR), as Babel carries it.
    assert parse_minor(text, "EUR") == int(parse_decimal(text, locale=locale, strict=True) * 100)


@pytest.mark.parametrize(
    ("text", "currency", "minor"),
    [
        ("0", "USD", 0), (" 28 ", "USD", 2800), ("$28", "USD", 2800), ("28 $", "USD", 2800),
        ("28,5", "EUR", 2850), ("28.", "USD", 2800), (".5", "USD", 50), ("28,50 €", "EUR", 2850),
        ("EUR 28", "EUR", 2800), ("1,200", "JPY", 1200), ("1,200", "USD", 120_000),
        ("12,000", "USD", 1_200_000), ("1 200", "SEK", 120_000), ("1,200", "KWD", 1200),
        ("1.5", "KWD", 1500),
    ],
)  # fmt: skip
def test_the_usual_ways_of_writing_are_read(text, currency, minor):
    assert parse_minor(text, currency) == minor


@pytest.mark.parametrize(
    "text",
    [
        "", " ", ".", ",", "$", "-3", "abc", "28.505", "1.200", "28.5.0", "1,20,0", "1e3", "1_000",
        "1e999999999", "NaN", "Infinity", "0x10", "12 34", "28 50", "two", "28;50", "²",
    ],
)  # fmt: skip
def test_what_is_no_amount_is_told_with_an_example(text):
    with pytest.raises(ValueError, match=r"is not an amount in USD\. Write it like 28\.50\."):
        parse_minor(text, "USD")


@pytest.mark.parametrize(("currency", "example"), [("JPY", "28"), ("KWD", "28.500")])
def test_the_example_has_the_digits_of_the_currency(currency, example):
    with pytest.raises(ValueError, match=rf"Write it like {example}\.$"):
        parse_minor("much", currency)


def test_an_absurd_amount_is_told():
    with pytest.raises(ValueError, match="is more than"):
        parse_minor("99999999999", "USD")


def test_a_huge_text_is_not_repeated_in_full():
    with pytest.raises(ValueError, match=r"is not an amount") as told:
        parse_minor("9" * 5000, "USD")

    assert len(str(told.value)) < 120


@given(st.text(max_size=30), currencies)
def test_no_text_does_worse_than_a_refusal(text, currency):
    try:
        minor = parse_minor(text, currency)
    except ValueError:
        minor = 0

    assert 0 <= minor <= LARGEST_MINOR
