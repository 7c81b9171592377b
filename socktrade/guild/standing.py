"""In which book the work at hand stands: told by the host of a request, or by a command."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from django.conf import settings
from django.core.management.base import CommandError

from socktrade.guild.names import checked_name, schema_of

HALL = ""
"""Where no book's tables are in sight: for asking which books there are."""

_book: ContextVar[str | None] = ContextVar("book", default=None)


class NoBookError(CommandError):
    """The database was asked something while no book was chosen, or one that is not there."""


@contextmanager
def in_book(book: str) -> Iterator[None]:
    """Let everything inside this block happen in one book of the guild.

    Raises:
        ValueError: If no book may have this name.
    """
    token = _book.set(checked_name(book))
    try:
        yield
    finally:
        _book.reset(token)


@contextmanager
def in_hall() -> Iterator[None]:
    """Let everything inside this block see no book's tables."""
    token = _book.set(HALL)
    try:
        yield
    finally:
        _book.reset(token)


def book_name() -> str:
    """Return what the open book is called, in a guild or alone."""
    return _book.get() or settings.GUILD_BOOK or settings.BOOK


def schema_here() -> str:
    """Return the schema to work in, or `HALL`.

    Raises:
        NoBookError: If nobody chose one.
    """
    book = _book.get()
    if book is None:
        book = settings.GUILD_BOOK or None
    if book is None:
        msg = "Name the book with --book NAME. For all books at once see `manage.py guild --help`."
        raise NoBookError(msg)
    return schema_of(book) if book else HALL
