"""Forms of the scale: yarn weighed in, weighed again, wound off and taken out."""

import re
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from patterns.fields import MassField
from production.models import YarnUse
from production.services.yarn import OUT_USES, TENTH
from production.services.yarn_scale import OnScale
from socktrade.forms import ActForm

MOST_GRAMS = 100_000
MOST_PACKAGES = 40
_BETWEEN = re.compile(r"[;\s]+|,\s+")
# A unit that stands apart from its number.
_APART = re.compile(r"(?<=\d)\s+(?=(?:g|kg|oz|lb)\b)", re.IGNORECASE)


class GramsField(MassField):
    """A weight; cleans to grams in tenths, as the ledger keeps them."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"least": 0, "most": MOST_GRAMS, **kwargs})

    def clean(self, value: Any) -> Any:
        """Return grams to the tenth, or None for an empty field that may be empty."""
        grams = super().clean(value)
        return None if grams is None else Decimal(str(grams)).quantize(TENTH)


class WeightsField(forms.CharField):
    """Weights of several packages in a row; cleans to a tuple of grams."""

    def __init__(self, **kwargs: Any) -> None:
        self.one = GramsField()
        usual = {
            "label": _("Or each cone, ball or skein by itself"),
            "required": False,
            "max_length": 400,
            "help_text": _("In a row, such as 1120 g 1085 g 1102 g. They get numbers from 1 on."),
        }
        super().__init__(**{**usual, **kwargs})
        self.widget.attrs.update({"inputmode": "text", "autocomplete": "off"})

    def measure_in(self, workshop: Any) -> None:
        """Take bare numbers for the workshop's unit."""
        self.one.measure_in(workshop)
        self.label = say("{label} [{unit}]", label=self.label, unit=self.one.unit)

    def clean(self, value: Any) -> Any:
        """Return the weights [g], each read like any other weight."""
        text = _APART.sub("", super().clean(value))
        typed = [word for word in _BETWEEN.split(text) if word]
        if len(typed) > MOST_PACKAGES:
            msg = say(
                "{count} weights are too many at once; book at most {most}.",
                count=len(typed),
                most=MOST_PACKAGES,
            )
            raise forms.ValidationError(msg)
        return tuple(self.one.clean(word) for word in typed)


class ScaleForm(ActForm):
    """What the scale showed, cones and all."""

    gross_g = GramsField(label=_("On the scale"), help_text=_("With cones or cores."))
    packages = forms.IntegerField(
        label=_("Cones, balls or skeins on it"),
        min_value=0,
        max_value=1000,
        initial=1,
        widget=forms.NumberInput(attrs={"class": "short"}),
    )
    note = forms.CharField(label=_("Note"), max_length=300, required=False)


class ReceiveForm(ScaleForm):
    """Yarn that comes in, all together or each package by itself."""

    weights_g = WeightsField()
    field_order = ("key", "gross_g", "packages", "weights_g", "note")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["gross_g"].required = False
        self.fields["packages"].required = False

    def clean(self) -> dict[str, Any]:
        """Want one way of weighing."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if {"gross_g", "weights_g"} & self.errors.keys():
            return cleaned
        gross, weights = cleaned.get("gross_g"), cleaned.get("weights_g")
        if gross is None and not weights:
            self.add_error("gross_g", say("A weight is required: all together or each by itself."))
        if gross is not None and weights:
            self.add_error("weights_g", say("Give all of it together or each by itself, not both."))
        if gross is not None and not cleaned.get("packages") and "packages" not in self.errors:
            self.add_error("packages", say("How many lay on the scale?"))
        return cleaned


class AskedAgain(ActForm):
    """A form with a tick box that is seen once it was asked for."""

    anyway = forms.BooleanField(label=_("Book it all the same"), required=False)


class WeighForm(AskedAgain, ScaleForm):
    """A weighing of the whole lot."""

    field_order = ("key", "gross_g", "packages", "note", "anyway")


class EachForm(AskedAgain):
    """Packages weighed one by one; those left empty count as last weighed."""

    note = forms.CharField(label=_("Note"), max_length=300, required=False)

    def __init__(
        self, *args: Any, packages: Sequence[OnScale], workshop: Any = None, **kwargs: Any
    ) -> None:
        super().__init__(*args, workshop=workshop, **kwargs)
        self.packages = packages
        for one in packages:
            number = one.package.number
            last = say("not weighed alone yet")
            if one.gross_g is not None:
                last = say("last {grams:mass}", grams=one.gross_g)
            label = say("Ball {number}", number=number)
            if one.package.has_core:
                label = say("Cone {number}", number=number)
            field = GramsField(label=label, required=False, help_text=last)
            if workshop is not None:
                field.measure_in(workshop)
            self.fields[f"weight_{number}"] = field

    def weights_g(self) -> dict[int, Decimal]:
        """Return number and weight of each package that lay on the scale."""
        shown = {
            one.package.number: self.cleaned_data.get(f"weight_{one.package.number}")
            for one in self.packages
        }
        return {number: gross for number, gross in shown.items() if gross is not None}

    def weight_fields(self) -> list[forms.BoundField]:
        """Return the fields of the packages, by number."""
        return [self[f"weight_{one.package.number}"] for one in self.packages]


class WindForm(ActForm):
    """A ball wound off a cone."""

    number = forms.TypedChoiceField(label=_("From"), coerce=int)
    grams = GramsField(label=_("Weight of the ball"))
    note = forms.CharField(label=_("Note"), max_length=300, required=False)

    def __init__(self, *args: Any, packages: Sequence[OnScale], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["number"].choices = [  # type: ignore[attr-defined]
            (one.package.number, str(one.package)) for one in packages if not one.is_empty
        ]


class TakeForm(ActForm):
    """Yarn that left for anything but a string."""

    grams = GramsField(label=_("Weight taken out"))
    use = forms.ChoiceField(label=_("For"), choices=[(use.value, use.label) for use in OUT_USES])
    note = forms.CharField(label=_("Note"), max_length=300, required=False)

    def clean_use(self) -> YarnUse:
        """Return the use as the service takes it."""
        return YarnUse(self.cleaned_data["use"])
