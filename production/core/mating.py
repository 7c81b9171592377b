"""Mate single socks by measured length.

Only socks of one pattern version, lot and washing state belong in one call.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

_NANOMETRES: Final = 1_000_000


@dataclass(frozen=True, slots=True)
class Mating:
    """Proposed pairs.

    Attributes:
        pairs: Index pairs, shortest pair first, the shorter sock of each first.
        odd: Indices of socks left over, shortest first.
        total_mm: Sum of the length differences inside the pairs [mm].
    """

    pairs: tuple[tuple[int, int], ...]
    odd: tuple[int, ...]
    total_mm: float


def mate(lengths_mm: Sequence[float], tolerance_mm: float) -> Mating:
    """Make as many pairs as the tolerance allows, then with the least total difference.

    In a sorted list only neighbours ever need to be tried: where a sock lies between the two
    of a pair, mating it with one of them is never worse. Taking the closest pair first is
    wrong: 240, 244, 247, 251 at 4 mm would leave two odd socks where none need be.

    Args:
        lengths_mm: Measured foot lengths [mm], to the nanometre.
        tolerance_mm: Largest difference inside a pair [mm].

    Raises:
        ValueError: If a length or the tolerance is negative or not a finite number.
    """
    for name, value in [("tolerance_mm", tolerance_mm), *(("lengths_mm", x) for x in lengths_mm)]:
        if not (math.isfinite(value) and value >= 0):
            msg = f"{name} holds {value}; it must be a number of 0 mm or more."
            raise ValueError(msg)
    # Whole numbers: the difference of 3.0 and 2.9 as floats is more than 0.1.
    whole = [round(length * _NANOMETRES) for length in lengths_mm]
    order = sorted(range(len(whole)), key=lambda i: (whole[i], i))
    pairs, odd = _walk_back(order, _paired([whole[i] for i in order], tolerance_mm))
    total = sum(whole[j] - whole[i] for i, j in pairs)
    return Mating(tuple(pairs), tuple(odd), total / _NANOMETRES)


def _paired(lengths: Sequence[int], tolerance_mm: float) -> list[bool]:
    """Return for each place in the sorted list whether the best plan up to it ends in a pair."""
    tolerance = round(tolerance_mm * _NANOMETRES)
    before, best = (0, 0), (0, 0)
    paired = [False] * len(lengths)
    for j in range(1, len(lengths)):
        gap = lengths[j] - lengths[j - 1]
        candidate = (before[0] + 1, before[1] - gap)
        paired[j] = gap <= tolerance and candidate > best
        before, best = best, candidate if paired[j] else best
    return paired


def _walk_back(
    order: Sequence[int], paired: Sequence[bool]
) -> tuple[list[tuple[int, int]], list[int]]:
    """Read the plan from the longest sock down and return pairs and odd socks, shortest first."""
    pairs: list[tuple[int, int]] = []
    odd: list[int] = []
    j = len(order) - 1
    while j >= 0:
        if paired[j]:
            pairs.append((order[j - 1], order[j]))
            j -= 2
        else:
            odd.append(order[j])
            j -= 1
    return pairs[::-1], odd[::-1]


def row_mm(courses_per_10cm: float) -> float:
    """Return the height of one washed row [mm].

    Args:
        courses_per_10cm: Washed courses [courses/100 mm].

    Raises:
        ValueError: If `courses_per_10cm` is not a positive number.
    """
    if not (math.isfinite(courses_per_10cm) and courses_per_10cm > 0):
        msg = f"courses_per_10cm is {courses_per_10cm}; it must be a number above 0."
        raise ValueError(msg)
    return 100 / courses_per_10cm


def tolerance_of(most_mm: int, most_rows: int | None, courses_per_10cm: float) -> int:
    """Return the largest difference inside a pair of one pattern [mm, whole].

    The narrower limit holds. Rows are read off a length, so half a row more still counts
    as the row: 5 mm are 2.2 rows at 11 to the inch, which is 2 rows.

    Args:
        most_mm: Largest difference in length [mm].
        most_rows: Largest difference in rows [rows]; None when only the length counts.
        courses_per_10cm: Washed courses of the pattern [courses/100 mm].

    Raises:
        ValueError: If a limit is negative or `courses_per_10cm` is not positive.
    """
    row = row_mm(courses_per_10cm)
    for name, value in (("most_mm", most_mm), ("most_rows", most_rows or 0)):
        if value < 0:
            msg = f"{name} is {value}; it must be 0 or more."
            raise ValueError(msg)
    if most_rows is None:
        return most_mm
    return min(most_mm, math.floor((most_rows + 0.5) * row))
