"""Where the words of a hang tag stand: sizes that shrink until everything fits, or a refusal.

Nothing is ever clipped or printed over something else. Lengths in mm from the upper left
corner of the box that is filled, type sizes in points.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from patterns.core.words import say

LEAST_PT: Final = 6.0
"""Smallest type on a tag [pt]; smaller is no longer legible (common practice)."""

LINE: Final = 1.15
"""Line height as a share of the type size; the style sheet of papers says the same."""

MM_PER_PT: Final = 25.4 / 72

_SCALES: Final = tuple(round(1.3 - 0.05 * step, 2) for step in range(23))

Measure = Callable[[str, float, bool], float]
"""Width of a text [mm] from the text, its size [pt] and whether it is bold."""


class TagDoesNotFitError(ValueError):
    """The words do not fit the label even at the smallest type. `field` names the culprit."""

    def __init__(self, field: str, message: str) -> None:
        super().__init__(message)
        self.field = field


@dataclass(frozen=True, slots=True)
class Words:
    """One text of a tag.

    Attributes:
        field: What it is, as a refusal names it: `fibre content`.
        lines: Lines as they must break at least; each is broken further where it must.
        size_pt: Size wanted.
        bold: Whether it is set bold.
        gap_mm: Blank above it.
        whole: Whether its lines may not be broken: numbers, sizes, prices.
    """

    field: str
    lines: tuple[str, ...]
    size_pt: float
    bold: bool = False
    gap_mm: float = 0.8
    whole: bool = False


@dataclass(frozen=True, slots=True)
class Picture:
    """A square picture, such as a QR code.

    Attributes:
        field: What it is, as a refusal names it.
        side_mm: Side wanted.
        least_mm: Smallest side that can still be read.
        gap_mm: Blank above it.
    """

    field: str
    side_mm: float
    least_mm: float
    gap_mm: float = 0.8


@dataclass(frozen=True, slots=True)
class Beside:
    """Things next to each other, each with its share of the width; shares add up to 1."""

    cells: tuple[tuple[float, "Words | Picture"], ...]
    gap_mm: float = 0.8
    between_mm: float = 1.5


Item = Words | Picture | Beside


@dataclass(frozen=True, slots=True)
class Placed:
    """Something with its place and size.

    Attributes:
        field: What it is.
        x_mm: From the left of the box.
        y_mm: From the top of the box.
        width_mm: Room it takes.
        height_mm: Room it takes.
        lines: Its lines as broken; empty for a picture.
        size_pt: Type size; 0 for a picture.
        bold: Whether it is set bold.
    """

    field: str
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    lines: tuple[str, ...] = ()
    size_pt: float = 0.0
    bold: bool = False


def fill(
    items: Sequence[Item], width_mm: float, height_mm: float, measure: Measure
) -> tuple[Placed, ...]:
    """Stack the items in a box in the largest type that fits, up to 1.3 times their own.

    Raises:
        TagDoesNotFitError: If they do not fit at the smallest type; it names the field that
            is too wide, or else the one that takes most of the height.
    """
    if width_mm <= 0 or height_mm <= 0:
        field = "label"
        msg = say(
            "The label leaves {width:.0f} x {height:.0f} mm for words; that is no room.",
            width=float(width_mm),
            height=float(height_mm),
        )
        raise TagDoesNotFitError(field, msg)
    fitting: list[Placed] | None = None
    first, last = 0, len(_SCALES) - 1
    while first <= last:  # smaller type fits where larger does, so halving finds the edge
        middle = (first + last) // 2
        placed = list(_stack(items, width_mm, _SCALES[middle], measure))
        if _fits(placed, width_mm, height_mm):
            fitting, last = placed, middle - 1
        else:
            first = middle + 1
    if fitting is None:  # the last tried was the smallest
        raise _refusal(placed, width_mm, height_mm)
    return tuple(fitting)


def columns(
    boxes: Sequence[tuple[float, float, float, Sequence[Item]]], height_mm: float, measure: Measure
) -> tuple[Placed, ...]:
    """Fill boxes side by side, each given as left [mm], top [mm], width [mm] and its items."""
    placed: list[Placed] = []
    for left, top, width, items in boxes:
        filled = fill(items, width, height_mm - top, measure)
        placed += [replace(p, x_mm=p.x_mm + left, y_mm=p.y_mm + top) for p in filled]
    return tuple(placed)


def wrap(text: str, width_mm: float, size_pt: float, *, bold: bool, measure: Measure) -> list[str]:
    """Break a text at blanks into lines no wider than `width_mm`; a longer word stands alone."""
    lines: list[str] = []
    for word in text.replace("\n", " ").split(" "):
        if not word:
            continue
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and measure(longer, size_pt, bold) <= width_mm:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def _stack(
    items: Sequence[Item], width_mm: float, scale: float, measure: Measure
) -> Iterator[Placed]:
    y = 0.0
    said = [item for item in items if not (isinstance(item, Words) and not any(item.lines))]
    for place, item in enumerate(said):
        y += item.gap_mm * min(scale, 1.0) if place else 0.0
        row = list(_row(item, width_mm, y, scale, measure))
        yield from row
        y = max((p.y_mm + p.height_mm for p in row), default=y)


def _row(item: Item, width_mm: float, y: float, scale: float, measure: Measure) -> Iterator[Placed]:
    if not isinstance(item, Beside):
        yield _place(item, 0.0, y, width_mm, scale, measure)
        return
    room = width_mm - item.between_mm * (len(item.cells) - 1)
    x = 0.0
    for share, cell in item.cells:
        placed = _place(cell, x, y, room * share, scale, measure)
        if placed.width_mm > room * share + 1e-6:
            # Too wide for its cell is as bad as too wide for the box.
            placed = replace(placed, width_mm=width_mm + placed.width_mm)
        yield placed
        x += room * share + item.between_mm


def _place(
    item: Words | Picture, x: float, y: float, width_mm: float, scale: float, measure: Measure
) -> Placed:
    if isinstance(item, Picture):
        side = max(item.least_mm, item.side_mm * min(scale, 1.0))
        return Placed(item.field, x, y, side, side)
    size = max(LEAST_PT, round(item.size_pt * scale, 2))
    lines = [line for line in item.lines if line.strip()]
    if item.whole:  # a wide number shrinks alone, so that the words around it stay large
        widest = max((measure(line, 1.0, item.bold) for line in lines), default=0.0)
        if widest * size > width_mm:
            size = max(LEAST_PT, math.floor(100 * width_mm / widest) / 100)
    else:
        lines = [
            p for line in lines for p in wrap(line, width_mm, size, bold=item.bold, measure=measure)
        ]
    wide = max((measure(line, size, item.bold) for line in lines), default=0.0)
    tall = len(lines) * size * LINE * MM_PER_PT
    return Placed(item.field, x, y, wide, tall, tuple(lines), size, item.bold)


def _fits(placed: Sequence[Placed], width_mm: float, height_mm: float) -> bool:
    wide = any(p.width_mm > width_mm + 1e-6 for p in placed)
    return not wide and _bottom(placed) <= height_mm + 1e-6


def _bottom(placed: Sequence[Placed]) -> float:
    return max((p.y_mm + p.height_mm for p in placed), default=0.0)


def _refusal(placed: Sequence[Placed], width_mm: float, height_mm: float) -> TagDoesNotFitError:
    wide = next((p for p in placed if p.width_mm > width_mm + 1e-6), None)
    if wide is not None:
        tall_mm = say("{height:.0f} mm", height=float(wide.height_mm))
        msg = say(
            "The {field} ({what}) is too wide for {width:.0f} mm even at the smallest type of "
            "{least:g} pt. Use a wider label.",
            field=wide.field,
            what=wide.lines[0] if wide.lines else tall_mm,
            width=float(width_mm),
            least=LEAST_PT,
        )
        return TagDoesNotFitError(wide.field, msg)
    tall = max(placed, key=lambda p: p.height_mm)
    msg = say(
        "The words need {need:.0f} mm of height at the smallest type of {least:g} pt, and the "
        "label has {height:.0f} mm; most of it is the {field}. Use a larger label, or shorten "
        "that.",
        need=float(_bottom(placed)),
        least=LEAST_PT,
        height=float(height_mm),
        field=tall.field,
    )
    return TagDoesNotFitError(tall.field, msg)
