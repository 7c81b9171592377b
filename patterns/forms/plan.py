"""Forms of the planning table."""

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from patterns.fields import LengthField
from patterns.forms.asking import AskForm
from patterns.forms.figures import EaseField, NumberField, YarnCountField
from patterns.forms.foot import EITHER_FIELD, FootForm
from patterns.models import Cylinder, Design, SizeGroup, SizeRow, Swatch, TopKind
from socktrade.forms import ActForm

_DEEP = (
    ("0", _("half the needles")),
    ("2", _("half and 2 more")),
    ("4", _("half and 4 more")),
)


class SwatchField(forms.ModelChoiceField):
    """A swatch, shown with its gauge and cylinder."""

    def label_from_instance(self, swatch: Swatch) -> str:
        """Return its name with stitches and rows per inch."""
        gauge = swatch.gauge
        return say(
            "{name} ({wales:.3g} × {courses:.3g} per inch, on the {needles})",
            name=swatch.name,
            wales=gauge.wales_per_inch,
            courses=gauge.courses_per_inch,
            needles=swatch.cylinder.needles,
        )


def _washed() -> QuerySet[Swatch]:
    return Swatch.objects.washed().select_related("cylinder").order_by("-measured_on", "-pk")


def _count(label: Promise, most: int, help_text: Promise, least: int = 0) -> forms.IntegerField:
    return forms.IntegerField(
        label=label,
        required=False,
        min_value=least,
        max_value=most,
        help_text=help_text,
        widget=forms.NumberInput(attrs={"class": "short", "inputmode": "numeric"}),
    )


