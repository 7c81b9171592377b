"""Forms of an order: taken, pair set aside, handed over."""

import re
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from patterns.core.feet import SIZE_SYSTEMS, foot_length_mm
from patterns.core.words import say
from patterns.fields import LengthField, MassField
from patterns.models import PatternVersion
from production.models import DyeLot
from sales.forms.shelf import PairNumberField
from sales.models import HandOver, Payment
from sales.services.orders import Wish
from socktrade.forms import ActForm, MoneyField, RateField

SHOE_SYSTEMS = {key: one.name for key, one in SIZE_SYSTEMS.items() if not one.reading}


class OrderForm(ActForm):
    """What a customer wants and by when."""

    customer = forms.CharField(label=_("Customer"), max_length=80)
    contact = forms.CharField(
        label=_("Contact"),
        max_length=120,
        required=False,
        help_text=_("Telephone or mail, to say that it is ready."),
    )
    wish = forms.CharField(
        label=_("Size and colour in words"),
        max_length=200,
        help_text=_("Shoe size with its system, height, colour: “US women's 8½, mid-calf, kelp”."),
    )
    foot_length = LengthField(label=_("Foot length, measured"), required=False, least=60, most=400)
    shoe_system = forms.ChoiceField(
        label=_("or shoe size in"),
        choices=list(SHOE_SYSTEMS.items()),
        required=False,
        initial="us_women",
    )
    shoe_size = forms.CharField(label=_("Shoe size"), required=False, max_length=8)
    version = forms.ModelChoiceField(
        label=_("Pattern"),
        queryset=PatternVersion.objects.none(),
        required=False,
        empty_label=_("no pattern yet"),
    )
    lot = forms.ModelChoiceField(
        label=_("Dye lot"),
        queryset=DyeLot.objects.none(),
        required=False,
        empty_label=_("no lot yet"),
    )
    yarn = MassField(
        label=_("Yarn kept back"),
        required=False,
        least=1,
        most=2000,
        help_text=_("Empty means a pair of the pattern above."),
    )
    promised_on = forms.DateField(
        label=_("Promised for"),
        widget=forms.DateInput(attrs={"type": "date"}),
        error_messages={"invalid": _("That is no date. Write it like 2026-08-20.")},
    )
    price = MoneyField(label=_("Price"))
    deposit = MoneyField(label=_("Deposit"), required=False)
    paid_by = forms.ChoiceField(
        label=_("Deposit paid by"),
        choices=Payment.choices,
        widget=forms.RadioSelect,
        initial=Payment.CASH,
        required=False,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        versions = PatternVersion.objects.select_related("pattern__design")
        self.fields["version"].queryset = versions.order_by(
            "pattern__foot_length_mm", "pattern__design__name", "-number"
        )
        lots = (
            DyeLot.objects.with_yarn()
            .filter(grams__gt=0)
            .order_by("yarn__name", "yarn__colour", "code")
        )
        self.fields["lot"].queryset = lots

    def clean(self) -> dict[str, Any]:
        """Hold the deposit against the price."""
        cleaned = super().clean() or {}
        price, deposit = cleaned.get("price"), cleaned.get("deposit")
        if price is not None and deposit is not None and deposit > price:
            self.add_error("deposit", say("The deposit is more than the price."))
        if cleaned.get("shoe_size"):
            self._settle_foot(cleaned)
        return cleaned

    def _settle_foot(self, cleaned: dict[str, Any]) -> None:
        """Take the foot from a shoe size, unless it was measured."""
        system = cleaned.get("shoe_system") or "us_women"
        typed = cleaned["shoe_size"].strip()
        try:
            foot = foot_length_mm(system, float(_plain(typed)))
        except ValueError:
            such = say("8, 8.5 or 8½") if system != "mondopoint" else "250"
            self.add_error(
                "shoe_size",
                say("“{typed}” is no size there. Write it like {such}.", typed=typed, such=such),
            )
            return
        cleaned["shoe"] = f"{SHOE_SYSTEMS[system]} {typed}"
        if cleaned.get("foot_length") is None and "foot_length" not in self.errors:
            cleaned["foot_length"] = foot

    @property
    def asked(self) -> Wish:
        """The wish as the service takes it."""
        typed = self.cleaned_data
        return Wish(
            customer=typed["customer"],
            contact=typed["contact"],
            wish=typed["wish"],
            foot_length_mm=typed["foot_length"],
            shoe=typed.get("shoe", ""),
            yarn_g=typed["yarn"],
            version=typed["version"],
            lot=typed["lot"],
            promised_on=typed["promised_on"],
            price_minor=typed["price"],
            deposit_minor=typed["deposit"] or 0,
        )


class ReserveForm(ActForm):
    """The pair to set aside."""

    pair = PairNumberField(label=_("Number of the finished pair"))


class FollowForm(ActForm):
    """The socks that were knitted for an order."""

    socks = forms.CharField(
        label=_("Number of one of its socks"),
        max_length=20,
        help_text=_("Like 212-03, or the string's number if it is of one kind."),
    )


class DepositForm(ActForm):
    """Money taken before the hand-over."""

    deposit = MoneyField(label=_("Amount"))
    paid_by = forms.ChoiceField(
        label=_("Paid by"), choices=Payment.choices, widget=forms.RadioSelect, initial=Payment.CASH
    )


class CancelOrderForm(ActForm):
    """What becomes of the deposit of a cancelled order."""

    pay_back = forms.ChoiceField(
        label=_("The deposit"),
        choices=[
            ("", _("is kept")),
            *((way, say("is paid back: {way}", way=way.label)) for way in Payment),
        ],
        required=False,
    )


class HandOverForm(ActForm):
    """How the rest was paid, and how the pair went."""

    how = forms.ChoiceField(
        label=_("How it goes"),
        choices=HandOver.How.choices,
        widget=forms.RadioSelect,
        required=False,
    )
    paid_by = forms.ChoiceField(
        label=_("Paid by"), choices=Payment.choices, widget=forms.RadioSelect, initial=Payment.CASH
    )
    taxed = forms.BooleanField(
        label=_("Posted or fetched: the price holds tax"),
        required=False,
        help_text=_("At the stall the market's own tax holds; leave both empty then."),
    )
    tax_percent = RateField(
        label=_("Tax inside the price [%]"),
        required=False,
        max_digits=6,
        decimal_places=3,
        error_messages={"invalid": _("That is no rate. Write it like 8.875.")},
    )

    def clean(self) -> dict[str, Any]:
        """Hold the tick and the rate against each other."""
        cleaned = super().clean() or {}
        taxed, percent = cleaned.get("taxed"), cleaned.get("tax_percent")
        if taxed and percent is None and "tax_percent" not in self.errors:
            self.add_error("tax_percent", say("Type the rate that holds where it goes."))
        if percent is not None and not taxed:
            self.add_error("taxed", say("Tick this if the price holds tax, or take the rate out."))
        return cleaned


def _plain(text: str) -> str:
    """Return a shoe size with its half as a decimal."""
    return re.sub(r"\s*(½|1/2)$", ".5", text.replace(",", "."))
