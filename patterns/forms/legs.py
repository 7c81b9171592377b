"""Form of the leg of a knee sock."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from patterns.core.bounds import FOOT_MM
from patterns.core.legbands import GIRTH_MM
from patterns.core.words import say
from patterns.fields import LengthField
from patterns.forms.asking import AskForm
from patterns.forms.figures import EaseField
from patterns.services.gauges import YarnLine


class KneeSockForm(AskForm):
    """Which yarn on which cylinder, and the leg it shall fit."""

    line = forms.TypedChoiceField(label=_("Yarn and cylinder"), coerce=int)
    foot = LengthField(
        label=_("Length of the foot"),
        required=False,
        least=FOOT_MM[0],
        most=FOOT_MM[1],
        help_text=_("A girth you leave empty is guessed from it."),
    )
    ankle = LengthField(
        label=_("Around the ankle"), required=False, least=GIRTH_MM[0], most=GIRTH_MM[1]
    )
    calf = LengthField(
        label=_("Around the calf, where it is widest"),
        required=False,
        least=GIRTH_MM[0],
        most=GIRTH_MM[1],
    )
    knee = LengthField(
        label=_("Just below the knee"),
        required=False,
        least=GIRTH_MM[0],
        most=GIRTH_MM[1],
        help_text=_("Never guessed: measure it, or the band is left as wide as the calf."),
    )
    ease = EaseField(
        label=_("Ease, smaller around than the leg [%]"), help_text=_("Empty means 10.")
    )

    def __init__(self, *args: Any, lines: Sequence[YarnLine], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["line"].choices = [  # type: ignore[attr-defined]
            (line.swatches[0].pk, line.title) for line in lines
        ]

    def clean(self) -> dict[str, Any]:
        """Ask for the foot while a girth has to be guessed from it."""
        given = super().clean() or self.cleaned_data
        lacking = given.get("ankle") is None or given.get("calf") is None
        if lacking and given.get("foot") is None and not self.errors:
            self.add_error("foot", say("Give the foot, or measure both ankle and calf."))
        return given