class SockForm(AskForm):
    """What a sock is knitted of and how it starts; the foot comes from elsewhere."""

    swatch = SwatchField(
        Swatch.objects.none(), label=_("Washed swatch"), empty_label=_("Choose the swatch")
    )
    count = YarnCountField(
        label=_("Yarn count"),
        help_text=_("As on the band: 100 g / 400 m, 437 yd/100 g, Nm 16/4, 2250 den, 250 tex."),
    )
    ease = EaseField(
        label=_("Ease, smaller around than the foot [%]"),
        help_text=_("Usually 5 to 15; empty means 10."),
    )
    top = forms.ChoiceField(
        label=_("Top"),
        required=False,
        choices=TopKind.choices,
        help_text=_("Ribs need needles that divide: mock rib and 2 x 1 by 3, 3 x 1 by 4."),
    )
    hem = _count(_("Hem, rows that show"), 200, _("For a hung or picot hem; empty means 10."))
    cuff = LengthField(
        label=_("Height of the rib"),
        required=False,
        least=5,
        most=600,
        help_text=_("Part of the sock’s height; empty for the usual 30 to 38 rounds."),
    )
    cuff_swatch = SwatchField(
        Swatch.objects.none(),
        label=_("Washed swatch of the rib"),
        required=False,
        empty_label=_("none: its rows are guessed from the plain swatch"),
    )
    cylinders = forms.MultipleChoiceField(
        label=_("Only on these cylinders"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=_("None ticked means any of yours."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.owned = list(Cylinder.objects.order_by("needles").values_list("needles", flat=True))
        self.fields["cylinders"].choices = [(str(count), str(count)) for count in self.owned]
        self.fields["swatch"].queryset = _washed().plain()
        self.fields["cuff_swatch"].queryset = _washed().rib()

    def clean(self) -> dict[str, Any]:
        """Hold a rib swatch against the rib that was chosen."""
        given = super().clean() or self.cleaned_data
        rib, top = given.get("cuff_swatch"), given.get("top")
        if rib and top in TopKind.values and rib.fabric != top:
            msg = say(
                "“{name}” is a swatch of {fabric}; choose that top.",
                name=rib.name,
                fabric=rib.get_fabric_display(),
            )
            self.add_error("cuff_swatch", msg)
        return given

    def sock_wish(self) -> dict[str, Any]:
        """Return what was asked for, by the names of the plan's wish."""
        given = self.cleaned_data
        return {
            "swatch": given["swatch"],
            "tex": given["count"],
            "needles": [int(count) for count in given["cylinders"]] or self.owned,
            "ease": 0.10 if given["ease"] is None else given["ease"] / 100,
            "top": given["top"] or TopKind.PLAIN,
            "hem_rows": given["hem"] or 0,
            "cuff_mm": given["cuff"],
            "cuff_swatch": given["cuff_swatch"],
        }


class PlanForm(FootForm, SockForm):
    """What to plan; sent by GET, so that a plan has an address."""

    ball = LengthField(
        label=_("Around the ball of the foot"),
        required=False,
        least=60,
        most=450,
        help_text=_("Leave empty and it is guessed from the length."),
    )
    height = LengthField(
        label=_("Height, floor to top of cuff"),
        required=False,
        least=20,
        most=600,
        help_text=_("Leave empty for a usual crew height."),
    )
    setting = forms.DecimalField(
        label=_("Another stitch setting than the swatch’s"),
        required=False,
        min_value=-50,
        max_value=50,
        max_digits=5,
        decimal_places=2,
        help_text=_("Turns from your mark; its gauge is read off your swatches of this yarn."),
        widget=forms.NumberInput(attrs={"class": "short", "step": "0.25"}),
    )
    centre = _count(_("Needles left at the turn"), 98, _("Empty for a third of those held."), 2)
    toe_centre = _count(_("At the toe, if others"), 98, _("Empty for the same."), 2)
    deep_heel = forms.TypedChoiceField(
        label=_("The heel takes"),
        required=False,
        choices=_DEEP,
        coerce=int,
        empty_value=0,
        help_text=_("A deep heel holds 2 or 4 needles more."),
    )
    heel_factor = NumberField(
        label=_("Length a heel gives, of its passes"),
        required=False,
        least=0.3,
        most=1.3,
        such="0.95",
    )
    toe_factor = NumberField(
        label=_("Length a toe gives, of its passes"),
        required=False,
        least=0.3,
        most=1.3,
        such="0.95",
    )

    def __init__(self, *args: Any, workshop: Any = None, **kwargs: Any) -> None:
        super().__init__(*args, workshop=workshop, **kwargs)
        self.usual = {name: getattr(workshop, name, 1.0) for name in ("heel_factor", "toe_factor")}
        for name, factor in self.usual.items():
            self.fields[name].help_text = say("Empty for yours, {factor:.2f}.", factor=factor)

    def wish(self) -> dict[str, Any]:
        """Return what was asked for, by the names of the plan's wish."""
        given = self.cleaned_data
        same = ("foot_length_mm", "setting", "centre", "toe_centre")
        return (
            self.sock_wish()
            | {name: given[name] for name in same}
            | {"ball_mm": given["ball"], "height_mm": given["height"]}
            | {"deep_heel": given["deep_heel"] or 0}
            | {name: given[name] or factor for name, factor in self.usual.items()}
        )

    @property
    def has_rarer(self) -> bool:
        """Whether one of the rarer fields was filled in, so that their fold stays open."""
        names = ("setting", "centre", "toe_centre", "heel_factor", "toe_factor")
        deep = self["deep_heel"].value() not in (None, "", "0", 0)
        return deep or any(self[name].value() or self[name].errors for name in names)


class RunForm(SockForm):
    """What to plan in every size; sent by GET, so that a run has an address."""

    sizes = forms.ModelMultipleChoiceField(
        SizeRow.objects.none(),
        label=_("Sizes"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=_("None ticked means every size of your chart."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["sizes"].queryset = SizeRow.objects.order_by("foot_mm", "group", "name")


class DesignForm(ActForm):
    """Which design a plan belongs to, one of hers or a new one."""

    design = forms.ModelChoiceField(
        Design.objects.order_by("name"),
        label=_("Design"),
        required=False,
        empty_label=_("a new design"),
        template_name=EITHER_FIELD,
    )
    new_design = forms.CharField(
        label=_("Name of the new design"), required=False, max_length=60, template_name=EITHER_FIELD
    )

    def clean(self) -> dict[str, Any]:
        """Settle the design, one of hers or a new one."""
        given = super().clean() or self.cleaned_data
        design, new = given.get("design"), given.get("new_design")
        if design and new:
            self.add_error("new_design", say("Choose a design or name a new one, not both."))
        elif not design and not new and "new_design" not in self.errors:
            self.add_error("new_design", say("Name the new design, or choose one of yours."))
        given["design_name"] = design.name if design else new
        return given


class SaveForm(DesignForm):
    """Under which name a plan becomes a pattern version."""

    seal = forms.CharField(widget=forms.HiddenInput, max_length=120)
    size_name = forms.CharField(label=_("Name of the size"), max_length=40)
    group = forms.ChoiceField(label=_("For"), choices=SizeGroup.choices)
