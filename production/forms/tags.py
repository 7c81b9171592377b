"""Forms: choosing sheet and place for tags, putting them on, keeping a measured sheet."""

import re
from typing import Any

from django import forms

from patterns.fields import LengthField
from production.core.labelgrid import Grid
from production.errors import ProductionError
from production.services.tagsheets import MEASURES, grid_of, sheet_choices
from socktrade.forms import ActForm


class TagForm(ActForm):
    """Which sheet, where on it, and how; `reason` only where a tag has a gap."""

    sheet = forms.ChoiceField(label="Label sheet")
    start = forms.IntegerField(
        label="First free place",
        min_value=1,
        initial=1,
        help_text="Counted row by row, when some labels of the sheet are used already.",
    )
    shift_x = forms.IntegerField(
        label="Move right, tenths of a mm",
        min_value=-100,
        max_value=100,
        initial=0,
        help_text="Below zero moves left.",
    )
    shift_y = forms.IntegerField(
        label="Move down, tenths of a mm", min_value=-100, max_value=100, initial=0,
        help_text="Below zero moves up.",
    )  # fmt: skip
    stub = forms.BooleanField(label="With a stub to tear off at the sale", required=False)
    outline = forms.BooleanField(label="With the edge of each label", required=False)
    reason = forms.CharField(
        label="Why the tags go on with something missing",
        max_length=300,
        required=False,
        help_text="Kept with the act.",
    )

    def __init__(self, *args: Any, workshop: Any, **kwargs: Any) -> None:
        super().__init__(*args, workshop=workshop, **kwargs)
        choices = sheet_choices(workshop.label_rules)
        self.fields["sheet"].choices = choices  # type: ignore[attr-defined]
        self.fields["sheet"].initial = choices[0][0]
        self.fields["stub"].initial = True
        _shorten(self, "start", "shift_x", "shift_y")

    def clean(self) -> dict[str, Any]:
        """Look the sheet up, and see that the first place is on it."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        try:
            grid = grid_of(
                cleaned["sheet"],
                shift_x_tenths=cleaned["shift_x"],
                shift_y_tenths=cleaned["shift_y"],
            )
        except ProductionError as refusal:
            self.add_refusal(refusal)
            return cleaned
        if cleaned["start"] > grid.per_page:
            self.add_error("start", f"This sheet has places 1 to {grid.per_page}.")
        return {**cleaned, "grid": grid}


class TagSheetForm(ActForm):
    """A label sheet as she measured it."""

    name = forms.CharField(label="Name", max_length=60)
    page_width_mm = LengthField(label="Page width", least=10, most=2000)
    page_height_mm = LengthField(label="Page height", least=10, most=2000)
    columns = forms.IntegerField(label="Labels across", min_value=1, max_value=100)
    rows = forms.IntegerField(label="Labels down", min_value=1, max_value=100)
    margin_left_mm = LengthField(label="Page edge to first label, left", least=0, most=2000)
    margin_top_mm = LengthField(label="Page edge to first label, top", least=0, most=2000)
    label_width_mm = LengthField(label="Label width", least=10, most=2000)
    label_height_mm = LengthField(label="Label height", least=10, most=2000)
    gap_x_mm = LengthField(label="Gap between labels across", least=0, most=2000, initial=0)
    gap_y_mm = LengthField(label="Gap between labels down", least=0, most=2000, initial=0)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _shorten(self, "columns", "rows")

    def clean(self) -> dict[str, Any]:
        """Make the grid; what does not fit is said at the field to change."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        try:
            return {**cleaned, "grid": Grid(**{name: cleaned[name] for name in MEASURES})}
        except ValueError as problem:
            text = str(problem)
            name = text.split(" ", 1)[0]
            self.add_error(name if name in self.fields else None, self._in_words(text))
            return cleaned

    def _in_words(self, text: str) -> str:
        """Put the labels of the fields where the arithmetic names its arguments."""
        named = re.sub(
            r"\b[a-z]+_[a-z_]+_mm\b|^(columns|rows)\b",
            lambda found: (
                str(self.fields[found[0]].label).lower() if found[0] in self.fields else found[0]
            ),
            text,
        )
        return f"{named[0].upper()}{named[1:]}"


def _shorten(form: forms.Form, *names: str) -> None:
    for name in names:
        form.fields[name].widget.attrs["class"] = "short"
