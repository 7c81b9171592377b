"""Forms of mating, pairs and prices."""

import re
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from production.forms.baskets import minutes_field
from production.models import Sock
from production.services.pair_queries import sock_numbered
from socktrade.forms import ActForm, MoneyField

_COUPLE = re.compile(r"(\d{1,15})-(\d{1,15})")
_NUMBER = re.compile(r"(\d{1,9})\s*[-/. ]\s*(\d{1,4})")


class CouplesField(forms.Field):
    """Ticked proposals; cleans to couples of sock keys."""

    widget = forms.MultipleHiddenInput

    def to_python(self, value: Any) -> tuple[tuple[int, int], ...]:
        """Return the couples, each once."""
        couples: dict[tuple[int, int], None] = {}
        for text in value or []:
            match = _COUPLE.fullmatch(text)
            if match is None:
                msg = say(
                    "“{text}” is no proposal of this page. Tick the boxes on the page.",
                    text=text[:20],
                )
                raise forms.ValidationError(msg)
            couples[int(match[1]), int(match[2])] = None
        return tuple(couples)


class SockNumberField(forms.CharField):
    """A sock's number as it is written, e.g. `212-03`; cleans to the sock."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=20, **kwargs)
        self.widget.attrs.update({"class": "short", "autocomplete": "off", "placeholder": "212-03"})

    def clean(self, value: Any) -> Sock:
        """Return the sock, or say that there is none."""
        text = super().clean(value)
        match = _NUMBER.fullmatch(text.strip())
        if match is None:
            msg = say(
                "“{text}” is no number of a sock. Write string and place, like 212-03.", text=text
            )
            raise forms.ValidationError(msg)
        sock = sock_numbered(int(match[1]), int(match[2]))
        if sock is None:
            msg = say("There is no sock {text} in the book.", text=text)
            raise forms.ValidationError(msg)
        return sock


class MateForm(ActForm):
    """Proposals to accept."""

    couples = CouplesField(required=False)
    minutes = minutes_field()

    def clean_couples(self) -> tuple[tuple[int, int], ...]:
        """Ask for at least one."""
        couples: tuple[tuple[int, int], ...] = self.cleaned_data["couples"]
        if not couples:
            msg = say("Tick the pairs first.")
            raise forms.ValidationError(msg)
        return couples

    @property
    def ticked(self) -> frozenset[tuple[int, int]]:
        """The couples that were ticked, also when the form is refused."""
        return frozenset(getattr(self, "cleaned_data", {}).get("couples", ()))


class HandMateForm(ActForm):
    """Two socks chosen by hand."""

    left = SockNumberField(label=_("One sock"))
    right = SockNumberField(label=_("The other sock"))
    note = forms.CharField(
        label=_("Why they go together"),
        max_length=300,
        required=False,
        help_text=_("Needed when they are of two dye lots or versions: it may show."),
    )

    def add_refusal(self, problem: Exception) -> None:
        """Show what is said of the couple at its second sock."""
        if getattr(problem, "field", None) == "couples":
            self.add_error("right", str(problem))
        else:
            super().add_refusal(problem)


class SplitForm(ActForm):
    """Why a pair is taken apart."""

    note = forms.CharField(label=_("Why"), max_length=300, required=False)


class PriceForm(ActForm):
    """What a pattern costs from now on."""

    first = MoneyField(label=_("A first"))
    second = MoneyField(label=_("A second"))
