"""Old directions at one of her gauges: the sock of every reading, and the way to plan it."""

from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse

from patterns.core.directions import FootReading, LegReading, foot_readings, leg_readings
from patterns.core.words import Phrase, say
from patterns.models import Swatch
from patterns.services.sizes import Sizes, sizes_of
from socktrade.models import Workshop

_FOOT_COUNTS = {
    "foot": say("Counting the foot only"),
    "foot_toe": say("Counting foot and toe"),
    "heel_foot_toe": say("Counting heel, foot and toe"),
}
_EASE = 0.10


@dataclass(frozen=True, slots=True)
class Read:
    """One reading of the foot count with what it would give.

    Attributes:
        title: What the counter is taken to cover.
        reading: The sock it gives.
        sizes: The shoe sizes that sock fits, None without a sock.
        plans: For each reading of the leg that and the address that plans exactly this sock.
    """

    title: Phrase
    reading: FootReading
    sizes: Sizes | None
    plans: tuple[tuple[LegReading, str], ...]


def readings(
    *,
    needles: int,
    leg: int,
    foot: int,
    centre: int | None,
    swatch: Swatch,
    tex: float | None,
    workshop: Workshop,
) -> list[Read]:
    """Return every reading of old directions, the sane ones first.

    Raises:
        ValueError: If the needles cannot turn at that centre.
    """
    gauge = swatch.gauge
    legs = leg_readings(needles=needles, count=leg, gauge=gauge, centre=centre)
    found = foot_readings(needles=needles, count=foot, gauge=gauge, centre=centre)
    same = {
        "swatch": swatch.pk,
        "cylinders": needles,
        "centre": centre or "",
        "ease": f"{100 * _EASE:g}",
        "heel_factor": 1,
        "toe_factor": 1,
        ("count" if tex else "yarn"): f"{tex:g} tex" if tex else "",
    }
    rows = [_read(reading, legs, same, workshop) for reading in found]
    return sorted(rows, key=lambda row: (not row.reading.sane, not row.reading.usual))


def _read(
    reading: FootReading,
    legs: tuple[LegReading, ...],
    same: dict[str, object],
    workshop: Workshop,
) -> Read:
    sizes = None
    if reading.fit is not None and reading.foot_mm is not None:
        sizes = sizes_of(reading.fit, workshop)
    plans = tuple((leg, _address(reading, leg, same)) for leg in legs if leg.leg_rows >= 0)
    return Read(_FOOT_COUNTS[reading.covers], reading, sizes, plans)


def _address(reading: FootReading, leg: LegReading, same: dict[str, object]) -> str:
    """Return the plan that comes out at exactly these rows, empty when there is none."""
    least_foot_rows = 4
    if reading.foot_mm is None or reading.fit is None or reading.foot_rows < least_foot_rows:
        return ""
    wish = same | {
        "foot": f"{reading.foot_mm:.3f} mm",
        "ball": f"{reading.fit.ball_mm[0] / (1 - _EASE):.1f} mm",
        "height": f"{leg.height_mm:.3f} mm",
    }
    return f"{reverse('patterns:pattern_plan')}?{urlencode(wish)}"
