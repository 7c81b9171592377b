"""Sizes of crew socks by shoe group, a published craft chart (from memory).

Every value was written down from memory and is a default to edit. Lengths and
circumferences are of the sock, its ease already in them; height is read as floor to
top of cuff.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from patterns.core.bounds import FOOT_MM, MM_PER_INCH, nearest, require


@dataclass(frozen=True, slots=True)
class ChartRow:
    """One shoe group of the chart.

    Attributes:
        group: "child", "women" or "men".
        us_shoe: US shoe sizes as printed; child 10-2 and 2-6 run on into youth sizes.
        circumference_in: Around the sock [in].
        height_in: Floor to top of cuff [in].
        foot_in: Length of the sock's foot [in].
    """

    group: str
    us_shoe: str
    circumference_in: float
    height_in: float
    foot_in: float


CHART = (
    ChartRow("child", "0-4", 4.5, 2.5, 4),
    ChartRow("child", "4-8", 5.5, 3.5, 5),
    ChartRow("child", "7-11", 6, 4.5, 6),
    ChartRow("child", "10-2", 6.5, 5.5, 7.5),
    ChartRow("child", "2-6", 7, 6.5, 8),
    ChartRow("women", "3-6", 7, 6.5, 9),
    ChartRow("women", "6-9", 8, 7, 10),
    ChartRow("women", "8-12", 9, 7.5, 11),
    ChartRow("men", "6-8", 7, 7, 9.5),
    ChartRow("men", "8.5-10", 8, 7.5, 10.5),
    ChartRow("men", "10.5-12", 9, 8, 11),
    ChartRow("men", "12.5-14", 10, 8.5, 11.5),
)


def default_height_mm(foot_length_mm: float, rows: Sequence[ChartRow] = CHART) -> float:
    """Return a usual crew height for a foot, in half inches [mm].

    Read between the rows of the chart; a foot beyond either end takes the end's height.

    Args:
        foot_length_mm: Foot length [mm], 60 to 400.
        rows: The chart to read, the published one or her own.

    Raises:
        ValueError: If the foot is not 60 to 400 mm.
    """
    foot = require("foot_length_mm", foot_length_mm, FOOT_MM, "mm") / MM_PER_INCH
    points = _by_foot([(row.foot_in, row.height_in) for row in rows])
    return _read(points, foot, step=0.5) * MM_PER_INCH


def _by_foot(pairs: list[tuple[float, float]]) -> list[tuple[float, float]]:
    # Where women's and men's rows share a foot length, half way between serves both.
    feet = sorted({foot for foot, _ in pairs})
    shared = {foot: [value for at, value in pairs if at == foot] for foot in feet}
    return [(foot, sum(values) / len(values)) for foot, values in shared.items()]


def _read(points: list[tuple[float, float]], foot: float, step: float) -> float:
    (low, value), *rest = points
    if foot <= low:
        return value
    for high, upper in rest:
        if foot <= high:
            between = value + (upper - value) * (foot - low) / (high - low)
            return nearest(between / step) * step
        low, value = high, upper
    return value
