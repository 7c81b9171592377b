"""What the forms of all apps share: money fields, forms that record an act, their renderer."""

import re
import uuid
from collections.abc import Callable
from typing import Any

from django import forms
from django.forms.boundfield import BoundField
from django.forms.renderers import TemplatesSetting
from django.http import HttpRequest
from django.utils.formats import get_format
from django.utils.html import conditional_escape, escape
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

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
            digits = minor_digits(self.currency)
            shown = f"{value / 10**digits:.{digits}f}"
            return shown.replace(".", get_format("DECIMAL_SEPARATOR"))
        return value

    def shown(self, minor: int) -> str:
        """Return an amount with the sign of its currency, for help texts."""
        return format_minor(minor, self.currency)


_COMMA = re.compile(r"(?P<whole>[+-]?\d*),(?P<part>\d+)")


def with_point(text: str) -> str:
    """Return a typed number with a point where it has a comma, e.g. `26,5` as `26.5`.

    Where a point is the usual sign, a comma before three digits marks thousands and is left.
    """
    match = _COMMA.fullmatch(text.strip())
    if match is None:
        return text
    whole, part = match["whole"], match["part"]
    if len(part) == 3 and whole.strip("+-0") and get_format("DECIMAL_SEPARATOR") == ".":
        return text
    return f"{whole}.{part}"


class _Typed(forms.Field):
    """A number typed with a point or a comma, shown with the sign of the language.

    It is a box for text: one for numbers takes only the sign of the browser's own language.
    """

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("localize", True)
        super().__init__(**kwargs)
        for name, value in (("inputmode", "decimal"), ("autocomplete", "off"), ("class", "short")):
            self.widget.attrs.setdefault(name, value)

    def to_python(self, value: Any) -> Any:
        """Return the number."""
        return super().to_python(with_point(value) if isinstance(value, str) else value)


class FigureField(_Typed, forms.FloatField):
    """A measured or estimated figure."""


class RateField(_Typed, forms.DecimalField):
    """An exact decimal, such as a rate in percent."""


class ActForm(forms.Form):
    """A form whose sending is one act, however often the button was pressed.

    The key is made when the page is, and travels with the form: the services record an
    act under one key once. Currency and units of the workshop reach the fields that want
    them.
    """

    key = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, workshop: Any = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["key"].initial = uuid.uuid4
        if workshop is not None:
            for field in self.fields.values():
                if hasattr(field, "currency"):
                    field.currency = workshop.currency
                if hasattr(field, "measure_in"):
                    field.measure_in(workshop)

    def add_refusal(self, problem: Exception) -> None:
        """Show a service's refusal at the field it names, else above the form."""
        field = getattr(problem, "field", None)
        self.add_error(field if field in self.fields else None, str(problem))


class Renderer(TemplatesSetting):
    """Writes what a page is full of without a template: the usual widgets and their fields.

    The markup of widgets is Django's own, that of a field the one in its template.

    A select of thirty choices costs Django sixty templates, one for each choice and one for
    each choice's attributes, which is most of the time of a page with a form.
    """

    def render(
        self, template_name: str, context: dict[str, Any], request: HttpRequest | None = None
    ) -> str:
        """Return the markup of a widget, a field or a form."""
        write = _WRITERS.get(template_name)
        if write is not None:
            return write(context["widget"])
        if template_name == self.field_template_name and not context["field"].use_fieldset:
            return _field(context["field"])
        return super().render(template_name, context, request)


def _field(field: BoundField) -> SafeString:
    """Return a field with its label, help and errors, as its template does for a fieldset."""
    errors, kind, ident = field.errors, field.widget_type, field.auto_id
    parts = [f'<div class="field{" has-error" if errors else ""} field-{kind}">']
    if field.label:
        free = not field.field.required and kind != "checkbox"
        hint = f' <span class="hint">{escape(_("(if you like)"))}</span>' if free else ""
        label = conditional_escape(field.label)
        parts.append(f'<label for="{field.id_for_label}">{label}{hint}</label>')
    if field.help_text:
        named = f' id="{ident}_helptext"' if ident else ""
        parts.append(f'<p class="help"{named}>{field.help_text}</p>')
    if errors:
        said = "".join(f"<p>{conditional_escape(error)}</p>" for error in errors)
        parts.append(f'<div class="error" id="{ident}_error">{said}</div>')
    return mark_safe("\n".join([*parts, str(field), "</div>"]))  # noqa: S308 - escaped above


def _attributes(attrs: dict[str, Any]) -> str:
    return "".join(
        f" {conditional_escape(name)}"
        if value is True
        else f' {conditional_escape(name)}="{conditional_escape(value)}"'
        for name, value in attrs.items()
        if value is not False
    )


def _input(widget: dict[str, Any]) -> str:
    value = widget["value"]
    written = "" if value is None else f' value="{conditional_escape(value)}"'
    name, kind = conditional_escape(widget["name"]), widget["type"]
    return f'<input type="{kind}" name="{name}"{written}{_attributes(widget["attrs"])}>'


def _select(widget: dict[str, Any]) -> str:
    lines = [f'<select name="{conditional_escape(widget["name"])}"{_attributes(widget["attrs"])}>']
    for group, options, _index in widget["optgroups"]:
        if group:
            lines.append(f'<optgroup label="{conditional_escape(group)}">')
        lines += [
            f'<option value="{conditional_escape(option["value"])}"'
            f"{_attributes(option['attrs'])}>{conditional_escape(option['label'])}</option>"
            for option in options
        ]
        if group:
            lines.append("</optgroup>")
    return "\n".join([*lines, "</select>"])


_WRITERS: dict[str, Callable[[dict[str, Any]], str]] = {
    "django/forms/widgets/select.html": _select,
    **{
        f"django/forms/widgets/{kind}.html": _input
        for kind in ("checkbox", "date", "datetime", "email", "hidden", "number", "text", "time")
    },
}
