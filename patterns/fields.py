"""Form fields for what a person measures: lengths and weights in either unit."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from patterns.core.units import format_length, parse_length, parse_mass
from patterns.core.words import say


class MeasureField(forms.CharField):
    """Text with a number and, if she likes, its unit; cleans to one plain number."""

    parse: Callable[[str, str], float]
    unit = ""
    what = _("a measure")
    such = "12"

    def __init__(
        self, *, least: float | None = None, most: float | None = None, **kwargs: Any
    ) -> None:
        self.least, self.most = least, most
        kwargs.setdefault("max_length", 30)
        super().__init__(**kwargs)
        self.widget.attrs.update({"inputmode": "decimal", "autocomplete": "off", "class": "short"})

    def default_unit(self) -> str:
        """Return the unit of a bare number."""
        return self.unit

    def shown(self, value: float) -> str:
        """Return a measure the way the messages write it."""
        return say("{value:g} {unit}", value=value, unit=self.default_unit())

    def clean(self, value: Any) -> Any:
        """Return the measure, or None for an empty field that may be empty."""
        text = super().clean(value)
        if text in self.empty_values:
            return None
        try:
            measured = type(self).parse(text, self.default_unit())
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
    what = _("a length")
    such = _("10 1/4 in, 26 cm or 260 mm")

    def __init__(self, *, length_unit: str = "in", **kwargs: Any) -> None:
        self.length_unit = length_unit
        super().__init__(**kwargs)

    def default_unit(self) -> str:
        """Return the workshop's unit."""
        return self.length_unit

    def shown(self, value: float) -> str:
        """Return millimetres in the workshop's unit."""
        return format_length(value, self.length_unit)

    def prepare_value(self, value: Any) -> Any:
        """Show millimetres in the workshop's unit."""
        return self.shown(value) if isinstance(value, int | float) else value


class MassField(MeasureField):
    """A weight typed as grams or ounces; cleans to grams."""

    parse = staticmethod(parse_mass)
    unit = "g"
    what = _("a weight")
    such = _("100, 100 g or 3 1/2 oz")
