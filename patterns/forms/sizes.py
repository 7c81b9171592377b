"""The size chart, and feet asked about."""

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from patterns.fields import LengthField
from patterns.forms.foot import FootForm
from patterns.models import PatternVersion, SizeGroup, SizeRow
from socktrade.forms import ActForm


class SizeForm(ActForm):
    """One row of the chart."""

    name = forms.CharField(label=_("Size"), max_length=40)
    group = forms.ChoiceField(label=_("For"), choices=SizeGroup.choices)
    foot_mm = LengthField(label=_("Foot"), least=60, most=400)
    around_mm = LengthField(
        label=_("Around the sock"),
        required=False,
        least=60,
        most=450,
        help_text=_("Its ease already in it. Empty: guessed from the foot, your ease taken off."),
    )
    height_mm = LengthField(label=_("Height, floor to top"), least=20, most=600)

    def __init__(self, *args: Any, row: SizeRow | None = None, **kwargs: Any) -> None:
        if row is not None:
            names = ("name", "group", "foot_mm", "around_mm", "height_mm")
            kwargs.setdefault("initial", {name: getattr(row, name) for name in names})
        super().__init__(*args, **kwargs)


class FitForm(FootForm):
    """A foot at the stall, and how wide it is if she knows."""

    ball = LengthField(
        label=_("Around its ball"),
        required=False,
        least=60,
        most=450,
        help_text=_("If you can measure it."),
    )


class CompareForm(forms.Form):
    """Two versions to lay side by side; sent by GET."""

    a = forms.TypedChoiceField(label=_("This"), coerce=int)
    b = forms.TypedChoiceField(label=_("beside this"), coerce=int)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # Their names alone, asked for once: every version ever made stands in both lists.
        versions = _versions().only("number", "pattern__size_name", "pattern__design__name")
        named = [(version.pk, str(version)) for version in versions]
        for field in self.fields.values():
            field.choices = named  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        """Read the two that were chosen."""
        chosen: dict[str, Any] = super().clean() or self.cleaned_data
        found = _versions().in_bulk(chosen.values())
        return {name: found[pk] for name, pk in chosen.items()}


def _versions() -> QuerySet[PatternVersion]:
    return PatternVersion.objects.select_related("pattern__design").order_by(
        "pattern__design__name", "pattern__foot_length_mm", "pattern_id", "-number"
    )
