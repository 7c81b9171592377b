"""Forms: choosing sheet and place for tags, putting them on, keeping a measured sheet."""

import re
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from patterns.core.words import Phrase, say
from patterns.fields import LengthField
from production.core.labelgrid import Grid
from production.core.tagpanels import Layout
from production.core.tagwords import PRINTED_SYSTEMS
from production.errors import ProductionError
from production.models import Fold, TagHabits
from production.services.tagsheets import MEASURES, grid_of, sheet_choices
from socktrade.forms import ActForm, RateField

SIDES = (("one", _("one side")), ("two", _("front and back, the sheet turned like a page")))
MEASURE_WORDS = {
    "page_width_mm": say("page width"),
    "page_height_mm": say("page height"),
    "columns": say("labels across"),
    "rows": say("labels down"),
    "margin_left_mm": say("page edge to first label, left"),
    "margin_top_mm": say("page edge to first label, top"),
    "label_width_mm": say("label width"),
    "label_height_mm": say("label height"),
    "gap_x_mm": say("gap between labels across"),
    "gap_y_mm": say("gap between labels down"),
    "corner_mm": say("radius of its round corners"),
    "hole_mm": say("width of its hole"),
    "hole_x_mm": say("left edge to the middle of the hole"),
    "hole_y_mm": say("top edge to the middle of the hole"),
}
"""The measures of a sheet inside a sentence, where the arithmetic names its arguments."""


