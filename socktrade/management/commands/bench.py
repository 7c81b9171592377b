"""Print what the work costs, as ratios to floors measured in the same run."""

from argparse import ArgumentTypeError
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from socktrade.bench import Asked, measure, subjects

OLDEST = 100


class Command(BaseCommand):
    """Measure one subject, or all."""

    help = "Measure what the work costs: ratios to floors measured in the same run."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the subjects, and how old the books are that they are measured in."""
        parser.add_argument("what", nargs="*", metavar="what", help=f"of {', '.join(subjects())}")
        parser.add_argument(
            "--seasons", type=_ages, default=(1, 5, 20), help="ages of the books, such as 1,5,20"
        )
        parser.add_argument(
            "--books", type=Path, help="a folder to keep those books in from run to run"
        )
        parser.add_argument(
            "--missed", action="store_true", help="print only what misses its target"
        )

    def handle(self, *_args: Any, what: list[str], **options: Any) -> None:
        """Measure each, and stop at a name that is none."""
        asked = Asked(options["seasons"], options["books"], every=not options["missed"])
        for subject in what or subjects():
            try:
                measure(subject, self.stdout.write, asked)
            except ValueError as problem:
                raise CommandError(str(problem)) from problem


def _ages(text: str) -> tuple[int, ...]:
    words = [word.strip() for word in text.split(",")]
    if not all(word.isdecimal() and 1 <= int(word) <= OLDEST for word in words):
        msg = f"--seasons is {text!r}; give whole numbers from 1 to {OLDEST}, such as 1,5,20."
        raise ArgumentTypeError(msg)
    return tuple(sorted({int(word) for word in words}))
