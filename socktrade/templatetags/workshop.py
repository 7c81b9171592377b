"""Filters that show figures in the workshop's own units and currency, days in its language."""

import datetime as dt
from decimal import Decimal

from django import template
from django.utils.translation import gettext as _

from patterns.core.units import format_length
from socktrade.language import (
    fibre_name,
    write_day,
    write_mass,
    write_yarn_length,
    yarn_units,
)
from socktrade.money import format_minor
from socktrade.scriptwords import words_address

register = template.Library()

Grams = float | Decimal | str | None


@register.filter(name="date", expects_localtime=True, is_safe=False)
def day(value: dt.date | dt.time | None, pattern: str = "j F Y") -> str:
    """Show a day by a pattern, as the language writes it; nothing known shows nothing."""
    return write_day(value, pattern) if value else ""


@register.simple_tag
def script_words() -> str:
    """Return the address of the words of the scripts; empty in English."""
    return words_address()


@register.simple_tag(takes_context=True)
def money(context: template.Context, minor: int | None) -> str:
    """Show minor units in the workshop's currency; nothing known shows a dash."""
    if minor is None:
        return "–"
    # A minus as wide as the figures, which no line is broken after: a hyphen is a word's.
    return format_minor(minor, context["workshop"].currency).replace("-", "\N{MINUS SIGN}")


@register.simple_tag(takes_context=True)
def length(context: template.Context, mm: float | None) -> str:
    """Show millimetres in the workshop's unit; nothing known shows a dash."""
    if mm is None:
        return "–"
    return format_length(mm, context["workshop"].length_unit)


@register.filter
def mass(grams: Grams, decimals: int | str = 0) -> str:
    """Show grams in the workshop's unit; "+1" shows a sign and one decimal of the grams."""
    if grams is None or grams == "":
        return "–"
    return write_mass(Decimal(grams), int(decimals), signed=str(decimals).startswith("+"))


@register.filter
def mass_figure(grams: Grams, decimals: int | str = 0) -> str:
    """Show the same without the unit, for a column that names it in its head."""
    return mass(grams, decimals).split(" ")[0]


@register.filter
def yarn_length(metres: float | None, decimals: int = 0) -> str:
    """Show metres of yarn in the workshop's unit; nothing known shows a dash."""
    return "–" if metres is None else write_yarn_length(metres, decimals)


@register.filter
def yarn_figure(metres: float | None, decimals: int = 0) -> str:
    """Show the same without the unit, for a column that names it in its head."""
    return yarn_length(metres, decimals).split(" ")[0]


@register.simple_tag
def mass_unit() -> str:
    """Return the sign of the unit that yarn is weighed in."""
    return yarn_units().mass


@register.simple_tag
def yarn_unit() -> str:
    """Return the sign of the unit that yarn is measured off in."""
    return yarn_units().length


@register.simple_tag
def mass_head() -> str:
    """Return the head of a column of weights."""
    return _("Ounces") if yarn_units().mass == "oz" else _("Grams")


@register.simple_tag
def yarn_length_head() -> str:
    """Return the head of a column of yarn lengths."""
    return _("Yards") if yarn_units().length == "yd" else _("Metres")


register.filter("fibre", fibre_name)
