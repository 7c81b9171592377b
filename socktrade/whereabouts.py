"""What a browser's languages say of where a workshop stands: a first guess, to be changed."""

from babel import Locale
from babel.core import UnknownLocaleError, get_global
from babel.numbers import get_territory_currencies
from django.utils.translation.trans_real import parse_accept_lang_header

from socktrade.models import LabelRules, LengthUnit, Workshop, YarnUnit

# Where small lengths are given in inches: the United States by custom; elsewhere the metre
# rules, and Great Britain's shops give garment measures both ways. common practice
_INCHES = frozenset({"US", "GB"})
# Member states of the European Union (Treaty on European Union, article 52), from memory.
_UNION = frozenset([
    "AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU", "IE", "IT",
    "LT", "LU", "LV", "MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK",
])  # fmt: skip


def likely_workshop(accept_language: str) -> Workshop:
    """Return an unsaved workshop with the units, money and rules of the likeliest country.

    Args:
        accept_language: The browser's Accept-Language header.
    """
    workshop = Workshop(pk=1)
    territory = _territory(accept_language)
    if not territory:
        return workshop
    workshop.length_unit = LengthUnit.INCH if territory in _INCHES else LengthUnit.CENTIMETRE
    # Yarn is sold by the yard where lengths are in inches, its balls weigh grams. common practice
    workshop.yarn_unit = YarnUnit.YARD if territory == "US" else YarnUnit.METRE
    workshop.currency = (get_territory_currencies(territory) or [workshop.currency])[0]
    if territory in _UNION:
        workshop.label_rules = LabelRules.EU
    elif territory == "GB":
        workshop.label_rules = LabelRules.UK
    if territory != "US":
        workshop.country = str(Locale("en").territories.get(territory, workshop.country))
    return workshop


def _territory(accept_language: str) -> str:
    """Return the country that the best language names, else the one where most speak it."""
    for code, _weight in parse_accept_lang_header(accept_language):
        try:
            named = Locale.parse(code, sep="-").territory
        except (ValueError, UnknownLocaleError):
            continue
        likely = get_global("likely_subtags").get(code, "").rpartition("_")[2]
        if len(found := str(named or likely)) == 2:
            return found
    return ""
