"""Fields for figures a maker reads off a ruler, a shoe box or a yarn band."""

import re
from typing import Any

from django import forms
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from patterns.core.figures import read_number
from patterns.core.refusal import RefusedError
from patterns.core.words import say
from patterns.core.yarncount import tex_of

A_NUMBER = _("a number")


class NumberField(forms.CharField):
    """A number as people write it (9.5, 9,5, 9 1/2, 9½); cleans to a float."""

    def __init__(
        self,
        *,
        least: float,
        most: float,
        what: str | Promise = A_NUMBER,
        such: str | Promise = "9 1/2",
        **kwargs: Any,
    ) -> None:
        self.least, self.most, self.what, self.such = least, most, what, such
        kwargs.setdefault("max_length", 20)
        super().__init__(**kwargs)
        self.widget.attrs.update({"inputmode": "decimal", "autocomplete": "off", "class": "short"})

    def clean(self, value: Any) -> Any:
        """Return the number, or None for an empty field that may be empty."""
        text = super().clean(value)
        if text in self.empty_values:
            return None
        number = self.read(text)
        if not self.least <= number <= self.most:
            msg = say(
                "“{text}” is out of reach here; give {least:g} to {most:g}.",
                text=text,
                least=self.least,
                most=self.most,
            )
            raise forms.ValidationError(msg)
        return number

    def read(self, text: str) -> float:
        """Return the number in a text."""
        plain = re.sub(r"\s+", " ", text).strip()
        try:
            return read_number(plain)
        except ValueError as problem:
            msg = say(
                "“{text}” is not {what}. Write it like {such}.",
                text=text,
                what=self.what,
                such=self.such,
            )
            raise forms.ValidationError(msg) from problem


class EaseField(NumberField):
    """How much smaller around than the foot or leg a sock is knitted [%]."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            least=0,
            most=25,
            required=False,
            initial="10",
            what=_("a percentage"),
            such="10",
            **kwargs,
        )


class YarnCountField(forms.CharField):
    """A yarn count in any usual notation; cleans to tex."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", 60)
        super().__init__(**kwargs)
        self.widget.attrs.update({"autocomplete": "off", "placeholder": "100 g / 400 m"})

    def clean(self, value: Any) -> Any:
        """Return tex; a count open to two readings is asked back."""
        text = super().clean(value)
        if text in self.empty_values:
            return None
        try:
            return tex_of(text)
        except RefusedError as problem:
            raise forms.ValidationError(problem.about(text).reason) from problem
