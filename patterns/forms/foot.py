"""A foot, measured or by its shoe size: two fields of which one is filled in."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from patterns.core.feet import SIZE_SYSTEMS, foot_length_mm
from patterns.core.words import say
from patterns.fields import LengthField
from patterns.forms.asking import AskForm
from patterns.forms.figures import NumberField

EITHER_FIELD = "patterns/_either_field.html"


class FootForm(AskForm):
    """Asks for a foot; `foot_length_mm` of the cleaned data is its length [mm]."""

    foot = LengthField(
        label=_("Foot, heel to longest toe"),
        required=False,
        least=60,
        most=400,
        help_text=_("The longer foot, standing."),
        template_name=EITHER_FIELD,
    )
    system = forms.ChoiceField(
        label=_("or shoe size in"),
        required=False,
        choices=[(key, system.name) for key, system in SIZE_SYSTEMS.items()],
        template_name=EITHER_FIELD,
    )
    size = NumberField(
        label=_("size"),
        required=False,
        least=0,
        most=400,
        what=_("a shoe size"),
        such=_("8, 8.5 or 8½"),
        template_name=EITHER_FIELD,
    )

    def __init__(self, *args: Any, workshop: Any = None, **kwargs: Any) -> None:
        super().__init__(*args, workshop=workshop, **kwargs)
        self.usual_system = workshop.us_women_scale if workshop else "us_women"
        self.fields["system"].initial = self.usual_system

    def clean(self) -> dict[str, Any]:
        """Settle the foot, from a measure or from a shoe size."""
        given = super().clean() or self.cleaned_data
        foot, size = given.get("foot"), given.get("size")
        if self.errors.keys() & {"foot", "size", "system"}:
            return given
        if foot is not None and size is not None:
            self.add_error(
                "size", say("Give the measured foot or a shoe size, and empty the other.")
            )
        elif foot is None and size is None:
            self.add_error("foot", say("Give the foot as measured, or a shoe size."))
        else:
            given["foot_length_mm"] = foot if foot is not None else self._foot_of_shoe(size)
        return given

    def _foot_of_shoe(self, size: float) -> float | None:
        system = self.cleaned_data["system"] or self.usual_system
        name, (low, high) = SIZE_SYSTEMS[system].name, SIZE_SYSTEMS[system].sold
        if not low <= size <= high:
            self.add_error(
                "size",
                say("{name} goes from {low:g} to {high:g} here.", name=name, low=low, high=high),
            )
        elif system != "mondopoint" and size * 2 % 1:
            self.add_error("size", say("Shoe sizes come in wholes and halves, like 8 or 8½."))
        else:
            return foot_length_mm(system, size)
        return None

    @property
    def chosen_system(self) -> str:
        """The shoe system she used, empty when she measured the foot."""
        return self.cleaned_data["system"] or self.usual_system if self.cleaned_data["size"] else ""
