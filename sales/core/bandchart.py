"""A line with a band around it as SVG text: how stock or sales may run over the days ahead.

Geometry and classes only, as in `charts`. The lines live in a square of their own that is
stretched to the width of the page; the words beside it keep their size.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from sales.core.bounds import within
from sales.core.charts import axis_ticks

PLOT_PX = 180
FOOT_PX = 26
LEFT = 8.0
MOST_LABELS = 4  # a phone has room for no more


@dataclass(frozen=True, slots=True)
class BandPoint:
    """One day of the picture.

    Attributes:
        label: What the day is called.
        low: Low end of the band [pairs], 0 or more.
        middle: The line [pairs], from `low` to `high`.
        high: High end of the band [pairs].

    Raises:
        ValueError: If they are not in that order.
    """

    label: str
    low: float
    middle: float
    high: float

    def __post_init__(self) -> None:
        """Refuse a band that crosses itself."""
        within("low", self.low, 0)
        within("middle", self.middle, self.low)
        within("high", self.high, self.middle)


def band_chart(points: Sequence[BandPoint], title: str) -> str:
    """Draw the days from left to right, as one `<svg class="bands">` with a title.

    Args:
        points: Days in their order.
        title: What the picture shows; read out instead of it.

    Raises:
        ValueError: If there is no day.
    """
    if not points:
        msg = "points=[] must hold at least one day."
        raise ValueError(msg)
    ticks = axis_ticks(max(point.high for point in points))
    most = ticks[-1]
    tops = [(_x(i, points), _y(point.high, most)) for i, point in enumerate(points)]
    bottoms = [(_x(i, points), _y(point.low, most)) for i, point in enumerate(points)]
    line = [(_x(i, points), _y(point.middle, most)) for i, point in enumerate(points)]
    return (
        f'<svg class="bands" role="img" width="100%" height="{PLOT_PX + FOOT_PX}" '
        f'xmlns="http://www.w3.org/2000/svg"><title>{escape(str(title))}</title>'
        f"{_grid(ticks)}"
        f'<svg x="{LEFT:g}%" y="8" width="{100 - LEFT:g}%" height="{PLOT_PX - 8}" '
        'viewBox="0 0 100 100" preserveAspectRatio="none">'
        f'<polygon class="band" points="{_pairs([*tops, *reversed(bottoms)])}"/>'
        f'<polyline class="band-line" points="{_pairs(line)}"/></svg>'
        f"{_labels(points)}</svg>"
    )


def _grid(ticks: Sequence[int]) -> str:
    parts = []
    for tick in ticks:
        y = 8 + (PLOT_PX - 8) * (1 - tick / ticks[-1])
        parts.append(
            f'<line class="grid" x1="{LEFT:g}%" x2="100%" y1="{y:.1f}" y2="{y:.1f}"/>'
            f'<text class="tick-figure" x="{LEFT - 1:g}%" y="{y + 4:.1f}" '
            f'text-anchor="end">{tick}</text>'
        )
    return "".join(parts)


def _labels(points: Sequence[BandPoint]) -> str:
    every = max(1, -(-len(points) // MOST_LABELS))
    parts = []
    for i in range(0, len(points), every):
        x = LEFT + (100 - LEFT) * _x(i, points) / 100
        anchor = "start" if i == 0 else "end" if i == len(points) - 1 else "middle"
        parts.append(
            f'<text class="tick-figure" x="{x:.2f}%" y="{PLOT_PX + 18}" '
            f'text-anchor="{anchor}">{escape(str(points[i].label))}</text>'
        )
    return "".join(parts)


def _x(i: int, points: Sequence[BandPoint]) -> float:
    return 100 * i / (len(points) - 1) if len(points) > 1 else 50.0


def _y(pairs: float, most: float) -> float:
    return 100 * (1 - pairs / most)


def _pairs(corners: Sequence[tuple[float, float]]) -> str:
    return " ".join(f"{x:.2f},{y:.2f}" for x, y in corners)
