"""How tags go on labels: the sides, the fold, and the room that the hole leaves."""

from dataclasses import dataclass
from typing import Final

from production.core.labelgrid import Grid

PAD_MM: Final = 3.0
"""Blank kept inside each label's edge [mm]."""

_ROUND_HOLE_MM: Final = 1.0
_CORNER_SHARE: Final = 0.3  # a square touches a quarter circle at 1 - 1/sqrt(2) of its radius


@dataclass(frozen=True, slots=True)
class Layout:
    """How tags go on sheets.

    Attributes:
        start: First place used on the first sheet.
        skip: Places of the first sheet that are spoiled.
        two_sided: Whether the back of the paper is printed, for a printer that turns the
            sheet like a page; a folded label has its own back.
        stub: Whether a strip to tear off at the sale stands under a dashed line.
        outline: Whether each label's edge, fold and hole are drawn.
    """

    start: int = 1
    skip: tuple[int, ...] = ()
    two_sided: bool = False
    stub: bool = True
    outline: bool = False


@dataclass(frozen=True, slots=True)
class Panel:
    """One face of a label.

    Attributes:
        side: `front`, `back`, or `both` when everything stands on one face.
        x_mm: From the left of the flat label.
        y_mm: From its top.
        width_mm: Of the face.
        height_mm: Of the face.
        turned: Whether it is printed upside down, to stand upright once folded.
        behind: Whether it is printed on the back of the paper.
    """

    side: str
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    turned: bool = False
    behind: bool = False


@dataclass(frozen=True, slots=True)
class Room:
    """The rectangle of a face that is free for words, from its upper left corner [mm]."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float


def panels(grid: Grid, *, two_sided: bool, strip_mm: float = 0.0) -> tuple[Panel, ...]:
    """Return the faces of each label, what hangs in front first.

    Args:
        grid: The sheet; its fold goes before `two_sided`.
        two_sided: Whether the back of the paper is printed.
        strip_mm: Height kept free at the bottom for a strip to tear off [mm].
    """
    width, height = grid.label_width_mm, grid.label_height_mm
    if grid.fold == "book":
        half = width / 2
        return (
            Panel("front", half, 0.0, half, height - strip_mm),
            Panel("back", 0.0, 0.0, half, height - strip_mm),
        )
    if grid.fold == "tent":
        half = height / 2
        return (
            Panel("front", 0.0, half, width, half - strip_mm),
            Panel("back", 0.0, 0.0, width, half, turned=True),
        )
    if two_sided:
        return (
            Panel("front", 0.0, 0.0, width, height - strip_mm),
            Panel("back", 0.0, 0.0, width, height - strip_mm, behind=True),
        )
    return (Panel("both", 0.0, 0.0, width, height - strip_mm),)


def room(grid: Grid, panel: Panel) -> Room:
    """Return the room that edges, corners and hole leave on a face.

    The hole goes through all layers of a folded label, so it is kept free on each; a band
    is given up on the side where that costs least.
    """
    pad = edge_mm(grid)
    insets = {"left": pad, "top": pad, "right": pad, "bottom": pad}
    hole = _hole_on(grid, panel)
    if hole:
        side, inset = _cheapest(panel, hole, grid.hole_mm / 2 + _ROUND_HOLE_MM, pad)
        insets[side] = max(pad, inset)
    return Room(
        insets["left"],
        insets["top"],
        panel.width_mm - insets["left"] - insets["right"],
        panel.height_mm - insets["top"] - insets["bottom"],
    )


def edge_mm(grid: Grid) -> float:
    """Return how far words keep from the edge of a label [mm]; less on a very small one."""
    pad = min(PAD_MM, grid.label_width_mm / 12, grid.label_height_mm / 12)
    return max(pad, _CORNER_SHARE * grid.corner_mm)


def _hole_on(grid: Grid, panel: Panel) -> tuple[float, float] | None:
    """Return the middle of the hole on a face as it is read, if it reaches that face."""
    if not grid.hole_mm:
        return None
    x, y = grid.hole_x_mm, grid.hole_y_mm
    if panel.behind:
        x = grid.label_width_mm - x
    elif grid.fold == "book":
        # Both halves are pierced at the same distance from the fold.
        away = abs(x - panel.width_mm)
        x = away if panel.side == "front" else panel.width_mm - away
    elif grid.fold == "tent":
        away = abs(y - grid.label_height_mm / 2)
        x = grid.label_width_mm - x if panel.turned else x
        y = away
    return x, y


def _cheapest(
    panel: Panel, hole: tuple[float, float], radius: float, pad: float
) -> tuple[str, float]:
    x, y = hole
    bands = {
        "top": (y + radius, panel.width_mm),
        "left": (x + radius, panel.height_mm),
        "right": (panel.width_mm - x + radius, panel.height_mm),
        "bottom": (panel.height_mm - y + radius, panel.width_mm),
    }
    side = min(bands, key=lambda name: max(0.0, bands[name][0] - pad) * bands[name][1])
    return side, bands[side][0]
