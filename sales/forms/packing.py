"""Forms: pairs for the stall box, ticked or by number."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from socktrade.forms import ActForm


class PackForm(ActForm):
    """Pairs that were ticked."""

    pairs = forms.TypedMultipleChoiceField(coerce=int, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        sent = self.data.getlist("pairs") if self.is_bound else []
        # Whatever number was sent may be asked for; the service says which pairs can move.
        self.fields["pairs"].choices = [(pk, pk) for pk in sent if pk.isdecimal() and len(pk) < 19]


class NumbersForm(ActForm):
    """Pair numbers, typed or scanned one after another."""

    numbers = forms.CharField(
        label=_("Pair numbers"),
        max_length=2000,
        help_text=_("Type or scan, as many as you like: P1042 P1043"),
        widget=forms.TextInput(
            attrs={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}
        ),
    )
