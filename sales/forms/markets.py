"""Forms: markets, their days, packing, opening and closing."""

from typing import Any

from django import forms

from sales.models import Market
from sales.services.days import MOST_COUNTED
from sales.services.daysheet import KindRow
from socktrade.forms import ActForm, MoneyField

HIGHEST_FEE_MINOR = 10_000_000


class DateInput(forms.DateInput):
    """The browser's own date field."""

    input_type = "date"

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(format="%Y-%m-%d", **kwargs)


class TimeInput(forms.TimeInput):
    """The browser's own time field."""

    input_type = "time"

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(format="%H:%M", **kwargs)


class MarketForm(ActForm):
    """What she knows of a market. Rates are hers to type; none are built in."""

    name = forms.CharField(label="Name", max_length=80)
    place = forms.CharField(label="Place", max_length=120, required=False)
    opens = forms.TimeField(label="Opens", widget=TimeInput())
    closes = forms.TimeField(label="Closes", widget=TimeInput())
    fee = MoneyField(label="Stall fee for a day", required=False)
    tax_percent = forms.DecimalField(
        label="Sales tax there, in percent",
        min_value=0,
        max_value=50,
        decimal_places=3,
        max_digits=6,
        required=False,
        help_text="Such as 5 or 8.875; nothing is built in. Leave empty for none.",
    )
    tax_included = forms.BooleanField(label="Prices on the tags include the tax", required=False)
    factor = forms.FloatField(
        label="How busy against a normal day",
        min_value=0.05,
        max_value=20,
        help_text="1 is a normal day, 0.5 half of one, 2 twice as busy.",
    )
    places_on_table = forms.IntegerField(label="Pairs the table holds", min_value=1, max_value=2000)

    def __init__(self, *args: Any, market: Market | None = None, **kwargs: Any) -> None:
        self.market = market or Market()
        kwargs.setdefault("initial", self._initial())
        super().__init__(*args, **kwargs)

    def _initial(self) -> dict[str, Any]:
        same = ("name", "place", "opens", "closes", "tax_included", "factor", "places_on_table")
        initial = {name: getattr(self.market, name) for name in same}
        initial["fee"] = self.market.fee_minor if self.market.pk else None
        initial["tax_percent"] = (
            f"{self.market.tax_percent.normalize():f}" if self.market.tax_percent else None
        )
        return initial

    def clean_name(self) -> str:
        """Refuse a name another market has."""
        name: str = self.cleaned_data["name"].strip()
        if Market.objects.filter(name__iexact=name).exclude(pk=self.market.pk).exists():
            msg = f"There is a market called {name} already."
            raise forms.ValidationError(msg)
        return name

    def clean_fee(self) -> int:
        """Refuse a fee no stall costs."""
        fee: int = self.cleaned_data["fee"] or 0
        if fee > HIGHEST_FEE_MINOR:
            msg = "No stall costs that much for a day. Check the amount."
            raise forms.ValidationError(msg)
        return fee

    def clean(self) -> dict[str, Any]:
        """Refuse hours that end before they begin."""
        super().clean()
        opens, closes = self.cleaned_data.get("opens"), self.cleaned_data.get("closes")
        if opens and closes and closes <= opens:
            self.add_error("closes", "A market closes after it opens.")
        return self.cleaned_data

    @property
    def figures(self) -> dict[str, Any]:
        """What was typed, by the names of the market's columns."""
        figures = {k: v for k, v in self.cleaned_data.items() if k not in ("key", "fee")}
        figures["fee_minor"] = self.cleaned_data["fee"]
        figures["tax_percent"] = figures["tax_percent"] or 0
        return figures


class DayForm(ActForm):
    """One dated day."""

    date = forms.DateField(label="Date", widget=DateInput())
    factor = forms.FloatField(
        label="How busy against a normal day",
        min_value=0.05,
        max_value=20,
        required=False,
        help_text="Leave empty for what is usual at this market.",
    )


class WeeklyForm(ActForm):
    """The same weekday, week after week."""

    first = forms.DateField(label="First day", widget=DateInput())
    last = forms.DateField(label="Last day, or any day after it", widget=DateInput())


class PackForm(ActForm):
    """Pairs that were ticked."""

    pairs = forms.TypedMultipleChoiceField(coerce=int, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        sent = self.data.getlist("pairs") if self.is_bound else []
        # Whatever number was sent may be asked for; the service says which pairs can move.
        self.fields["pairs"].choices = [(pk, pk) for pk in sent if pk.isdecimal() and len(pk) < 19]


class NumbersForm(ActForm):
    """Pair numbers, typed or scanned one after another."""

    numbers = forms.CharField(
        label="Pair numbers",
        max_length=2000,
        help_text="Type or scan, as many as you like: P1042 P1043",
        widget=forms.TextInput(
            attrs={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}
        ),
    )


class OpenForm(ActForm):
    """The money in the tin at the start."""

    float = MoneyField(label="Money in the tin", help_text="What you start the day with.")


class CloseForm(ActForm):
    """Count of pairs and cash, told before the book shows what it expects."""

    counted = MoneyField(
        label="Cash in the tin", help_text="All of it, with what was in it in the morning."
    )
    requests_noted = forms.BooleanField(
        label="I noted what was asked for today",
        required=False,
        initial=True,
        help_text="Untick it if there was no time for that; then silence is not read as no demand.",
    )
    weather = forms.CharField(label="Weather", max_length=60, required=False)
    note = forms.CharField(label="Note", max_length=300, required=False)

    def __init__(self, *args: Any, kinds: list[KindRow], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kinds = [kind for kind in kinds if kind.pattern]
        for kind in self.kinds:
            self.fields[kind.field] = forms.IntegerField(
                label=f"{kind.name}, {kind.quality}",
                min_value=0,
                max_value=MOST_COUNTED,
                required=False,
                widget=forms.NumberInput(attrs={"class": "short", "inputmode": "numeric"}),
            )

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


class SettleForm(ActForm):
    """A word on what a disagreement was."""

    note = forms.CharField(label="What it was", max_length=300)
