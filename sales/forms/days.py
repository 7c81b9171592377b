"""Forms of one market day: changed, opened, closed, settled."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from production.models import Quality
from sales.forms.markets import TimeInput
from sales.forms.shelf import PairNumberField, figure_field
from sales.models import CountCure, MarketDay, Payment, Sale
from sales.services.days import MOST_COUNTED, DayFacts
from sales.services.daysheet import KindRow
from socktrade.forms import ActForm, FigureField, MoneyField


class DayFactsForm(ActForm):
    """Hours, fee and factor of one day."""

    opens = forms.TimeField(label=_("Opens"), widget=TimeInput())
    closes = forms.TimeField(label=_("Closes"), widget=TimeInput())
    fee = MoneyField(label=_("Stall fee"), required=False)
    factor = FigureField(
        label=_("How busy against a normal day"),
        min_value=0.05,
        max_value=20,
        help_text=_(
            "1 is a normal day, 0.5 half of one; say it before anything is sold. What to "
            "bring follows from it."
        ),
    )
    note = forms.CharField(label=_("Note"), max_length=300, required=False)

    def __init__(self, *args: Any, day: MarketDay, **kwargs: Any) -> None:
        same = ("opens", "closes", "factor", "note")
        initial = {name: getattr(day, name) for name in same} | {"fee": day.fee_minor}
        super().__init__(*args, initial=initial, **kwargs)

    @property
    def facts(self) -> DayFacts:
        """What was typed, as the service takes it."""
        typed = self.cleaned_data
        return DayFacts(
            opens=typed["opens"],
            closes=typed["closes"],
            fee_minor=typed["fee"] or 0,
            factor=typed["factor"],
            note=typed["note"],
        )


class CancelForm(ActForm):
    """Why a day falls out."""

    reason = forms.CharField(
        label=_("Why"),
        max_length=120,
        required=False,
        help_text=_("Such as storm, ill, called off."),
    )


class OpenForm(ActForm):
    """The money in the tin at the start."""

    float = MoneyField(label=_("Money in the tin"), help_text=_("What you start the day with."))


class CloseForm(ActForm):
    """Count of pairs and cash, told before the book shows what it expects."""

    counted = MoneyField(
        label=_("Cash in the tin"), help_text=_("All of it, with what was in it in the morning.")
    )
    cards = MoneyField(
        label=_("Cards, by the reader's own sum"),
        required=False,
        help_text=_("Leave empty if there is none."),
    )
    opens = forms.TimeField(label=_("Opened"), required=False, widget=TimeInput())
    closes = forms.TimeField(label=_("Closed"), required=False, widget=TimeInput())
    fee = MoneyField(label=_("Stall fee paid"), required=False)
    requests_noted = forms.BooleanField(
        label=_("I noted what was asked for today"),
        required=False,
        initial=True,
        help_text=_(
            "Untick it if there was no time for that; then silence is not read as no demand."
        ),
    )
    weather = forms.CharField(label=_("Weather"), max_length=60, required=False)
    note = forms.CharField(label=_("Note"), max_length=300, required=False)

    def __init__(
        self,
        *args: Any,
        kinds: list[KindRow],
        day: MarketDay,
        against_book: bool = False,
        **kwargs: Any,
    ) -> None:
        initial = {"opens": day.opens, "closes": day.closes, "fee": day.fee_minor}
        super().__init__(*args, initial=initial, **kwargs)
        self.kinds = [kind for kind in kinds if kind.pattern]
        for kind in self.kinds:
            self.fields[kind.field] = figure_field(f"{kind.name}, {Quality(kind.quality).label}")
            if against_book:
                self.fields[kind.field].help_text = say("The book has {pairs}.", pairs=kind.pairs)

    @property
    def count_fields(self) -> list[forms.BoundField]:
        """The fields of the count back."""
        return [self[kind.field] for kind in self.kinds]

    @property
    def left(self) -> dict[tuple[int, str], int]:
        """What was counted, by pattern id and quality; an empty field was not counted."""
        counted = {
            (kind.pattern.pk, kind.quality): self.cleaned_data[kind.field]
            for kind in self.kinds
            if kind.pattern
        }
        return {kind: figure for kind, figure in counted.items() if figure is not None}

    @property
    def facts(self) -> DayFacts:
        """Hours, fee and note as they turned out; what was left empty stays as planned."""
        typed = self.cleaned_data
        return DayFacts(
            opens=typed["opens"],
            closes=typed["closes"],
            fee_minor=typed["fee"],
            note=typed["note"],
        )


class CureForm(ActForm):
    """What became of pairs that were missing at the count."""

    how = forms.ChoiceField(
        choices=[(how.value, how.label) for how in (CountCure.How.SOLD, CountCure.How.LOST)]
    )
    pairs = forms.IntegerField(label=_("Pairs"), min_value=1, max_value=MOST_COUNTED)
    paid_by = forms.ChoiceField(
        label=_("Paid by"), choices=Payment.choices, initial=Payment.CASH, required=False
    )


class UnpackedForm(ActForm):
    """The pair that was on the table without being packed."""

    pair = PairNumberField(label=_("Number of the pair"))


class SlipForm(ActForm):
    """The purchase that never was."""

    sale = forms.ModelChoiceField(
        queryset=Sale.objects.standing(),
        error_messages={
            "required": _("Choose the purchase."),
            "invalid_choice": _("It is undone."),
        },
    )


class SettleForm(ActForm):
    """A word on what a disagreement was."""

    note = forms.CharField(label=_("What it was"), max_length=300)
