"""Forms of an order: taken, pair set aside, handed over."""

from typing import Any

from django import forms

from patterns.fields import LengthField
from patterns.models import PatternVersion
from production.models import DyeLot
from sales.forms.shelf import PairNumberField
from sales.models import Payment
from sales.services.orders import Wish
from socktrade.forms import ActForm, MoneyField


class OrderForm(ActForm):
    """What a customer wants and by when."""

    customer = forms.CharField(max_length=80)
    contact = forms.CharField(
        max_length=120, required=False, help_text="Telephone or mail, to say that it is ready."
    )
    wish = forms.CharField(
        label="Size and colour in words",
        max_length=200,
        help_text="Shoe size with its system, height, colour: “US women's 8½, mid-calf, kelp”.",
    )
    foot_length = LengthField(label="Foot length, measured", required=False, least=60, most=400)
    version = forms.ModelChoiceField(
        label="Pattern", queryset=PatternVersion.objects.none(), required=False
    )
    lot = forms.ModelChoiceField(label="Dye lot", queryset=DyeLot.objects.none(), required=False)
    promised_on = forms.DateField(
        label="Promised for",
        widget=forms.DateInput(attrs={"type": "date"}),
        error_messages={"invalid": "That is no date. Write it like 2026-08-20."},
    )
    price = MoneyField()
    deposit = MoneyField(required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        versions = PatternVersion.objects.select_related("pattern__design")
        self.fields["version"].queryset = versions.order_by(
            "pattern__foot_length_mm", "pattern__design__name", "-number"
        )
        lots = DyeLot.objects.with_yarn().order_by("yarn__name", "yarn__colour", "code")
        self.fields["lot"].queryset = lots

    def clean(self) -> dict[str, Any]:
        """Hold the deposit against the price."""
        cleaned = super().clean() or {}
        price, deposit = cleaned.get("price"), cleaned.get("deposit")
        if price is not None and deposit is not None and deposit > price:
            self.add_error("deposit", "The deposit is more than the price.")
        return cleaned

    @property
    def asked(self) -> Wish:
        """The wish as the service takes it."""
        typed = self.cleaned_data
        return Wish(
            customer=typed["customer"],
            contact=typed["contact"],
            wish=typed["wish"],
            foot_length_mm=typed["foot_length"],
            version=typed["version"],
            lot=typed["lot"],
            promised_on=typed["promised_on"],
            price_minor=typed["price"],
            deposit_minor=typed["deposit"] or 0,
        )


class ReserveForm(ActForm):
    """The pair to set aside."""

    pair = PairNumberField(label="Number of the finished pair")


class HandOverForm(ActForm):
    """How the rest was paid."""

    paid_by = forms.ChoiceField(
        label="Paid by", choices=Payment.choices, widget=forms.RadioSelect, initial=Payment.CASH
    )
