"""What is asked of the plans: hours, ends of seasons, wage and fees, days of a sheet."""

import datetime as dt
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from patterns.models import Design
from sales.forms.sells import DayField, DayRange
from sales.services.season import DAYS_AHEAD
from socktrade.forms import ActForm, FigureField, MoneyField, RateField
from socktrade.models import Workshop

WEEK_HOURS = 168
SEASON_HOURS = 2000


class HoursForm(forms.Form):
    """How many hours there are before the market."""

    hours = FigureField(label=_("Hours in all"), min_value=0, max_value=SEASON_HOURS)
    machine = FigureField(
        label=_("Of these, hours at the machine before the last wash"),
        min_value=0,
        max_value=SEASON_HOURS,
    )

    def clean(self) -> dict[str, Any]:
        """Refuse more hours at the machine than there are."""
        cleaned = super().clean() or {}
        hours, machine = cleaned.get("hours"), cleaned.get("machine")
        if hours is not None and machine is not None and machine > hours:
            self.add_error(
                "machine", say("That is more than the {hours:g} hours in all.", hours=hours)
            )
        return cleaned


class WeekHoursForm(forms.Form):
    """How many hours a week to plan the season with."""

    hours = FigureField(label=_("Hours a week"), min_value=0, max_value=WEEK_HOURS)


class EndForm(ActForm):
    """The last market day of a season; empty forgets it."""

    ends_on = DayField(label=_("Last market day"), required=False)

    def __init__(self, *args: Any, today: dt.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["ends_on"].latest = today + dt.timedelta(days=DAYS_AHEAD)


class DesignEndForm(EndForm):
    """The day until which a design sells."""

    design = forms.ModelChoiceField(
        queryset=Design.objects.order_by("name"),
        label=_("Design"),
        empty_label=_("Choose the design"),
    )

    field_order = ["design", "ends_on"]


class FiguresForm(ActForm):
    """Her wage, fees and costs, with which every pair is reckoned."""

    wage_minor = MoneyField(label=_("An hour of your own work is worth"))
    packaging_minor = MoneyField(label=_("Tag, band and bag of a pair"))
    yarn_waste_percent = forms.IntegerField(
        label=_("Yarn lost beside a pair [% of its grams]"), min_value=0, max_value=100
    )
    fee_percent = RateField(
        label=_("Card fee [% of the price]"), min_value=0, max_value=50, decimal_places=3
    )
    fee_each_minor = MoneyField(label=_("Card fee, fixed part of a sale"))
    overhead_minor = MoneyField(
        label=_("Fixed costs of a year"), help_text=_("Insurance, permits, needles, repairs.")
    )
    day_cost_minor = MoneyField(
        label=_("Costs of a market day beside its fee"), help_text=_("Fuel, parking, a helper.")
    )
    carried_percent = forms.IntegerField(
        label=_("Worth of a pair left over at the season's end [% of its yarn]"),
        min_value=0,
        max_value=100,
    )
    memory_percent = forms.IntegerField(
        label=_("Evidence kept from one market day to the next [%]"),
        min_value=50,
        max_value=100,
        help_text=_("100 forgets nothing; 95 leans on about the last 20 market days."),
    )

    @classmethod
    def of(cls, workshop: Workshop) -> "FiguresForm":
        """Return the form with the figures as they are."""
        names = [name for name in cls.base_fields if name != "key"]
        return cls(workshop=workshop, initial={n: getattr(workshop, n) for n in names})

    def figures(self) -> dict[str, Any]:
        """Return the figures by the name of their setting."""
        return {name: value for name, value in self.cleaned_data.items() if name != "key"}


class TargetForm(forms.Form):
    """What a pair should leave beyond every cost."""

    profit = MoneyField(label=_("What a pair should leave beyond all costs"), required=False)

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["profit"].currency = currency


class SheetForm(DayRange):
    """The days of a sheet; it has both ends."""

    since = DayField(label=_("From"))
    until = DayField(label=_("To, and the stock count as of"))
