"""The finished work as the planning table reads it: minutes of strings and seams, feet."""

from collections.abc import Sequence
from itertools import groupby

from django.db.models import Count, Exists, OuterRef, Subquery

from patterns.services.logbook import TimedString
from production.models import Act, ActKind, Sock, SockMove, StringRun

NEWEST_RUNS = 400
NEWEST_SEAMS = 10
NEWEST_FEET = 40


class Logbook:
    """Answers of this book's acts."""

    def timed_strings(self) -> Sequence[TimedString]:
        """Return the strings of one cylinder with logged minutes, newest first."""
        runs = (
            StringRun.objects.filter(
                string__act__undone_by__isnull=True, string__act__minutes__gt=0
            )
            .order_by("-string_id", "first_position")
            .values_list(
                "string_id",
                "count",
                "version__needles",
                "version__machine_minutes",
                "string__act__minutes",
            )[:NEWEST_RUNS]
        )
        found = []
        for _string, rows in groupby(runs, key=lambda run: run[0]):
            together = list(rows)
            cylinders = {needles for _, _, needles, _, _ in together}
            planned = sum(count * pair / 2 for _, count, _, pair, _ in together)
            if len(cylinders) == 1 and planned > 0:
                found.append(TimedString(cylinders.pop(), together[0][-1], planned))
        return found

    def seam_minutes(self) -> Sequence[float]:
        """Return the minutes of one toe seam by each act that logged them, newest first."""
        moves = SockMove.objects.filter(act=OuterRef("pk")).order_by()
        # Counted beside the acts that are read; a join would count every season's first.
        socks = Subquery(moves.values("act").annotate(n=Count("pk")).values("n"))
        acts = (
            Act.objects.standing()
            .filter(Exists(moves), kind=ActKind.SEAM, minutes__gt=0)
            .order_by("-pk")
            .annotate(socks=socks)
            .values_list("minutes", "socks")[:NEWEST_SEAMS]
        )
        return [minutes / socks for minutes, socks in acts]

    def feet_mm(self, version_id: int) -> Sequence[float]:
        """Return the feet measured at blocking of the newest socks of a version [mm]."""
        socks = Sock.objects.filter(version_id=version_id, foot_mm__isnull=False)
        return [
            float(foot)
            for foot in socks.order_by("-pk").values_list("foot_mm", flat=True)[:NEWEST_FEET]
        ]
