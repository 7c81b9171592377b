"""Fields for numbers that are typed: with a point or, as half of Europe writes them, a comma."""

from typing import Any

from django import forms


class FloatField(forms.FloatField):
    """A number; `26.5` and `26,5` are the same."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"widget": _figure(), **kwargs})

    def to_python(self, value: Any) -> float | None:
        """Read the number."""
        return super().to_python(_with_point(value))


class DecimalField(forms.DecimalField):
    """An exact number; `26.5` and `26,5` are the same."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"widget": _figure(), **kwargs})

    def to_python(self, value: Any) -> Any:
        """Read the number."""
        return super().to_python(_with_point(value))


def _figure() -> forms.TextInput:
    """Return an input of text: one for numbers takes the browser's comma, not the reader's."""
    widget = forms.TextInput(
        attrs={"class": "short", "inputmode": "decimal", "autocomplete": "off"}
    )
    widget.is_localized = True
    return widget


def _with_point(value: Any) -> Any:
    if isinstance(value, str) and value.count(",") == 1 and "." not in value:
        return value.replace(",", ".")
    return value
