"""Forms: markets, their taxes and dated days."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from sales.models import Market
from sales.services.season import HIGHEST_FEE_MINOR
from socktrade.forms import ActForm, FigureField, MoneyField, RateField

TAX_FIELDS = ("tax_percent", "socks_taxed", "tax_included")


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

    name = forms.CharField(label=_("Name"), max_length=80)
    place = forms.CharField(label=_("Place"), max_length=120, required=False)
    opens = forms.TimeField(label=_("Opens"), widget=TimeInput())
    closes = forms.TimeField(label=_("Closes"), widget=TimeInput())
    fee = MoneyField(label=_("Stall fee for a day"), required=False)
    tax_percent = RateField(
        label=_("Sales tax there, in percent"),
        min_value=0,
        max_value=50,
        decimal_places=3,
        max_digits=6,
        required=False,
        help_text=_("Such as 5 or 8.875; nothing is built in. Leave empty for none."),
    )
    socks_taxed = forms.BooleanField(
        label=_("Socks are taxed there"),
        required=False,
        help_text=_("Some places tax clothing not at all. Untick it there."),
    )
    tax_included = forms.BooleanField(label=_("Prices on the tags include the tax"), required=False)
    once = forms.DateField(
        label=_("A fair, only once? Its date"),
        required=False,
        widget=DateInput(),
        help_text=_("Leave empty for a market that comes again."),
    )
    factor = FigureField(
        label=_("How busy against a normal day"),
        min_value=0.05,
        max_value=20,
        help_text=say("1 is a normal day, {half} half of one, 2 twice as busy.", half=0.5),
    )
    places_on_table = forms.IntegerField(
        label=_("Pairs the table holds"), min_value=1, max_value=2000
    )

    def __init__(self, *args: Any, market: Market | None = None, **kwargs: Any) -> None:
        self.market = market or Market()
        kwargs.setdefault("initial", self._initial())
        super().__init__(*args, **kwargs)
        if self.market.pk:
            # The tax of a market in the book changes by date, on a page of its own.
            for name in (*TAX_FIELDS, "once"):
                del self.fields[name]

    def _initial(self) -> dict[str, Any]:
        same = (
            "name", "place", "opens", "closes", "socks_taxed", "tax_included", "factor",
            "places_on_table",
        )  # fmt: skip
        initial = {name: getattr(self.market, name) for name in same}
        initial["fee"] = self.market.fee_minor if self.market.pk else None
        return initial

    def clean_name(self) -> str:
        """Refuse a name another market has."""
        name: str = self.cleaned_data["name"].strip()
        if Market.objects.filter(name__iexact=name).exclude(pk=self.market.pk).exists():
            msg = say("There is a market called {name} already.", name=name)
            raise forms.ValidationError(msg)
        return name

    def clean_fee(self) -> int:
        """Refuse a fee no stall costs."""
        fee: int = self.cleaned_data["fee"] or 0
        if fee > HIGHEST_FEE_MINOR:
            msg = say("No stall costs that much for a day. Check the amount.")
            raise forms.ValidationError(msg)
        return fee

    def clean(self) -> dict[str, Any]:
        """Refuse hours that end before they begin."""
        super().clean()
        opens, closes = self.cleaned_data.get("opens"), self.cleaned_data.get("closes")
        if opens and closes and closes <= opens:
            self.add_error("closes", say("A market closes after it opens."))
        return self.cleaned_data

    @property
    def figures(self) -> dict[str, Any]:
        """What was typed, by the names of the market's columns."""
        apart = ("key", "fee", "once")
        figures = {k: v for k, v in self.cleaned_data.items() if k not in apart}
        figures["fee_minor"] = self.cleaned_data["fee"]
        if "tax_percent" in figures:
            figures["tax_percent"] = figures["tax_percent"] or 0
        return figures


class TaxForm(ActForm):
    """Another tax at a market from a date on."""

    since = forms.DateField(label=_("Holds from"), widget=DateInput())
    tax_percent = RateField(
        label=_(
"Sales tax there, in percent"), min_value=0, max_value=50, decimal_places=3,
        max_digits=6,
    )  # fmt: skip
    socks_taxed = forms.BooleanField(label=_("Socks are taxed there"), required=False)
    tax_included = forms.BooleanField(label=_("Prices on the tags include the tax"), required=False)


class DayForm(ActForm):
    """One dated day."""

    date = forms.DateField(label=_("Date"), widget=DateInput())
    factor = FigureField(
        label=_("How busy against a normal day"),
        min_value=0.05,
        max_value=20,
        required=False,
        help_text=_("Leave empty for what is usual at this market."),
    )


class WeeklyForm(ActForm):
    """The same weekday, week after week."""

    first = forms.DateField(label=_("First day"), widget=DateInput())
    last = forms.DateField(label=_("Last day, or any day after it"), widget=DateInput())
