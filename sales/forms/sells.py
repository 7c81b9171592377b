"""The question asked of “what sells”: which days, which market, which two sizes."""

import datetime as dt
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from sales.models import Market
from sales.services.days import DAYS_AHEAD, EARLIEST


class DayField(forms.DateField):
    """A date that a market day can have."""

    def __init__(self, *, latest: dt.date | None = None, **kwargs: Any) -> None:
        self.latest = latest
        kwargs.setdefault("widget", forms.DateInput(attrs={"type": "date"}))
        kwargs.setdefault(
            "error_messages", {"invalid": _("That is no date. Write it like 2026-05-07.")}
        )
        super().__init__(**kwargs)

    def clean(self, value: Any) -> dt.date | None:
        """Return the date; refuse one before any book or years ahead."""
        date: dt.date | None = super().clean(value)
        if date is not None and (date < EARLIEST or (self.latest and date > self.latest)):
            msg = say("Give a date from the year 2000 to two years ahead.")
            raise forms.ValidationError(msg)
        return date


class DayRange(forms.Form):
    """From which day to which; an end left empty is open."""

    since = DayField(label=_("From"), required=False)
    until = DayField(label=_("To"), required=False)

    def __init__(self, *args: Any, today: dt.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("since", "until"):
            self.fields[name].latest = today + dt.timedelta(days=DAYS_AHEAD)

    def clean(self) -> dict[str, Any]:
        """Refuse a range that ends before it starts."""
        cleaned = super().clean() or {}
        since, until = cleaned.get("since"), cleaned.get("until")
        if since and until and since > until:
            self.add_error("until", say("This lies before the start of the range."))
        return cleaned


class SellsForm(DayRange):
    """Which market days to read. Empty fields leave the range open."""

    market = forms.ModelChoiceField(
        label=_("Market"),
        queryset=Market.objects.order_by("name"),
        required=False,
        empty_label=_("all markets"),
    )
