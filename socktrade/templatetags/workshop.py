"""Filters that show figures in the workshop's own units and currency."""

from django import template

from patterns.core.units import format_length
from socktrade.money import format_minor

register = template.Library()


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
