"""Form fields for what a person measures: lengths and weights in either unit."""

from collections.abc import Callable
from decimal import Decimal
from functools import partial
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from patterns.core.units import (
    format_length,
    format_mass,
    format_yarn_length,
    parse_length,
    parse_mass,
    parse_yarn_length,
)
from patterns.core.words import say


class MeasureField(forms.CharField):
    """Text with a number and, if she likes, its unit; cleans to one plain number.

    Attributes:
        parse: Reads a text with a unit for a bare number; returns the plain number.
        write: Writes the plain number in a unit.
        unit: Unit of a bare number, and of what is shown.
        setting: Name of the workshop's setting that says which.
        names_unit: Whether the label says the unit of a bare number.
    """

    parse: Callable[[str, str], float]
    write: Callable[[float, str], str]
    unit: str
    setting: str
    names_unit = False
    what = _("a measure")
    such = "12"

    def __init__(
        self, *, least: float | None = None, most: float | None = None, **kwargs: Any
    ) -> None:
        self.least, self.most = least, most
        kwargs.setdefault("max_length", 30)
        super().__init__(**kwargs)
        self.widget.attrs.update({"inputmode": "decimal", "autocomplete": "off", "class": "short"})

    def measure_in(self, workshop: Any) -> None:
        """Take bare numbers for, and show measures in, the workshop's unit."""
        self.unit = getattr(workshop, self.setting)
        if self.names_unit and self.label:
            self.label = say("{label} [{unit}]", label=self.label, unit=self.unit)

    def shown(self, value: float) -> str:
        """Return a measure in the workshop's unit."""
        return type(self).write(value, self.unit)

    def prepare_value(self, value: Any) -> Any:
        """Show a measure in the workshop's unit, and a text as it was typed."""
        return self.shown(value) if isinstance(value, int | float | Decimal) else value

    def clean(self, value: Any) -> Any:
        """Return the measure, or None for an empty field that may be empty."""
        text = super().clean(value)
        if text in self.empty_values:
            return None
        try:
            measured = type(self).parse(text, self.unit)
        except ValueError as problem:
            msg = say(
                "“{text}” is not {what}. Write it like {such}.",
                text=text,
                what=self.what,
                such=self.such,
            )
            raise forms.ValidationError(msg) from problem
        low = self.least is not None and measured < self.least
        high = self.most is not None and measured > self.most
        if low or high:
            msg = say(
                "“{text}” is out of reach here; give a measure between {least} and {most}.",
                text=text,
                least=self.shown(self.least or 0),
                most=self.shown(self.most or 0),
            )
            raise forms.ValidationError(msg)
        return measured


class LengthField(MeasureField):
    """A length typed as inches, centimetres or millimetres; cleans to millimetres."""

    parse = staticmethod(parse_length)
    write = staticmethod(format_length)
    setting = "length_unit"
    what = _("a length")
    such = _("10 1/4 in, 26 cm or 260 mm")

    def __init__(self, *, length_unit: str = "in", **kwargs: Any) -> None:
        self.unit = length_unit
        super().__init__(**kwargs)


class MassField(MeasureField):
    """A weight typed as grams or ounces; cleans to grams."""

    parse = staticmethod(parse_mass)
    write = staticmethod(partial(format_mass, decimals=None))
    unit = "g"
    setting = "mass_unit"
    names_unit = True
    what = _("a weight")
    such = _("100, 100 g or 3 1/2 oz")


class YarnLengthField(MeasureField):
    """A length of yarn typed in metres or yards; cleans to metres."""

    parse = staticmethod(parse_yarn_length)
    write = staticmethod(partial(format_yarn_length, decimals=None))
    unit = "m"
    setting = "yarn_unit"
    names_unit = True
    what = _("a length of yarn")
    such = _("26, 26 m or 28 1/2 yd")
