#!/usr/bin/env python3
"""Socktrade's command line."""

import os
import sys

BOOK_FLAGS = {"--demo": "demo", "--demo-metric": "demo-metric"}


def main() -> None:
    """Choose the book that the flags name, then hand over to Django."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "socktrade.settings")
    for flag, book in BOOK_FLAGS.items():
        # Settings are read before any command runs, so the book is chosen here,
        # and every command (check_books, backup ...) takes the same flags.
        if flag in sys.argv[1:]:
            sys.argv.remove(flag)
            os.environ["SOCKTRADE_BOOK"] = book
    _choose_book_of_guild()
    try:
        from django.core.management import execute_from_command_line
    except ImportError:
        sys.exit(
            "Django is not installed here. README.md has the one line that sets up "
            "a virtual environment and starts the app."
        )
    execute_from_command_line(sys.argv)


def _choose_book_of_guild() -> None:
    """Take `--book NAME` or `--book=NAME` from anywhere in the line."""
    for place, word in enumerate(sys.argv[1:], start=1):
        flag, equals, name = word.partition("=")
        if flag == "--book":
            words = 1 if equals else 2
            os.environ["SOCKTRADE_GUILD_BOOK"] = name or " ".join(sys.argv[place + 1 : place + 2])
            del sys.argv[place : place + words]
            return


if __name__ == "__main__":
    main()
