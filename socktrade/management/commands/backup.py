"""Copy the book to a file, also while it is in use."""

from pathlib import Path
from typing import Any

from django.core.management.base import CommandError, CommandParser

from socktrade.backups import BackupError, back_up
from socktrade.management.bookcommand import BookCommand


class Command(BookCommand):
    """Make a checked copy of the book."""

    help = "Copy the book to FILE while it is in use, and check the copy."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the file to write."""
        parser.add_argument("file", type=Path)

    def handle(self, *_args: Any, file: Path, **_options: Any) -> None:
        """Make the copy."""
        try:
            target = back_up(file)
        except BackupError as problem:
            raise CommandError(str(problem)) from problem
        self.stdout.write(f"The book was copied to {target}, and the copy is sound.")
