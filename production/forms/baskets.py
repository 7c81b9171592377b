"""Forms of the baskets: ticks, measures, notes."""

import re
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from patterns.fields import LengthField
from production.models import Quality
from production.services.baskets import LENGTHS_MM
from socktrade.forms import ActForm, FigureField

MOST_MINUTES = 24 * 60
_KEYS = re.compile(r"\d{1,15}(?:,\d{1,15})*")
_MEASURE = re.compile(r"(foot|leg)_(\d{1,15})")


def minutes_field() -> FigureField:
    """Return the field for hand time, which nobody has to fill in [min]."""
    return FigureField(
        label=_("Minutes spent"),
        required=False,
        min_value=0,
        max_value=MOST_MINUTES,
        help_text=_("For all of them together. The book learns your pace from it."),
    )


class TicksField(forms.Field):
    """Ticked boxes, each with one key or several with commas between; cleans to a tuple."""

    widget = forms.MultipleHiddenInput

    def to_python(self, value: Any) -> tuple[int, ...]:
        """Return the keys in order, each once."""
        keys: dict[int, None] = {}
        for text in value or []:
            if not _KEYS.fullmatch(text):
                msg = say(
                    "“{text}” is no sock of this page. Tick the boxes on the page.", text=text[:20]
                )
                raise forms.ValidationError(msg)
            keys.update(dict.fromkeys(int(key) for key in text.split(",")))
        return tuple(keys)


class BasketForm(ActForm):
    """Socks of a basket that are done: single ticks, or one tick for many."""

    socks = TicksField(required=False)
    whole = TicksField(required=False)
    minutes = minutes_field()
    back = forms.CharField(required=False, max_length=10, widget=forms.HiddenInput)

    def clean(self) -> dict[str, Any]:
        """Gather the ticks of both kinds under `ids`."""
        cleaned = super().clean() or {}
        both = (*cleaned.get("socks", ()), *cleaned.get("whole", ()))
        cleaned["ids"] = tuple(dict.fromkeys(both))
        if not cleaned["ids"] and not self.errors:
            self.add_error("socks", say("Tick the socks first."))
        return cleaned

    @property
    def ticked(self) -> frozenset[int]:
        """The socks that were ticked, also when the form is refused."""
        return frozenset(getattr(self, "cleaned_data", {}).get("ids", ()))


class WashForm(BasketForm):
    """A load that is washed."""

    together = forms.BooleanField(label=_("They were washed together all the same"), required=False)


class BlockForm(BasketForm):
    """Blocked socks, with the foot and leg of those that were measured."""

    def __init__(self, *args: Any, sock_ids: tuple[int, ...] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        typed = (_MEASURE.fullmatch(name) for name in self.data)
        unit = getattr(kwargs.get("workshop"), "length_unit", "in")
        for pk in {*sock_ids, *(int(match[2]) for match in typed if match)}:
            for name, label in (("foot", _("foot")), ("leg", _("leg"))):
                self.fields[f"{name}_{pk}"] = length_field(name, label, required=False, unit=unit)

    def clean(self) -> dict[str, Any]:
        """Gather the measures by sock; a measure without a tick is asked about."""
        cleaned = super().clean()
        ids = cleaned["ids"]
        cleaned["feet_mm"] = {pk: _whole(cleaned.get(f"foot_{pk}")) for pk in ids}
        legs = {pk: _whole(cleaned.get(f"leg_{pk}")) for pk in ids}
        cleaned["legs_mm"] = {pk: leg for pk, leg in legs.items() if leg is not None}
        for name, length in list(cleaned.items()):
            match = _MEASURE.fullmatch(name)
            if match and length is not None and int(match[2]) not in ids:
                self.add_error(name, say("Measured but not ticked: tick this sock too."))
        return cleaned

    def typed(self, name: str, pk: int) -> str:
        """Return what was typed for one sock: its `foot` or its `leg`."""
        return str(self.data.get(f"{name}_{pk}", ""))


class DryForm(ActForm):
    """A load that is taken in."""

    minutes = minutes_field()


class BackForm(ActForm):
    """Why a sock is put back a step."""

    note = forms.CharField(label=_("Why"), max_length=300, required=False)


class NoteForm(ActForm):
    """How good a sock is, and what is wrong with it."""

    quality = forms.ChoiceField(
        label=_("Quality"), choices=Quality.choices, widget=forms.RadioSelect
    )
    fault = forms.CharField(
        label=_("Fault"),
        max_length=120,
        required=False,
        help_text=_("Named on the tag of a second."),
    )


class MeasureForm(ActForm):
    """The measured foot and leg of one sock."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        unit = getattr(kwargs.get("workshop"), "length_unit", "in")
        self.fields["foot_mm"] = length_field("foot", _("Measured foot"), required=True, unit=unit)
        self.fields["leg_mm"] = length_field("leg", _("Measured leg"), required=False, unit=unit)


def length_field(name: str, label: str, *, required: bool, unit: str) -> LengthField:
    """Return the field of a measured `foot` or `leg`."""
    least, most = LENGTHS_MM[f"{name}_mm"]
    return LengthField(label=label, required=required, length_unit=unit, least=least, most=most)


def _whole(length_mm: float | None) -> int | None:
    return None if length_mm is None else round(length_mm)
