"""Forms of the planning table."""

from typing import Any

from django import forms

from patterns.core.feet import foot_length_mm
from patterns.fields import LengthField
from patterns.forms.asking import AskForm
from patterns.forms.figures import NumberField, YarnCountField
from patterns.models import Cylinder, Design, GaugeState, SizeGroup, Swatch
from socktrade.forms import ActForm

EITHER_FIELD = "patterns/_either_field.html"

# Name and the printed sizes of each system she may choose from.
SHOE_SYSTEMS: dict[str, tuple[str, float, float]] = {
    "us_women": ("US women", 3, 20),
    "us_women_athletic": ("US women, athletic scale (men’s + 1)", 3, 20),
    "us_men": ("US men", 3, 20),
    "us_child": ("US child", 0, 13.5),
    "us_youth": ("US youth", 1, 7),
    "us_youth_as_men": ("US youth, numbered like men’s", 1, 7),
    "uk_adult": ("UK", 0, 19),
    "uk_child": ("UK child", 0, 13.5),
    "eu": ("EU", 14, 56),
    "mondopoint": ("Mondopoint (foot in mm)", 60, 400),
}


class SwatchField(forms.ModelChoiceField):
    """A swatch, shown with its gauge and cylinder."""

    def label_from_instance(self, swatch: Swatch) -> str:
        """Return its name with stitches and rows per inch."""
        gauge = swatch.gauge
        per_inch = f"{gauge.wales_per_inch:.3g} × {gauge.courses_per_inch:.3g} per inch"
        return f"{swatch.name} ({per_inch}, on the {swatch.cylinder.needles})"


class PlanForm(AskForm):
    """What to plan; sent by GET, so that a plan has an address."""

    foot = LengthField(
        label="Foot, heel to longest toe",
        required=False,
        least=60,
        most=400,
        help_text="The longer foot, standing.",
        template_name=EITHER_FIELD,
    )
    system = forms.ChoiceField(
        label="or shoe size in",
        required=False,
        choices=[(system, name) for system, (name, _low, _high) in SHOE_SYSTEMS.items()],
        template_name=EITHER_FIELD,
    )
    size = NumberField(
        label="size",
        required=False,
        least=0,
        most=400,
        what="a shoe size",
        such="8, 8.5 or 8½",
        template_name=EITHER_FIELD,
    )
    ball = LengthField(
        label="Around the ball of the foot",
        required=False,
        least=60,
        most=450,
        help_text="Leave empty and it is guessed from the length.",
    )
    height = LengthField(
        label="Height, floor to top of cuff",
        required=False,
        least=20,
        most=600,
        help_text="Leave empty for a usual crew height.",
    )
    swatch = SwatchField(
        Swatch.objects.filter(state=GaugeState.WASHED)
        .select_related("cylinder")
        .order_by("-measured_on", "-pk"),
        label="Washed swatch",
    )
    count = YarnCountField(
        label="Yarn count",
        help_text="As on the band: 100 g / 400 m, 437 yd/100 g, Nm 16/4, 2250 den, 250 tex.",
    )
    ease = NumberField(
        label="Ease, smaller around than the foot [%]",
        required=False,
        least=0,
        most=25,
        initial="10",
        what="a percentage",
        such="10",
        help_text="Usually 5 to 15; empty means 10.",
    )
    hem = forms.IntegerField(
        label="Hung hem, rows that show",
        required=False,
        min_value=0,
        max_value=200,
        initial=0,
        help_text="0 for none.",
        widget=forms.NumberInput(attrs={"class": "short", "inputmode": "numeric"}),
    )
    cylinders = forms.MultipleChoiceField(
        label="Only on these cylinders",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="None ticked means any of yours.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.owned = list(Cylinder.objects.order_by("needles").values_list("needles", flat=True))
        self.fields["cylinders"].choices = [(str(count), str(count)) for count in self.owned]

    def clean(self) -> dict[str, Any]:
        """Settle the foot, from a measure or from a shoe size."""
        given = super().clean() or self.cleaned_data
        foot, size = given.get("foot"), given.get("size")
        if self.errors.keys() & {"foot", "size", "system"}:
            return given
        if foot is not None and size is not None:
            self.add_error("size", "Give the measured foot or a shoe size, and empty the other.")
        elif foot is None and size is None:
            self.add_error("foot", "Give the foot as measured, or a shoe size.")
        else:
            given["foot_length_mm"] = foot if foot is not None else self._foot_of_shoe(size)
        return given

    def _foot_of_shoe(self, size: float) -> float | None:
        system = self.cleaned_data["system"] or "us_women"
        name, low, high = SHOE_SYSTEMS[system]
        if not low <= size <= high:
            self.add_error("size", f"{name} goes from {low:g} to {high:g} here.")
        elif system != "mondopoint" and size * 2 % 1:
            self.add_error("size", "Shoe sizes come in wholes and halves, like 8 or 8½.")
        else:
            return foot_length_mm(system, size)
        return None

    @property
    def chosen_system(self) -> str:
        """The shoe system she used, empty when she measured the foot."""
        return self.cleaned_data["system"] or "us_women" if self.cleaned_data["size"] else ""


class SaveForm(ActForm):
    """Under which name a plan becomes a pattern version."""

    seal = forms.CharField(widget=forms.HiddenInput, max_length=80)
    design = forms.ModelChoiceField(
        Design.objects.order_by("name"),
        label="Design",
        required=False,
        empty_label="a new design",
        template_name=EITHER_FIELD,
    )
    new_design = forms.CharField(
        label="Name of the new design", required=False, max_length=60, template_name=EITHER_FIELD
    )
    size_name = forms.CharField(label="Name of the size", max_length=40)
    group = forms.ChoiceField(label="For", choices=SizeGroup.choices)

    def clean(self) -> dict[str, Any]:
        """Settle the design, one of hers or a new one."""
        given = super().clean() or self.cleaned_data
        design, new = given.get("design"), given.get("new_design")
        if design and new:
            self.add_error("new_design", "Choose a design or name a new one, not both.")
        elif not design and not new and "new_design" not in self.errors:
            self.add_error("new_design", "Name the new design, or choose one of yours.")
        given["design_name"] = design.name if design else new
        return given
