"""Forms of a day on paper: the tally sheet in its own order, and the stubs."""

from collections.abc import Iterator, Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from sales.forms.shelf import figure_field
from sales.models import Payment
from sales.services.paper import WAYS, SheetRow, SheetTotals
from sales.services.tiles import Tile
from socktrade.forms import ActForm, MoneyField

MOST_IN_ROW = 200
STROKES = {"cash": _("cash"), "card": _("card"), "asked": _("asked")}


class SheetForm(ActForm):
    """A row for each kind, in the order of the printed sheet, and the sums at its foot."""

    cash_total = MoneyField(
        label=_("Cash for socks"),
        required=False,
        help_text=_("All sums are checked against the tags."),
    )
    card_total = MoneyField(label=_("Cards"), required=False)
    spread = forms.BooleanField(
        label=_("Some went at another price: the sums are right"), required=False
    )
    words = forms.CharField(
        label=_("Other requests, one on each line"),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(self, *args: Any, tiles: Sequence[Tile], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.tiles = tiles
        for tile in tiles:
            for stroke, name in STROKES.items():
                self.fields[f"{stroke}-{tile.key}"] = figure_field(
                    f"{name}: {tile.name}", most=MOST_IN_ROW, signs=5
                )

    def rows(self) -> Iterator[tuple[Tile, list[forms.BoundField]]]:
        """Yield each kind with its fields."""
        for tile in self.tiles:
            yield tile, [self[f"{stroke}-{tile.key}"] for stroke in STROKES]

    def clean_words(self) -> list[str]:
        """Split the requests, one on each line."""
        lines = [line.strip() for line in self.cleaned_data["words"].splitlines()]
        if any(len(line) > 120 for line in lines):
            msg = say("A request is at most 120 letters long; put each on a line of its own.")
            raise forms.ValidationError(msg)
        return [line for line in lines if line]

    @property
    def sheet(self) -> list[SheetRow]:
        """The strokes as the service takes them."""
        return [
            SheetRow(tile, *(self.cleaned_data[f"{stroke}-{tile.key}"] or 0 for stroke in STROKES))
            for tile in self.tiles
        ]

    @property
    def totals(self) -> SheetTotals:
        """The sums at the foot of the sheet."""
        return SheetTotals(self.cleaned_data["cash_total"], self.cleaned_data["card_total"])


class StubsForm(ActForm):
    """Numbers from the stubs, by how they were paid."""

    cash = forms.CharField(label=_("Stubs paid in cash"), required=False, max_length=4000)
    card = forms.CharField(label=_("Stubs paid by card"), required=False, max_length=4000)
    anyway = forms.BooleanField(
        label=_("Record them even where the book has one sold already"), required=False
    )

    @property
    def stubs(self) -> dict[Payment, str]:
        """The numbers by how they were paid."""
        return {way: self.cleaned_data[way.value] for way in WAYS}
