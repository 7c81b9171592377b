"""How her machine counts, and what a washed sock teaches."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from patterns.fields import LengthField
from patterns.services.machine import HABITS
from socktrade.forms import ActForm
from socktrade.models import Workshop

MOST_WASTE = 100  # the most a row card takes


class MachineForm(forms.ModelForm):
    """What a row card must know of her machine; told once."""

    class Meta:
        model = Workshop
        fields = HABITS
        help_texts = {
            "carrier_rests": _("Row cards then say how a round ends before heel and toe."),
            "turn_note": _("Printed at heel and toe of every row card."),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        waste = self.fields["waste_rounds"]
        waste.widget.attrs |= {"max": MOST_WASTE, "class": "short", "inputmode": "numeric"}

    def clean_waste_rounds(self) -> int:
        """Keep to what a row card takes."""
        rounds = int(self.cleaned_data["waste_rounds"])
        if rounds > MOST_WASTE:
            msg = say(
                "{rounds} rounds are too many; give 0 to {MOST_WASTE}.",
                rounds=rounds,
                MOST_WASTE=MOST_WASTE,
            )
            raise forms.ValidationError(msg)
        return rounds


class LearnForm(ActForm):
    """A washed sock of a version, measured."""

    sock_foot = LengthField(
        label=_("Foot of the washed sock"),
        least=40,
        most=420,
        help_text=_("Flat and relaxed, back of the heel to the tip of the toe."),
    )
