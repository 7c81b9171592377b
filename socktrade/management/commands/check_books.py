"""Prove today's state from the acts alone."""

from itertools import chain
from typing import Any

from django.core.management.base import CommandError

from production.services import books as bench_books
from sales.services import books as stall_books
from socktrade.management.bookcommand import BookCommand


class Command(BookCommand):
    """Print what disagrees; exit 1 if anything does."""

    help = "Rebuild every place and weight from the acts and name each disagreement."

    def handle(self, *_args: Any, **_options: Any) -> None:
        """Run the check."""
        found = 0
        for found, line in enumerate(  # noqa: B007
            chain(bench_books.disagreements(), stall_books.disagreements()), start=1
        ):
            self.stdout.write(line)
        if found:
            msg = f"{found} disagreements between the book and its acts."
            raise CommandError(msg, returncode=1)
        self.stdout.write("The books are clean: every place and weight follows from its acts.")
