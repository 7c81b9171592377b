"""The language of the book: chosen once for the workshop, spoken by every page.

Words of templates and forms go through Django's catalogue; sentences of the services and of
the arithmetic are phrases, said here from the same catalogue with figures and days as the
language writes them.
"""

import datetime as dt
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import reverse_lazy
from django.utils import formats, translation
from django.utils.dateformat import format as format_date
from django.utils.dateformat import time_format
from django.utils.translation import gettext, ngettext, pgettext
from django.utils.translation import pgettext_lazy as known

from patterns.core.units import format_mass, format_yarn_length
from patterns.core.words import DAY_STYLES, MEASURE_STYLE, Filler, Phrase
from socktrade.models import Workshop
from socktrade.workshop import workshop_of

DATE_PATTERNS = (
    known("date", "D"),
    known("date", "F"),
    known("date", "j M"),
    known("date", "j F"),
    known("date", "j M Y"),
    known("date", "j F Y"),
    known("date", "F Y"),
    known("date", "D j M"),
    known("date", "D j M Y"),
    known("date", "l j F"),
    known("date", "l j F Y"),
    known("date", "l, j F Y"),
    known("date", "H:i"),
    known("date", "j F, H:i"),
    known("date", "j M Y, H:i"),
    known("date", "j F Y, H:i"),
)
"""Every way the pages write a day, so that the catalogue can turn each into its own."""

FIBRES = (
    known("fibre", "wool"),
    known("fibre", "recycled wool"),
    known("fibre", "alpaca"),
    known("fibre", "recycled alpaca"),
    known("fibre", "llama"),
    known("fibre", "recycled llama"),
    known("fibre", "vicuna"),
    known("fibre", "recycled vicuna"),
    known("fibre", "mohair"),
    known("fibre", "recycled mohair"),
    known("fibre", "cashmere"),
    known("fibre", "recycled cashmere"),
    known("fibre", "camel"),
    known("fibre", "recycled camel"),
    known("fibre", "angora rabbit"),
    known("fibre", "yak"),
    known("fibre", "silk"),
    known("fibre", "cotton"),
    known("fibre", "linen"),
    known("fibre", "hemp"),
    known("fibre", "ramie"),
    known("fibre", "nylon"),
    known("fibre", "polyester"),
    known("fibre", "acrylic"),
    known("fibre", "modacrylic"),
    known("fibre", "acetate"),
    known("fibre", "viscose"),
    known("fibre", "lyocell"),
    known("fibre", "modal"),
    known("fibre", "spandex"),
    known("fibre", "metallic"),
    known("fibre", "rubber"),
    known("fibre", "PLA"),
    known("fibre", "azlon"),
    known("fibre", "polypropylene"),
)
"""Fibres by the names that the book keeps; tags say them as their own rules do."""

_STYLES = {
    "short": "j M",
    "day": "j F",
    "long": "j F Y",
    "month": "F Y",
    "weekday": "l j F",
    "dated": "D j M Y",
    "clock": "H:i",
    "moment": "j F Y, H:i",
}


def write_day(value: dt.date | dt.time, pattern: str) -> str:
    """Return a day, moment or time as the active language writes it.

    Args:
        value: What to write.
        pattern: English pattern of Django's `date` filter, such as "j F Y".
    """
    wanted = pgettext("date", pattern)
    if isinstance(value, dt.time):
        return time_format(value, wanted)
    return format_date(value, wanted)


@dataclass(frozen=True, slots=True)
class YarnUnits:
    """Units in which yarn is shown.

    Attributes:
        mass: "g" or "oz".
        length: "m" or "yd".
    """

    mass: str = "g"
    length: str = "m"


_yarn_units: ContextVar[YarnUnits] = ContextVar("yarn_units")
_METRIC = YarnUnits()


def yarn_units() -> YarnUnits:
    """Return the units in which yarn is shown here: metric where no workshop is at hand."""
    return _yarn_units.get(_METRIC)


@contextmanager
def yarn_in(units: YarnUnits) -> Iterator[None]:
    """Show yarn in these units inside this block."""
    token = _yarn_units.set(units)
    try:
        yield
    finally:
        _yarn_units.reset(token)


def write_mass(grams: float | Decimal, decimals: int | None = 0, *, signed: bool = False) -> str:
    """Return grams in the workshop's unit and the language's figures.

    Args:
        grams: What to write [g].
        decimals: Decimals of the grams; None for one at most.
        signed: Whether a sign stands before what is above 0.
    """
    return str(format_mass(grams, yarn_units().mass, decimals, signed=signed))


def write_yarn_length(metres: float | Decimal, decimals: int | None = 0) -> str:
    """Return metres of yarn in the workshop's unit and the language's figures."""
    return str(format_yarn_length(metres, yarn_units().length, decimals))


def fibre_name(name: str) -> str:
    """Return what a fibre is called in the active language; one of her own stays as typed."""
    return pgettext("fibre", name)


class LocalFiller(Filler):
    """Puts values into a translated pattern: points, commas and days of the active language."""

    def format_field(self, value: Any, format_spec: str) -> str:
        """Return one value as the language writes it."""
        if isinstance(value, Phrase):
            return format(value, format_spec)
        if isinstance(value, dt.date | dt.time) and format_spec in DAY_STYLES:
            return write_day(value, _STYLES[format_spec])
        text = super().format_field(value, format_spec)
        english = isinstance(value, float | Decimal) and not MEASURE_STYLE.fullmatch(format_spec)
        return local_figures(text) if english else text

    def write_measure(self, value: Any, what: str, sign: str, decimals: str) -> str:
        """Return grams or metres of yarn in the workshop's own units."""
        places = int(decimals) if decimals else None
        if what == "mass":
            return write_mass(value, places, signed=bool(sign))
        return write_yarn_length(value, places)


_LOCAL = LocalFiller()


def local_figures(text: str) -> str:
    """Return figures written the English way with the signs of the active language."""
    point = formats.get_format("DECIMAL_SEPARATOR")
    if point == ".":
        return text
    return text.translate({ord("."): point, ord(","): formats.get_format("THOUSAND_SEPARATOR")})


def speak(phrase: Phrase) -> str:
    """Return a phrase in the active language."""
    one, many = phrase.one, phrase.many
    said = ngettext(one, many, phrase.number) if many else gettext(one)
    return _LOCAL.vformat(said, (), phrase.values) if phrase.values else said


def language_of(request: HttpRequest, workshop: Workshop) -> str:
    """Return the workshop's language; before it has chosen one, the browser's."""
    return workshop.language or translation.get_language_from_request(request)


_WORDLESS = reverse_lazy("health")


class LanguageMiddleware:
    """Speaks the workshop's language and units for the length of a request."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer in the workshop's language and units."""
        if request.path_info == _WORDLESS:  # answers even when the book cannot be read
            return self.get_response(request)
        workshop = workshop_of(request)
        units = YarnUnits(workshop.mass_unit, workshop.yarn_unit)
        with translation.override(language_of(request, workshop)), yarn_in(units):
            return self.get_response(request)