class TagForm(ActForm):
    """Which sheet, where on it, and how; `reason` only where a tag has a gap."""

    sheet = forms.ChoiceField(label=_("Label sheet"))
    sides = forms.ChoiceField(
        label=_("Sides"),
        choices=SIDES,
        required=False,
        help_text=_("A label that folds has its own back."),
    )
    start = forms.IntegerField(
        label=_("First free place"),
        min_value=1,
        initial=1,
        help_text=_("Counted row by row, when some labels of the sheet are used already."),
    )
    skip = forms.CharField(
        label=_("Spoiled places"),
        max_length=200,
        required=False,
        help_text=_("On the first sheet, such as 3, 7. They are left empty."),
    )
    shift_x = forms.IntegerField(
        label=_("Move right, tenths of a mm"), min_value=-100, max_value=100, required=False,
        help_text=_("Below zero moves left. Empty: as last time on this sheet."),
    )  # fmt: skip
    shift_y = forms.IntegerField(
        label=_("Move down, tenths of a mm"), min_value=-100, max_value=100, required=False,
        help_text=_("Below zero moves up. Empty: as last time on this sheet."),
    )  # fmt: skip
    stub = forms.BooleanField(label=_("With a stub to tear off at the sale"), required=False)
    outline = forms.BooleanField(label=_("With the edge of each label"), required=False)
    reason = forms.CharField(
        label=_("Why the tags go on with something missing"),
        max_length=300,
        required=False,
        help_text=_("Kept with the act."),
    )

    def __init__(self, *args: Any, workshop: Any, **kwargs: Any) -> None:
        super().__init__(*args, workshop=workshop, **kwargs)
        self.habits = TagHabits.current()
        choices = sheet_choices(workshop.label_rules)
        known = [key for key, _ in choices]
        last = self.habits.sheet if self.habits.sheet in known else known[0]
        self.fields["sheet"].choices = choices  # type: ignore[attr-defined]
        self.fields["sheet"].initial = last
        self.fields["sides"].initial = self.habits.sides
        self.fields["stub"].initial = self.habits.stub
        for name, tenths in zip(("shift_x", "shift_y"), self._last_shift(last), strict=True):
            self.fields[name].widget.attrs["placeholder"] = str(tenths)
        _shorten(self, "start", "skip", "shift_x", "shift_y")

    @property
    def layout(self) -> Layout:
        """How the tags go on the sheets; for a form that is valid."""
        asked = self.cleaned_data
        return Layout(
            start=asked["start"],
            skip=asked["skip"],
            two_sided=asked["sides"] == "two",
            stub=asked["stub"],
            outline=asked["outline"],
        )

    def clean_skip(self) -> tuple[int, ...]:
        """Read the spoiled places."""
        words = re.split(r"[\s,;]+", self.cleaned_data["skip"].strip())
        found = [word for word in words if word]
        for word in found:
            if not (word.isascii() and word.isdigit() and len(word) < 5):
                msg = say(
                    "“{word:.20}” is no place. Write numbers with commas, such as 3, 7.", word=word
                )
                raise forms.ValidationError(msg)
        return tuple(sorted({int(word) for word in found}))

    def clean(self) -> dict[str, Any]:
        """Look the sheet up, and see that the places are on it."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        last = self._last_shift(cleaned["sheet"])
        for name, tenths in zip(("shift_x", "shift_y"), last, strict=True):
            if cleaned[name] is None:
                cleaned[name] = tenths
        try:
            grid = grid_of(
                cleaned["sheet"],
                shift_x_tenths=cleaned["shift_x"],
                shift_y_tenths=cleaned["shift_y"],
            )
        except ProductionError as refusal:
            self.add_refusal(refusal)
            return cleaned
        self._check_places(cleaned, grid)
        return {**cleaned, "grid": grid}

    def _check_places(self, cleaned: dict[str, Any], grid: Grid) -> None:
        if cleaned["start"] > grid.per_page:
            self.add_error(
                "start", say("This sheet has places 1 to {per_page}.", per_page=grid.per_page)
            )
        elif any(not 1 <= place <= grid.per_page for place in cleaned["skip"]):
            self.add_error(
                "skip", say("This sheet has places 1 to {per_page}.", per_page=grid.per_page)
            )
        elif {*range(cleaned["start"], grid.per_page + 1)} <= set(cleaned["skip"]):
            self.add_error(
                "skip", say("That leaves no place on the first sheet. Take a fresh one.")
            )

    def _last_shift(self, sheet: str) -> tuple[int, int]:
        across, down = self.habits.shifts.get(sheet, (0, 0))
        return int(across), int(down)


class TagHabitsForm(forms.ModelForm):
    """What her tags say beyond what the rules want."""

    tax_percent = RateField(
        label=_("Tax in percent"),
        max_digits=6,
        decimal_places=3,
        help_text=_("Only for a price with the tax added to it."),
    )
    size_systems = forms.MultipleChoiceField(
        label=_("Sizes in these systems"),
        choices=list(PRINTED_SYSTEMS.items()),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=_(
            "None ticked: the usual ones where your rules hold. The first is printed "
            "large; children's systems are for children's socks."
        ),
    )

    class Meta:
        model = TagHabits
        fields = [
            "size_systems", "price_says", "tax_percent", "maker_says", "registered_number",
            "hand_cranked", "second_language", "second_text",
        ]  # fmt: skip
        labels = {
            "price_says": _("The price"),
            "maker_says": _("Name the maker by"),
            "registered_number": _("Registered number"),
            "hand_cranked": _("Say that a hand-cranked machine made it"),
            "second_language": _("Fibre words a second time in"),
            "second_text": _("Words of your own, in any language"),
        }
        help_texts = {
            "second_language": _(
                "Under European Union and Great Britain rules; have somebody who speaks it "
                "read the tag."
            ),
        }

    def clean_tax_percent(self) -> Decimal:
        """Keep the tax within what a tax can be."""
        percent: Decimal = self.cleaned_data["tax_percent"]
        if not 0 <= percent <= 50:
            msg = say(
                "{percent:g} is no tax in percent. Give a figure from 0 to 50, such as 7.5.",
                percent=percent,
            )
            raise forms.ValidationError(msg)
        return percent

    def clean(self) -> dict[str, Any]:
        """See that what she chose can be printed."""
        cleaned = super().clean() or {}
        number = (cleaned.get("registered_number") or "").strip()
        if cleaned.get("maker_says") == TagHabits.MakerSays.NUMBER and not number:
            self.add_error(
                "registered_number", say("Write the number, as it should read on the tag.")
            )
        added = cleaned.get("price_says") == TagHabits.PriceSays.ADDED
        if added and not cleaned.get("tax_percent") and "tax_percent" not in self.errors:
            self.add_error("tax_percent", say("Write the tax that is added to the price."))
        return cleaned


class TagSheetForm(ActForm):
    """A label sheet as she measured it."""

    name = forms.CharField(label=_("Name"), max_length=60)
    page_width_mm = LengthField(label=_("Page width"), least=10, most=2000)
    page_height_mm = LengthField(label=_("Page height"), least=10, most=2000)
    columns = forms.IntegerField(label=_("Labels across"), min_value=1, max_value=100)
    rows = forms.IntegerField(label=_("Labels down"), min_value=1, max_value=100)
    margin_left_mm = LengthField(label=_("Page edge to first label, left"), least=0, most=2000)
    margin_top_mm = LengthField(label=_("Page edge to first label, top"), least=0, most=2000)
    label_width_mm = LengthField(label=_("Label width"), least=10, most=2000)
    label_height_mm = LengthField(label=_("Label height"), least=10, most=2000)
    gap_x_mm = LengthField(label=_("Gap between labels across"), least=0, most=2000, initial=0)
    gap_y_mm = LengthField(label=_("Gap between labels down"), least=0, most=2000, initial=0)
    corner_mm = LengthField(
        label=_("Radius of its round corners"), least=0, most=100, required=False
    )
    hole_mm = LengthField(label=_("Width of its hole"), least=0, most=100, required=False)
    hole_x_mm = LengthField(
        label=_("Left edge to the middle of the hole"), least=0, most=2000, required=False
    )
    hole_y_mm = LengthField(
        label=_("Top edge to the middle of the hole"), least=0, most=2000, required=False
    )
    fold = forms.ChoiceField(label=_("Folded"), choices=Fold.choices, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _shorten(self, "columns", "rows")

    def clean(self) -> dict[str, Any]:
        """Make the grid; what does not fit is said at the field to change."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        try:
            # Corner, hole and fold may be left empty: most labels have none.
            measures = {name: cleaned[name] or ("" if name == "fold" else 0) for name in MEASURES}
            return {**cleaned, "grid": Grid(**measures)}
        except ValueError as problem:
            said: Phrase = problem.args[0]
            name = said.values["field"]
            self.add_error(name if name in self.fields else None, _in_words(said))
            return cleaned


def _in_words(said: Phrase) -> str:
    """Put words where the arithmetic names its arguments."""
    values = {key: MEASURE_WORDS.get(value, value) for key, value in said.values.items()}
    text = str(Phrase(said.one, values))
    return f"{text[0].upper()}{text[1:]}"


def _shorten(form: forms.Form, *names: str) -> None:
    for name in names:
        form.fields[name].widget.attrs["class"] = "short"
