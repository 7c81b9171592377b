"""What every command that writes shares: trouble of the disk is told in words."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from socktrade.trouble import STORAGE_ERRORS, trouble_of


class BookCommand(BaseCommand):
    """A command on the book; a full or read-only disk ends it with a sentence, not a trace."""

    def execute(self, *args: Any, **options: Any) -> str | None:
        """Run it."""
        try:
            return super().execute(*args, **options)
        except STORAGE_ERRORS as problem:
            trouble = trouble_of(problem)
            if trouble is None:
                raise
            msg = f"{trouble} The system says: {problem}."
            raise CommandError(msg) from problem
