"""Sentences that can be said again in another language, kept as plain text.

The arithmetic gives reasons in words. A `Phrase` is such a text in English which also keeps
its pattern and its values, so that whoever shows it can say it in the reader's language.
Nothing here knows languages: the one that shows pages hands in how to say a phrase.
"""

import datetime as dt
import re
import string
from collections.abc import Callable, Mapping
from html import escape
from typing import Any, Self

DAY_STYLES = {
    "short": ("{0.day} {0:%b}"),
    "day": ("{0.day} {0:%B}"),
    "long": ("{0.day} {0:%B %Y}"),
    "month": ("{0:%B %Y}"),
    "weekday": ("{0:%A} {0.day} {0:%B}"),
    "dated": ("{0:%a} {0.day} {0:%b %Y}"),
    "clock": ("{0:%H:%M}"),
    "moment": ("{0.day} {0:%B %Y}, {0:%H:%M}"),
}
"""Ways to write a day or a moment inside a phrase: `{sold_on:long}`."""

MEASURE_STYLE = re.compile(r"(mass|yarn)(\+?)(\d?)")
"""Ways to write yarn in a phrase, decimals last: `{grams:mass1}`, `{metres:yarn0}`.

Without a number of decimals it is one, left out where it is 0: `{typed:mass}`.
"""
_METRIC = {"mass": "g", "yarn": "m"}


class Filler(string.Formatter):
    """Puts values into the braces of a pattern; days and measures by the styles above."""

    def format_field(self, value: Any, format_spec: str) -> str:
        """Return one value as English text."""
        if isinstance(value, Phrase):
            return str.__format__(value, format_spec)
        if isinstance(value, dt.date | dt.time) and format_spec in DAY_STYLES:
            return DAY_STYLES[format_spec].format(value)
        if measure := MEASURE_STYLE.fullmatch(format_spec):
            return self.write_measure(value, *measure.groups())
        return str(format(value, format_spec))

    def write_measure(self, value: Any, what: str, sign: str, decimals: str) -> str:
        """Return grams of yarn or metres of it as English text in metric units.

        Args:
            value: Grams [g] or metres [m].
            what: "mass" or "yarn".
            sign: "+" where one stands before what is above 0.
            decimals: How many; nothing for one at most.
        """
        figure = f"{value:{sign}.{decimals or 1}f}"
        return f"{figure if decimals else figure.removesuffix('.0')} {_METRIC[what]}"


_ENGLISH = Filler()


class Phrase(str):
    """An English sentence that is shown in the reader's language.

    Compared, hashed and joined it is its English text. Shown, which is `str()`, inside an
    f-string or in a page, it is what the reader's language makes of it.
    """

    __slots__ = ("many", "number", "one", "values")

    one: str
    many: str
    number: int
    values: Mapping[str, Any]

    def __new__(cls, one: str, values: Mapping[str, Any], many: str = "", number: int = 1) -> Self:
        """Make the English text; `many` is the pattern for every number but 1."""
        pattern = many if many and number != 1 else one
        phrase = super().__new__(cls, _ENGLISH.vformat(pattern, (), values) if values else pattern)
        phrase.one, phrase.many, phrase.number, phrase.values = one, many, number, values
        return phrase

    def __str__(self) -> str:
        return _speaker(self)

    def __format__(self, spec: str) -> str:
        return format(_speaker(self), spec)

    def __html__(self) -> str:
        """Return the text for a page; every sign of markup in it is made harmless."""
        return escape(_speaker(self))

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (self.one, dict(self.values), self.many, self.number)


def _in_english(phrase: Phrase) -> str:
    return str.__str__(phrase)


_speaker: Callable[[Phrase], str] = _in_english


def speak_with(speaker: Callable[[Phrase], str]) -> None:
    """From now on, show every phrase as `speaker` says it."""
    global _speaker  # noqa: PLW0603 - one reader's language for the process, asked at each showing
    _speaker = speaker


def say(pattern: str, /, **values: Any) -> Phrase:
    """Return a phrase from a pattern with `{names}` in braces and their values.

    Args:
        pattern: English text as a literal, so that the catalogue of words can be made from
            the code. Without values it is taken as it stands, braces too.
        values: What stands in the braces: numbers, texts, days or other phrases.
    """
    return Phrase(pattern, values)


def say_count(one: str, many: str, count: int, /, **values: Any) -> Phrase:
    """Return a phrase in the singular or plural; `{count}` is the number.

    Args:
        one: English pattern for exactly 1.
        many: English pattern for every other number.
        count: How many.
        values: What else stands in the braces.
    """
    return Phrase(one, {"count": count, **values}, many, count)


def say_list(parts: list[str] | tuple[str, ...], last: str = "") -> Phrase:
    """Return texts one after another with commas, e.g. for the end of a sentence.

    Args:
        parts: Texts or phrases.
        last: What stands before the last one instead of a comma, such as " and ".
    """
    if last and len(parts) > 1:
        head = say_list(parts[:-1])
        return Phrase("{head}{last}{tail}", {"head": head, "last": last, "tail": parts[-1]})
    names = [f"part{number}" for number in range(len(parts))]
    pattern = ", ".join(f"{{{name}}}" for name in names)
    return Phrase(pattern, dict(zip(names, parts, strict=True)))
