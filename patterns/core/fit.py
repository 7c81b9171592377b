"""The way back: whom a sock of known rows fits."""

from dataclasses import dataclass

from patterns.core.bounds import (
    FACTOR,
    ROWS,
    require,
    require_needles,
    require_whole,
)
from patterns.core.gauge import Gauge, require_washed
from patterns.core.shaping import turn

# A foot may be up to a ninth longer, a ball up to a quarter wider than the sock.
_LEAST_LENGTH_SHARE = 0.90
_LEAST_WIDTH_SHARE = 0.80

COVERS = ("foot", "foot_toe", "heel_foot_toe")


@dataclass(frozen=True, slots=True)
class FitRange:
    """The feet one sock fits.

    Attributes:
        sock_foot_mm: Length of the sock's own foot [mm].
        foot_mm: Shortest and longest foot [mm].
        ball_mm: Smallest and largest ball circumference [mm].
    """

    sock_foot_mm: float
    foot_mm: tuple[float, float]
    ball_mm: tuple[float, float]


def fit_range(
    *,
    needles: int,
    foot_rows: int,
    gauge: Gauge,
    centre: int | None = None,
    toe_centre: int | None = None,
    deep_heel: int = 0,
    heel_factor: float = 1.0,
    toe_factor: float = 1.0,
) -> FitRange:
    """Return which feet a sock fits from its needles and foot rows.

    Args:
        needles: Needles in the cylinder, even, 12 to 200.
        foot_rows: Rounds between heel and toe.
        gauge: Washed gauge.
        centre: Needles left at the narrowest of heel and toe.
        toe_centre: The same for the toe alone.
        deep_heel: Needles the heel holds beyond half, 0, 2 or 4.
        heel_factor: Length the heel really gives, as a share of its passes, 0.3 to 1.3.
        toe_factor: The same for the toe.

    Raises:
        ValueError: If an argument is out of range or the gauge is raw.
    """
    require_washed(gauge)
    rows = require_whole("foot_rows", foot_rows, ROWS)
    of_heel, of_toe = _turn_passes(needles, centre, toe_centre, deep_heel)
    heel = require("heel_factor", heel_factor, FACTOR) * of_heel
    toe = require("toe_factor", toe_factor, FACTOR) * of_toe
    sock = (heel + rows + toe) * 100 / gauge.courses_per_10cm
    around = needles * 100 / gauge.wales_per_10cm
    return FitRange(
        sock_foot_mm=sock,
        foot_mm=(sock, sock / _LEAST_LENGTH_SHARE),
        ball_mm=(around, around / _LEAST_WIDTH_SHARE),
    )


def turn_factor(
    *,
    sock_foot_mm: float,
    foot_rows: int,
    needles: int,
    gauge: Gauge,
    centre: int | None = None,
    toe_centre: int | None = None,
    deep_heel: int = 0,
) -> float:
    """Learn from one washed sock how much length heel and toe really give, 0.3 to 1.3.

    Args:
        sock_foot_mm: Measured flat, back of heel to tip of toe [mm].
        foot_rows: Its rounds between heel and toe.
        needles: Needles in the cylinder, even, 12 to 200.
        gauge: Washed gauge.
        centre: Needles left at the narrowest of heel and toe.
        toe_centre: The same for the toe alone.
        deep_heel: Needles the heel holds beyond half, 0, 2 or 4.

    Raises:
        ValueError: If an argument is out of range or the gauge is raw.
    """
    require_washed(gauge)
    sock = require("sock_foot_mm", sock_foot_mm, (20.0, 450.0), "mm")
    rows = require_whole("foot_rows", foot_rows, ROWS)
    passes = sum(_turn_passes(require_needles(needles), centre, toe_centre, deep_heel))
    factor = (gauge.courses_per_10cm / 100 * sock - rows) / passes
    return min(max(factor, FACTOR[0]), FACTOR[1])


def _turn_passes(
    needles: int, centre: int | None, toe_centre: int | None, deep_heel: int
) -> tuple[int, int]:
    heel = turn(needles, centre, deep_heel)
    toe = turn(needles, centre if toe_centre is None else toe_centre)
    return heel.passes, toe.passes
