"""What the forms of all apps share: money fields, and forms that record an act."""

import uuid
from typing import Any

from django import forms

from socktrade.money import format_minor, minor_digits, parse_minor


class MoneyField(forms.CharField):
    """An amount in the workshop's currency; cleans to minor units (or None)."""

    def __init__(self, *, currency: str = "USD", **kwargs: Any) -> None:
        self.currency = currency
        kwargs.setdefault("max_length", 20)
        super().__init__(**kwargs)
        self.widget.attrs.update({"inputmode": "decimal", "autocomplete": "off", "class": "short"})

    def clean(self, value: Any) -> Any:
        """Return minor units, or None for an empty field that may be empty."""
        text = super().clean(value)
        if text in self.empty_values:
            return None
        try:
            return parse_minor(text, self.currency)
        except ValueError as problem:
            raise forms.ValidationError(str(problem)) from problem

    def prepare_value(self, value: Any) -> Any:
        """Show minor units the way a person types them."""
        if isinstance(value, int):
            return f"{value / 10 ** minor_digits(self.currency):.{minor_digits(self.currency)}f}"
        return value

    def shown(self, minor: int) -> str:
        """Return an amount with the sign of its currency, for help texts."""
        return format_minor(minor, self.currency)


class ActForm(forms.Form):
    """A form whose sending is one act, however often the button was pressed.

    The key is made when the page is, and travels with the form: the services record an
    act under one key once. `currency` and `length_unit` of the workshop reach the fields
    that want them.
    """

    key = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, workshop: Any = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["key"].initial = uuid.uuid4
        if workshop is not None:
            for field in self.fields.values():
                if hasattr(field, "currency"):
                    field.currency = workshop.currency
                if hasattr(field, "length_unit"):
                    field.length_unit = workshop.length_unit

    def add_refusal(self, problem: Exception) -> None:
        """Show a service's refusal at the field it names, else above the form."""
        field = getattr(problem, "field", None)
        self.add_error(field if field in self.fields else None, str(problem))
