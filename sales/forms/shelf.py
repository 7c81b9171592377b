"""Forms of the shelf: the blind count and what becomes of its differences."""

from collections.abc import Iterator, Sequence
from typing import Any

from django import forms
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from production.models import Pair, Quality
from sales.errors import SalesError
from sales.services.shelf import MOST_COUNTED, ShelfKind
from sales.services.shelfscan import pairs_read
from sales.services.till import find_pair
from socktrade.forms import ActForm


def figure_field(label: str, *, most: int = MOST_COUNTED, signs: int = 9) -> forms.IntegerField:
    """Return a field for a counted figure; empty means "not counted"."""
    wanted = format_lazy(_("Give a whole number from 0 to {most}, or leave it empty."), most=most)
    return forms.IntegerField(
        label=label,
        required=False,
        min_value=0,
        max_value=most,
        error_messages=dict.fromkeys(("invalid", "min_value", "max_value"), wanted),
        widget=forms.TextInput(
            attrs={
                "inputmode": "numeric",
                "autocomplete": "off",
                "class": "figure",
                "maxlength": signs,
            }
        ),
    )


class CountForm(ActForm):
    """One empty field for each kind; what the book expects is not shown."""

    def __init__(self, *args: Any, kinds: Sequence[ShelfKind], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kinds = kinds
        for kind in kinds:
            label = f"{kind.pattern}, {Quality(kind.quality).label}"
            self.fields[kind.key] = figure_field(label)

    def rows(self) -> Iterator[tuple[ShelfKind, forms.BoundField]]:
        """Yield each kind with its field."""
        return ((kind, self[kind.key]) for kind in self.kinds)

    @property
    def counted(self) -> dict[tuple[int, str], int]:
        """What was counted, by pattern id and quality; empty fields are left out."""
        return {
            (kind.pattern.pk, kind.quality): self.cleaned_data[kind.key]
            for kind in self.kinds
            if self.cleaned_data.get(kind.key) is not None
        }


class ScanForm(ActForm):
    """The numbers of the pairs that lie on the shelf."""

    numbers = forms.CharField(
        label=_("Numbers on the tags"),
        max_length=100_000,
        help_text=_("One after another, as a scanner or your thumb types them."),
        error_messages={"required": _("Scan or type the number of at least one pair.")},
        widget=forms.Textarea(
            attrs={"rows": 8, "autocomplete": "off", "autofocus": True, "spellcheck": "false"}
        ),
    )
    whole = forms.BooleanField(label=_("That was the whole shelf"), required=False, initial=True)

    def clean_numbers(self) -> list[Pair]:
        """Return the pairs, or say which numbers are none."""
        try:
            return pairs_read(self.cleaned_data["numbers"])
        except SalesError as refusal:
            raise forms.ValidationError(str(refusal)) from refusal


class MissingForm(ActForm):
    """Pairs of a count that were not found, and what may have become of them."""

    pairs = forms.ModelMultipleChoiceField(
        queryset=Pair.objects.none(),
        error_messages={
            "required": _("Tick the pairs that are missing."),
            "invalid_choice": _("One of these pairs is not on the shelf any more. Look again."),
        },
    )
    reason = forms.CharField(
        label=_("What do you think became of them?"),
        max_length=300,
        help_text=_("A few words: given away, eaten by moths, not found."),
        error_messages={"required": _("Say in a few words what you think became of them.")},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["pairs"].queryset = Pair.objects.on_shelf()


class PairNumberField(forms.CharField):
    """A pair number as typed or scanned; cleans to the pair."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", 200)
        kwargs.setdefault("error_messages", {"required": _("Type the number on the tag.")})
        super().__init__(**kwargs)
        self.widget.attrs.update({"autocomplete": "off", "class": "short", "placeholder": "P1042"})

    def clean(self, value: Any) -> Pair:
        """Return the pair with this number."""
        text = super().clean(value)
        pair = find_pair(text)
        if pair is None:
            msg = say(
                "“{text}” is no pair in the book. Write the number on its tag, like P1042.",
                text=text,
            )
            raise forms.ValidationError(msg)
        return pair


class FoundForm(ActForm):
    """A pair that lies on the shelf though the book does not have it there."""

    number = PairNumberField(label=_("Number of the pair you found"))
