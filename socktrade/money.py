"""Money as people write it: the currency's own digits and signs, from Babel."""

import re
from decimal import Decimal
from functools import lru_cache

from babel.numbers import format_currency, get_currency_precision, get_currency_symbol
from django.utils.translation import get_language

from patterns.core.words import say

LARGEST_MINOR = 10**11

_LOCALES = {"en": "en_US", "de": "de_DE"}

_BLANKS = re.compile(r"[\s'’]+")  # blanks of any width, and the Swiss mark of thousands
_FORMS = (
    re.compile(r"(?=.*\d)(?P<whole>\d{0,15})(?:[.,](?P<part>\d*))?"),
    re.compile(r"(?P<whole>\d{1,3}(?:[ ,]\d{3}){1,4})(?:\.(?P<part>\d*))?"),
    re.compile(r"(?P<whole>\d{1,3}(?:[ .]\d{3}){1,4}),(?P<part>\d*)"),
)


def minor_digits(currency: str) -> int:
    """Return how many digits follow the point in this currency (yen 0, dinar 3)."""
    return get_currency_precision(currency)


def format_minor(minor: int, currency: str, locale: str | None = None) -> str:
    """Return an amount in minor units as text, e.g. 2800 USD -> `$28.00`.

    Without a locale it is written as the active language of the page writes it.
    """
    return _written(minor, currency, locale or _LOCALES.get(get_language() or "en", "en_US"))


@lru_cache(maxsize=4096)  # the same few prices stand all over a page
def _written(minor: int, currency: str, locale: str) -> str:
    amount = Decimal(minor).scaleb(-minor_digits(currency))
    return format_currency(amount, currency, locale=locale)


def parse_minor(text: str, currency: str) -> int:
    """Return what a person typed ("28", "28.50", "28,50", "1,200") in minor units.

    A comma or point before more digits than the currency has is no decimal sign: a comma
    then marks thousands, and a point is refused, since half the world would read it so
    and the other half has mistyped.

    Raises:
        ValueError: If it is no amount, is negative, or has more digits than the
            currency.
    """
    digits = minor_digits(currency)
    bare = _without_sign(text, currency)
    for form in _FORMS:
        match = form.fullmatch(bare)
        if match and len(match["part"] or "") <= digits:
            return _minor(match, digits, text, currency)
    raise ValueError(_refusal(text, currency, digits))


def _minor(match: re.Match[str], digits: int, text: str, currency: str) -> int:
    figures = "".join(filter(str.isdecimal, match["whole"])) + (match["part"] or "").ljust(
        digits, "0"
    )
    minor = int(figures)
    if minor > LARGEST_MINOR:
        msg = say(
            "“{text:.40}” is more than {format_minor}. Look at it again.",
            text=text,
            format_minor=format_minor(LARGEST_MINOR, currency),
        )
        raise ValueError(msg)
    return minor


def _without_sign(text: str, currency: str) -> str:
    """Drop the currency's sign or code on either side, and unify the blanks."""
    bare = _BLANKS.sub(" ", text).strip()
    for sign in (get_currency_symbol(currency, locale="en_US"), currency, *"$€£¥"):
        bare = bare.removeprefix(sign).removesuffix(sign).strip()
    return bare


def _refusal(text: str, currency: str, digits: int) -> str:
    example = Decimal("28") if digits == 0 else Decimal(f"28.{'5'.ljust(digits, '0')}")
    return say(
        "“{text:.40}” is not an amount in {currency}. Write it like {example}.",
        text=text,
        currency=currency,
        example=example,
    )
