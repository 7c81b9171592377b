"""Read an export into an empty book."""

from pathlib import Path
from typing import Any

from django.core.management import call_command
from django.core.management.base import CommandError, CommandParser

from socktrade.data.bringing_in import BroughtIn, import_book
from socktrade.data.errors import DataError
from socktrade.management.bookcommand import BookCommand


class Command(BookCommand):
    """Import a whole book."""

    help = "Read what `export` wrote into this empty book: all of it or nothing."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the folder or file to read."""
        parser.add_argument("file", type=Path, metavar="FOLDER|FILE.zip|book.json")

    def handle(self, *_args: Any, file: Path, **_options: Any) -> None:
        """Make the tables, read, compare."""
        call_command("migrate", verbosity=0, interactive=False)
        try:
            done = import_book(file)
        except DataError as problem:
            raise CommandError(str(problem)) from problem
        self.stdout.write(f"{done.total} rows came in, and every table is as it was exported.")
        self._say_books(done)
        if not done.with_sign_ins:
            name = done.owner.get_username() if done.owner else "NAME"
            self.stdout.write(
                "Passwords were not in the export. Give each person a new one:\n"
                f"  python manage.py changepassword {name}"
            )

    def _say_books(self, done: BroughtIn) -> None:
        if not done.disagreements:
            self.stdout.write("The books are clean.")
        for line in done.disagreements:
            self.stdout.write(f"As in the book it came from: {line}")
