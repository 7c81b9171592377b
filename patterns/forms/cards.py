"""What a row card is made for."""

from django import forms
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from patterns.forms.asking import AskForm

MOST_ON_PAPER = 20  # boxes that fit on one sheet


class CardForm(AskForm):
    """Which string; sent by GET."""

    socks = forms.IntegerField(
        label=_("Socks in the string"),
        min_value=1,
        max_value=100,
        initial=2,
        widget=forms.NumberInput(attrs={"class": "short", "inputmode": "numeric"}),
    )
    string = forms.CharField(
        label=_("String number or name"),
        required=False,
        max_length=20,
        help_text=_("Keeps your place apart from other strings of this pattern."),
    )


class PaperForm(CardForm):
    """The same, as many socks as one sheet has boxes for."""

    socks = forms.IntegerField(
        label=_("Socks in the string"),
        min_value=1,
        max_value=MOST_ON_PAPER,
        initial=2,
        widget=forms.NumberInput(attrs={"class": "short", "inputmode": "numeric"}),
        help_text=format_lazy(_("One sheet has boxes for {most}."), most=MOST_ON_PAPER),
    )
