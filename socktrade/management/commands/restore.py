"""Put a copy in the place of the book."""

from pathlib import Path
from typing import Any

from django.core.management import call_command
from django.core.management.base import CommandError, CommandParser
from django.db import DatabaseError

from socktrade.backups import BackupError, put_back, restore
from socktrade.management.bookcommand import BookCommand


class Command(BookCommand):
    """Restore the book from a checked copy; the present book is kept aside."""

    help = "Put the copy in FILE in the place of the book. Stop the app first."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the file to read."""
        parser.add_argument("file", type=Path)

    def handle(self, *_args: Any, file: Path, **_options: Any) -> None:
        """Restore, then bring an older copy up to this program."""
        try:
            aside = restore(file)
        except BackupError as problem:
            raise CommandError(str(problem)) from problem
        try:
            call_command("migrate", verbosity=0, interactive=False)
        except DatabaseError as problem:
            if aside:
                put_back(aside)
            msg = f"The copy could not be brought up to date: {problem}. The book is as it was."
            raise CommandError(msg) from problem
        if aside:
            self.stdout.write(f"The book as it was is kept at {aside}.")
        self.stdout.write("The copy is the book now.")
