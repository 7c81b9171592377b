"""Questions about yarn: a wanted gauge, old directions, colour repeats."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from patterns.fields import YarnLengthField
from patterns.forms.asking import AskForm
from patterns.forms.figures import NumberField, YarnCountField
from patterns.forms.plan import SwatchField
from patterns.models import PatternVersion, Swatch
from socktrade.forms import RateField


class SettingForm(AskForm):
    """A wanted gauge or a setting, for one yarn on one cylinder."""

    line = forms.ModelChoiceField(Swatch.objects.none(), widget=forms.HiddenInput)
    stitches = NumberField(
        label=_("Stitches wanted"), required=False, least=0.5, most=1000, such=_("8 or 31 1/2")
    )
    rows = NumberField(label=_("or rows wanted"), required=False, least=0.5, most=1000, such="11")
    per = forms.ChoiceField(
        label=_("counted"),
        choices=(("in", _("per inch")), ("10cm", _("per 10 cm"))),
        required=False,
    )
    turns = RateField(
        label=_("or stitch setting"),
        required=False,
        min_value=-50,
        max_value=50,
        max_digits=5,
        decimal_places=2,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["line"].queryset = Swatch.objects.washed().plain().select_related("cylinder")

    def clean(self) -> dict[str, Any]:
        """Take exactly one of the three."""
        given = super().clean() or self.cleaned_data
        told = [name for name in ("stitches", "rows", "turns") if given.get(name) is not None]
        if len(told) != 1 and not self.errors:
            self.add_error(None, say("Give stitches, rows or a setting: one of them."))
        if given.get("per") != "10cm":
            for name in ("stitches", "rows"):
                if given.get(name) is not None:
                    given[name] = given[name] * 100 / 25.4
        return given


class DirectionsForm(AskForm):
    """Old directions as she has them: needles and counter readings."""

    needles = forms.IntegerField(
        label=_("Needles"),
        min_value=12,
        max_value=200,
        widget=forms.NumberInput(attrs={"class": "short", "inputmode": "numeric"}),
    )
    leg = forms.IntegerField(
        label=_("Counter for the leg"),
        min_value=0,
        max_value=2000,
        widget=forms.NumberInput(attrs={"class": "short", "inputmode": "numeric"}),
    )
    foot = forms.IntegerField(
        label=_("Counter for the foot"),
        min_value=1,
        max_value=2000,
        widget=forms.NumberInput(attrs={"class": "short", "inputmode": "numeric"}),
    )
    centre = forms.IntegerField(
        label=_("Needles left at the turn"),
        required=False,
        min_value=2,
        max_value=98,
        help_text=_("Empty for a third of half."),
        widget=forms.NumberInput(attrs={"class": "short", "inputmode": "numeric"}),
    )
    swatch = SwatchField(
        Swatch.objects.none(),
        label=_("Washed swatch to knit it at"),
        empty_label=_("Choose the swatch"),
    )
    count = YarnCountField(label=_("Yarn count"), required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["swatch"].queryset = (
            Swatch.objects.washed().plain().select_related("cylinder").order_by("-measured_on")
        )

    def clean_needles(self) -> int:
        """Refuse an odd count: heel and toe take half the needles."""
        needles = int(self.cleaned_data["needles"])
        if needles % 2:
            msg = say(
                "{needles} is odd. Heel and toe take half the needles, so look once more.",
                needles=needles,
            )
            raise forms.ValidationError(msg)
        return needles


class StripesForm(AskForm):
    """A colour repeat and the sock it is knitted into."""

    version = forms.ModelChoiceField(
        PatternVersion.objects.none(), label=_("Pattern"), empty_label=None
    )
    repeat = YarnLengthField(
        label=_("Length of the whole colour repeat"),
        least=0.05,
        most=5000,
        help_text=_("Metres or yards, until the colours begin again."),
    )
    plain_turns = forms.BooleanField(label=_("Heel and toe are of another yarn"), required=False)
    used = YarnLengthField(
        label=_("Yarn the first sock took, if you weighed it"),
        required=False,
        least=1,
        most=5000,
        help_text=_("Empty for the planned figure. From its first stitch, waste not counted."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["version"].queryset = PatternVersion.objects.select_related(
            "pattern__design"
        ).order_by("pattern__design__name", "pattern__foot_length_mm", "pattern_id", "-number")
