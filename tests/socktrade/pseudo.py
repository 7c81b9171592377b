"""A language that nobody speaks: every translated word stands in brackets.

Text of a page outside the brackets, and not from the book itself, was never marked for
translation.
"""

import re
from collections.abc import Iterable, Iterator
from html.parser import HTMLParser

from django.apps import apps
from django.db.models import CharField, JSONField, TextField
from django.utils.translation import trans_real

CODE = "xx"
OPEN, SHUT = "⟦", "⟧"
# Names of units, file kinds and standards are the same in every language of Latin letters.
SAME_EVERYWHERE = frozenset([
    "in", "cm", "mm", "m", "g", "kg", "oz", "lb", "yd", "min", "h", "tex", "Nm", "Ne", "PDF",
    "CSV", "JSON", "QR", "URL", "US", "UK", "EU", "UA", "ISO", "Socktrade", "px", "USD", "EUR",
    "GBP", "English", "Deutsch", "UTC", "WPI", "den", "lea", "RN", "CFR",
])  # fmt: skip
_WORDS = re.compile(r"[^\W\d_]{2,}")
_SPOKEN = ("aria-label", "title", "placeholder", "alt", "data-label", "label")
_VOID = ("br", "img", "input", "hr", "wbr")
_UNREAD = ("script", "style", "svg-data", "code", "pre")


class Pseudo(trans_real.DjangoTranslation):
    """Answers every message in brackets."""

    def __init__(self) -> None:
        super().__init__("en")

    def to_language(self) -> str:
        """Return the code of the language."""
        return CODE

    def gettext(self, message: str) -> str:
        """Return the message in brackets; patterns of days stay as they are."""
        context, _, words = message.rpartition("\x04")
        return words if context == "date" else f"{OPEN}{words}{SHUT}"

    def ngettext(self, one: str, many: str, number: int) -> str:
        """Return the right form in brackets."""
        return self.gettext(one if number == 1 else many)


class _Reader(HTMLParser):
    """Gathers what is read on a page: its text, and the names for a screen reader.

    What says a language of its own is left out: the words of tags follow their rules.
    """

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.text: list[str] = []
        self.spoken: list[str] = []
        self._unread = 0
        self._other: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._unread += tag in _UNREAD
        other = self._other or (tag != "html" and dict(attrs).get("lang"))
        if other and tag not in _VOID:
            self._other.append(tag)
        self.text.append("\n")
        self.spoken += [value for name, value in attrs if name in _SPOKEN and value]

    def handle_endtag(self, tag: str) -> None:
        self._unread -= tag in _UNREAD
        if self._other:
            self._other.pop()
        self.text.append("\n")

    def handle_data(self, data: str) -> None:
        if not self._unread and not self._other:
            self.text.append(data)


def unmarked(page: str, known: Iterable[str]) -> list[str]:
    """Return every piece of a page's text that nobody marked for translation.

    Args:
        page: The page in the language `CODE`.
        known: Texts of the book itself, longest first.
    """
    reader = _Reader()
    reader.feed(page)
    pieces = [*_outside("".join(reader.text)), *(p for s in reader.spoken for p in _outside(s))]
    return [piece for piece in pieces if _english(piece, known)]


def _outside(text: str) -> Iterator[str]:
    depth, kept = 0, []
    for sign in text:
        depth += (sign == OPEN) - (sign == SHUT)
        kept.append(sign if not depth else "\n")
    for line in "".join(kept).split("\n"):
        if line.strip(f" \t{SHUT}"):
            yield line.strip(f" \t{SHUT}")


def _english(piece: str, known: Iterable[str]) -> bool:
    for value in known:
        if value in piece:
            piece = piece.replace(value, " ")
    return any(word not in SAME_EVERYWHERE for word in _WORDS.findall(piece))


def texts_of_book() -> list[str]:
    """Return every text that somebody typed into the book, longest first."""
    found: set[str] = set()
    for model in apps.get_models():
        for field in model._meta.concrete_fields:
            if isinstance(field, CharField | TextField) and not field.choices:
                found.update(model.objects.values_list(field.attname, flat=True).distinct())
            elif isinstance(field, JSONField):
                for value in model.objects.values_list(field.attname, flat=True):
                    found.update(_inside(value))
    return sorted((text for text in found if text and _WORDS.search(text)), key=len, reverse=True)


def _inside(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for part in value.values():
            yield from _inside(part)
    elif isinstance(value, list):
        for part in value:
            yield from _inside(part)
