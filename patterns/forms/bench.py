"""Forms for cylinders and swatches."""

import datetime as dt
from typing import Any

from django import forms
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from patterns.fields import LengthField
from patterns.forms.figures import NumberField
from patterns.models import Cylinder, Fabric, GaugeState
from socktrade.forms import ActForm

_OLDEST = dt.date(2000, 1, 1)


def _count(label: Promise, most: int) -> forms.IntegerField:
    return forms.IntegerField(
        label=label,
        required=False,
        min_value=1,
        max_value=most,
        widget=forms.NumberInput(attrs={"class": "short", "inputmode": "numeric"}),
    )


class CylinderForm(ActForm):
    """A needle bed she owns."""

    needles = forms.IntegerField(
        label=_("Needles"),
        help_text=_("An even number, 12 to 200. It is often stamped on the rim."),
        min_value=12,
        max_value=200,
        widget=forms.NumberInput(attrs={"class": "short", "inputmode": "numeric"}),
        error_messages={
            "min_value": _("A cylinder has at least 12 needles."),
            "max_value": _("A cylinder has at most 200 needles."),
            "invalid": _("Give the needle count as a whole number, like 64."),
        },
    )
    diameter_mm = LengthField(
        label=_("Diameter across the needles"), required=False, least=25, most=400
    )
    note = forms.CharField(
        label=_("Note"),
        required=False,
        max_length=200,
        help_text=_("What it knits well, where it lives."),
    )

    def clean_needles(self) -> int:
        """Refuse an odd count: heel and toe take half the needles."""
        needles: int = self.cleaned_data["needles"]
        if needles % 2:
            msg = say(
                "{needles} is odd. Heel and toe take half the needles, so count once more.",
                needles=needles,
            )
            raise forms.ValidationError(msg)
        return needles


class SwatchForm(ActForm):
    """A measured tube."""

    name = forms.CharField(
        label=_("Name of the swatch"),
        max_length=80,
        help_text=_("Such as “Harbour wool, 64, 3 turns”."),
    )
    yarn_name = forms.CharField(label=_("Yarn"), max_length=120, required=False)
    cylinder = forms.ModelChoiceField(
        Cylinder.objects.order_by("needles"),
        label=_("Cylinder"),
        empty_label=_("Choose the cylinder"),
    )
    stitch_setting = forms.DecimalField(
        label=_("Stitch setting"),
        help_text=_("Turns of the stitch screw from your own mark."),
        initial=0,
        min_value=-50,
        max_value=50,
        max_digits=5,
        decimal_places=2,
        widget=forms.NumberInput(attrs={"class": "short", "step": "0.25"}),
    )
    state = forms.ChoiceField(
        label=_("Measured"),
        choices=GaugeState.choices,
        widget=forms.RadioSelect,
        help_text=_("Plans use washed swatches only: a tube off the machine is still stretched."),
    )
    wales = NumberField(
        label=_("Stitches counted"), least=1, most=1000, what=_("a count"), such=_("32 or 31 1/2")
    )
    wales_over_mm = LengthField(label=_("over this width"), least=25, most=1000)
    courses = NumberField(
        label=_("Rows counted"), least=1, most=1000, what=_("a count"), such=_("44 or 43 1/2")
    )
    courses_over_mm = LengthField(label=_("over this length"), least=25, most=1000)
    fabric = forms.ChoiceField(
        label=_("Knitted in"),
        choices=Fabric.choices,
        initial=Fabric.PLAIN,
        help_text=_("A rib has a gauge of its own; cuffs are planned with it."),
        required=False,
    )
    unravelled = LengthField(
        label=_("Yarn unravelled"),
        required=False,
        least=50,
        most=500_000,
        help_text=_("The surest figure for yarn: unravel ten rounds and measure."),
    )
    unravelled_rounds = _count(_("from so many rounds"), 100)
    hanging = LengthField(
        label=_("Length it hung at on the machine"),
        required=False,
        least=20,
        most=3000,
        help_text=_(
            "Under weights, before it came off; row cards then say what a leg should hang."
        ),
    )
    hanging_rows = _count(_("so many rows of it"), 2000)
    measured_on = forms.DateField(
        label=_("Measured on"), widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )

    def __init__(self, *args: Any, today: dt.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["measured_on"].initial = today
        workshop = kwargs.get("workshop")
        usual = "10 cm" if workshop is not None and workshop.length_unit == "cm" else "4 in"
        self.fields["wales_over_mm"].initial = usual
        self.fields["courses_over_mm"].initial = usual

    def clean_measured_on(self) -> dt.date:
        """Refuse days to come and days before there was such a book."""
        day: dt.date = self.cleaned_data["measured_on"]
        if day > self.today:
            msg = say("That day is still to come.")
            raise forms.ValidationError(msg)
        if day < _OLDEST:
            msg = say("{day:%Y} is too long ago. Give a day of this century.", day=day)
            raise forms.ValidationError(msg)
        return day

    def clean(self) -> dict[str, Any]:
        """Ask for the other half of a measure that was only half given."""
        given = super().clean() or self.cleaned_data
        given["fabric"] = given.get("fabric") or Fabric.PLAIN
        for length, count in (("unravelled", "unravelled_rounds"), ("hanging", "hanging_rows")):
            if self.errors.keys() & {length, count}:
                continue
            if given[length] is not None and given[count] is None:
                self.add_error(count, say("How many were it?"))
            elif given[count] is not None and given[length] is None:
                self.add_error(length, say("How long were they?"))
        return given
