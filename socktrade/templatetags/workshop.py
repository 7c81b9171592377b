"""Filters that show figures in the workshop's own units and currency, days in its language."""

import datetime as dt

from django import template

from patterns.core.units import format_length
from socktrade.language import fibre_name, write_day
from socktrade.money import format_minor
from socktrade.scriptwords import words_address

register = template.Library()


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
    return format_minor(minor, context["workshop"].currency)


@register.simple_tag(takes_context=True)
def length(context: template.Context, mm: float | None) -> str:
    """Show millimetres in the workshop's unit; nothing known shows a dash."""
    if mm is None:
        return "–"
    return format_length(mm, context["workshop"].length_unit)


register.filter("fibre", fibre_name)
