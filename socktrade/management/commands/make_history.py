"""`make_history`: write a made-up past into an empty book, to see how the pages bear it."""

import datetime as dt
import time
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from socktrade.history import HistoryError, make_history


class Command(BaseCommand):
    """Writes the seasons of an invented maker; the same seed writes the same past."""

    help = "Write a made-up past of one maker into the book in use, which must be empty."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take how much of it, whose luck and the day it ends."""
        parser.add_argument("--seasons", type=int, default=1)
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument("--pairs", type=int, default=1000, help="made in a season")
        parser.add_argument(
            "--today", type=dt.date.fromisoformat, help="the day it ends, YYYY-MM-DD; else today"
        )
        parser.add_argument(
            "--no-check", action="store_true", help="leave the check of the books to check_books"
        )

    def handle(self, *_args: Any, **options: Any) -> None:
        """Write it and say how the books stand."""
        start = time.perf_counter()
        try:
            made = make_history(
                seasons=options["seasons"], seed=options["seed"], pairs=options["pairs"],
                today=options["today"], say=self.stdout.write, check=not options["no_check"],
            )  # fmt: skip
        except HistoryError as refusal:
            raise CommandError(str(refusal)) from refusal
        spent = time.perf_counter() - start
        self.stdout.write(f"{made.rows} rows in {spent:.1f} s.")
        for line in made.disagreements:
            self.stdout.write(line)
        if made.disagreements:
            msg = "The books disagree with their acts."
            raise CommandError(msg)
        if not options["no_check"]:
            self.stdout.write("The books are clean.")
