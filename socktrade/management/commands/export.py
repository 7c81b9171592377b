"""Write everything as open files."""

from pathlib import Path
from typing import Any

from django.core.management.base import CommandError, CommandParser
from django.utils import timezone

from socktrade.data.errors import DataError
from socktrade.data.export import WITH_SIGN_INS, WITHOUT, export_book
from socktrade.management.bookcommand import BookCommand


class Command(BookCommand):
    """Export the whole book as CSV and JSON."""

    help = "Write the whole book as open CSV and JSON into a folder, or into a .zip file."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the folder or file to write."""
        parser.add_argument("target", type=Path, metavar="FOLDER|FILE.zip")
        parser.add_argument(
            "--with-sign-ins",
            action="store_true",
            help="also the password hashes, the digests of stall passes, the calendar's address",
        )

    def handle(self, *_args: Any, target: Path, with_sign_ins: bool, **_options: Any) -> None:
        """Write it."""
        try:
            manifest = export_book(target, at=timezone.now(), with_sign_ins=with_sign_ins)
        except DataError as problem:
            raise CommandError(str(problem)) from problem
        rows = sum(table["rows"] for table in manifest["tables"].values())
        self.stdout.write(
            f"{rows} rows of {len(manifest['tables'])} tables were written to {target}.\n"
            f"{WITH_SIGN_INS if with_sign_ins else WITHOUT}"
        )
