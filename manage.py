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
    try:
        from django.core.management import execute_from_command_line
    except ImportError:
        sys.exit(
            "Django is not installed here. README.md has the one line that sets up "
            "a virtual environment and starts the app."
        )
    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
