"""`simulate_seasons`: live invented seasons and tell how demand was read and what it brought."""

from statistics import fmean
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from sales.core.trials import Report, Trial, live_seasons


class Command(BaseCommand):
    """Reads nothing and writes nothing: every season is drawn from the seed."""

    help = "Live invented market seasons; tell how often the intervals hold and what plans bring."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the number of seasons, the seed and the hours."""
        parser.add_argument("--seasons", type=int, default=20)
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument("--days", type=int, default=26, help="market days of a season")
        parser.add_argument("--minutes", type=float, default=600, help="for making, a week")

    def handle(self, *_args: Any, **options: Any) -> None:
        """Live them and print what came out, good or bad."""
        trial = Trial(days=options["days"], minutes=options["minutes"])
        seasons = options["seasons"]

        def told(number: int) -> None:
            self.stderr.write(f"\rseason {number} of {seasons}", ending="")

        report = live_seasons(seasons, seed=options["seed"], trial=trial, told=told)
        self.stderr.write("")
        for line in told_lines(report):
            self.stdout.write(line)


def told_lines(report: Report) -> list[str]:
    """Return the report in sentences."""
    planned, repeated = fmean(report.planned), fmean(report.repeated)
    return [
        f"{report.inside} of {report.intervals} 90 % intervals held the true rate "
        f"({report.coverage:.0%}); learned rates lie {report.bias:+.1%} off on average.",
        f"Profit a season: {planned:.0f} as planned, {repeated:.0f} making again what sold.",
        f"Difference {report.gain:+.0f} ({report.gain / repeated:+.1%}), "
        f"standard error {report.gain_error:.0f}; the plan brought more in "
        f"{report.seasons_won} of {len(report.planned)} seasons.",
        f"Pairs missed a season: {report.planned_missed:.1f} as planned, "
        f"{report.repeated_missed:.1f} making again what sold.",
    ]
