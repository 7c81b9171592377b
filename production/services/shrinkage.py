"""What measured socks say of the length that their pattern planned."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Avg, Count, Max, Min

from patterns.core.fit import turn_factor
from patterns.models import PatternVersion
from production.models import Quality, Sock

ENOUGH_SOCKS = 4  # fewer say more about the day than about the pattern
WORTH_SAYING_MM = 3  # below a row and a half nobody can knit the difference


@dataclass(frozen=True, slots=True)
class Shrunk:
    """Measured feet of one version beside what it planned.

    Attributes:
        version: The version.
        socks: How many were measured [socks].
        mean_mm: Their mean foot [mm].
        least_mm: The shortest [mm].
        most_mm: The longest [mm].
        factor: What heel and toe really give, as a share of their passes; None while the
            measures agree with the plan or are too few to say so.
    """

    version: PatternVersion
    socks: int
    mean_mm: float
    least_mm: int
    most_mm: int
    factor: float | None

    @property
    def difference_mm(self) -> float:
        """Longer (+) or shorter (-) than planned [mm]."""
        return self.mean_mm - self.version.sock_foot_mm

    @property
    def shrink_percent(self) -> float:
        """How much shorter they came out than planned [%]."""
        return -100 * self.difference_mm / self.version.sock_foot_mm


def shrunk_of(version_ids: Iterable[int]) -> list[Shrunk]:
    """Return for each version with measured socks what they say; scrap is left out.

    Foot rows, gauge and needles are as planned, so what is missing or over is laid to heel
    and toe, whose passes lie on a slant and give less length than flat rows.
    """
    rows = (
        Sock.objects.filter(version__in=set(version_ids), foot_mm__isnull=False)
        .exclude(quality=Quality.SCRAP)
        .order_by()
        .values("version_id")
        .annotate(socks=Count("pk"), mean=Avg("foot_mm"), least=Min("foot_mm"), most=Max("foot_mm"))
    )
    versions = PatternVersion.objects.select_related("pattern__design").in_bulk(
        [row["version_id"] for row in rows]
    )
    found = [
        Shrunk(
            version=versions[row["version_id"]],
            socks=row["socks"],
            mean_mm=float(row["mean"]),
            least_mm=row["least"],
            most_mm=row["most"],
            factor=_factor(versions[row["version_id"]], row["socks"], float(row["mean"])),
        )
        for row in rows
    ]
    return sorted(found, key=lambda one: one.version.pattern.foot_length_mm)


def _factor(version: PatternVersion, socks: int, mean_mm: float) -> float | None:
    if socks < ENOUGH_SOCKS or abs(mean_mm - version.sock_foot_mm) < WORTH_SAYING_MM:
        return None
    return round(
        turn_factor(
            sock_foot_mm=mean_mm,
            foot_rows=version.foot_rows,
            needles=version.needles,
            gauge=version.gauge,
            centre=version.centre,
        ),
        3,
    )
