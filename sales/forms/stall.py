"""Forms of the till."""

from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from production.models import Yarn
from sales.core.money import discount_minor
from sales.models import Payment
from socktrade.forms import ActForm, MoneyField
from socktrade.money import parse_minor

REASONS = (
    _("bargain"),
    _("small fault"),
    _("several at once"),
    _("friend"),
    _("last of its size"),
)


class NumberForm(ActForm):
    """A pair number; the price only when the book does not know one."""

    number = forms.CharField(
        label=_("Pair number"),
        max_length=1200,
        widget=forms.TextInput(
            attrs={
                "autocomplete": "off",
                "autocapitalize": "characters",
                "spellcheck": "false",
                "placeholder": "P1042",
                "enterkeyhint": "done",
            }
        ),
    )
    price = MoneyField(label=_("Price taken"), required=False)
    anyway = forms.BooleanField(required=False, widget=forms.HiddenInput)


class PriceForm(ActForm):
    """Another price for one line, and why."""

    price = MoneyField(label=_("Price taken"))
    reason = forms.CharField(
        label=_("Why"),
        max_length=120,
        required=False,
        widget=forms.TextInput(attrs={"list": "price-reasons", "autocomplete": "off"}),
    )


class DiscountForm(ActForm):
    """Something off the whole purchase: an amount or percent."""

    off = forms.CharField(
        label=_("Discount"),
        max_length=20,
        help_text=_("An amount, or percent: 5 or 10 %"),
        widget=forms.TextInput(attrs={"class": "short", "autocomplete": "off"}),
    )

    def __init__(self, *args: Any, total_minor: int, currency: str, **kwargs: Any) -> None:
        self.total_minor, self.currency = total_minor, currency
        super().__init__(*args, **kwargs)

    def clean_off(self) -> int:
        """Return the money off [minor units]."""
        text = self.cleaned_data["off"].strip()
        try:
            if text.endswith("%"):
                return discount_minor(self.total_minor, _share(text))
            return parse_minor(text, self.currency)
        except ValueError as problem:
            msg = say(
                "“{text}” is no discount. Write an amount like 5, or percent like 10 %.", text=text
            )
            raise forms.ValidationError(msg) from problem


class PayForm(ActForm):
    """How it was paid; `given` is the note a buyer handed over."""

    paid_by = forms.ChoiceField(choices=Payment.choices)
    given = MoneyField(label=_("Cash given"), required=False)
    anyway = forms.BooleanField(required=False)


class AskedForm(ActForm):
    """What was asked for: a kind, or words."""

    pattern = forms.IntegerField(required=False, min_value=1, max_value=2**62)
    yarn = forms.ModelChoiceField(
        label=_("In the colour"),
        queryset=Yarn.objects.order_by("name", "colour"),
        required=False,
        error_messages={"invalid_choice": _("There is no such colour.")},
    )
    words = forms.CharField(
        label=_("In their words"),
        max_length=120,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )


class BackForm(ActForm):
    """A pair brought back: its number, then what is paid out and how."""

    number = forms.CharField(
        label=_("Pair number"),
        max_length=200,
        widget=forms.TextInput(
            attrs={"autocomplete": "off", "autocapitalize": "characters", "placeholder": "P1042"}
        ),
    )


class RefundForm(ActForm):
    """What is paid out for a pair that came back."""

    refund = MoneyField(label=_("Paid out"))
    paid_by = forms.ChoiceField(label=_("Paid by"), choices=Payment.choices)


def _share(text: str) -> Decimal:
    try:
        return Decimal(text.rstrip("% ").replace(",", ".")) / 100
    except InvalidOperation:
        msg = say("{text!r} is no percentage.", text=text)
        raise ValueError(msg) from None
