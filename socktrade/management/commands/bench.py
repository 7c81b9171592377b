"""Print what the work costs, as ratios to floors measured in the same run."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from socktrade.bench import measure, subjects


class Command(BaseCommand):
    """Measure one subject, or all."""

    help = "Measure what the work costs: ratios to floors measured in the same run."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the subjects."""
        parser.add_argument("what", nargs="*", metavar="what", help=f"of {', '.join(subjects())}")

    def handle(self, *_args: Any, what: list[str], **_options: Any) -> None:
        """Measure each, and stop at a name that is none."""
        for subject in what or subjects():
            try:
                measure(subject, self.stdout.write)
            except ValueError as problem:
                raise CommandError(str(problem)) from problem
