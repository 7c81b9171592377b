"""Money as people write it: the currency's own digits and signs, from Babel."""

from decimal import Decimal, InvalidOperation

from babel.numbers import format_currency, get_currency_precision

LARGEST_MINOR = 10**11


def minor_digits(currency: str) -> int:
    """Return how many digits follow the point in this currency (yen 0, dinar 3)."""
    return get_currency_precision(currency)


def format_minor(minor: int, currency: str, locale: str = "en_US") -> str:
    """Return an amount in minor units as text, e.g. 2800 USD -> `$28.00`."""
    amount = Decimal(minor).scaleb(-minor_digits(currency))
    return format_currency(amount, currency, locale=locale)


def parse_minor(text: str, currency: str) -> int:
    """Return what a person typed ("28", "28.50", "28,50") in minor units.

    Raises:
        ValueError: If it is no amount, is negative, or has more digits than the
            currency.
    """
    cleaned = text.strip().lstrip("$€£¥ ").replace(" ", "").replace(",", ".")
    digits = minor_digits(currency)
    try:
        minor = Decimal(cleaned).scaleb(digits)
    except InvalidOperation:
        minor = Decimal("NaN")
    if not minor.is_finite() or minor < 0 or minor > LARGEST_MINOR or minor != int(minor):
        example = "28" if digits == 0 else f"28.{'5'.ljust(digits, '0')}"
        msg = f"“{text}” is not an amount in {currency}. Write it like {example}."
        raise ValueError(msg)
    return int(minor)
