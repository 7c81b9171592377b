"""Geometry of a sheet of labels: where each label starts on the paper."""

import math
from collections.abc import Collection
from dataclasses import dataclass, fields
from typing import Final, NamedTuple

from patterns.core.words import Phrase, say

FOLDS: Final = ("", "book", "tent")
"""Not folded, folded along a line from top to bottom, or from side to side."""

_TOO_MANY_COLUMNS: Final = say(
    "{field} is {count}: they end at {end:g} mm on a {page_field} of {page:g} mm. {most} columns "
    "would fit, or a {label_field} up to {widest:g}, or a smaller {margin_field}."
)
_TOO_MANY_ROWS: Final = say(
    "{field} is {count}: they end at {end:g} mm on a {page_field} of {page:g} mm. {most} rows "
    "would fit, or a {label_field} up to {widest:g}, or a smaller {margin_field}."
)
_SLACK_MM: Final = 0.005
"""Rounding in a maker's spec sheet that still fits [mm]."""


class Position(NamedTuple):
    """Upper left corner of one label: page from 1, x and y from the page's corner [mm]."""

    page: int
    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class Grid:
    """A label sheet, measured from its upper left corner.

    Attributes:
        page_width_mm: Paper width [mm].
        page_height_mm: Paper height [mm].
        columns: Labels across.
        rows: Labels down.
        margin_left_mm: Paper edge to the first label [mm].
        margin_top_mm: Paper edge to the first label [mm].
        label_width_mm: Width of one label [mm].
        label_height_mm: Height of one label [mm].
        gap_x_mm: Between two labels across [mm].
        gap_y_mm: Between two labels down [mm].
        shift_x_tenths: Printer correction to the right [0.1 mm].
        shift_y_tenths: Printer correction downwards [0.1 mm].
        corner_mm: Radius of a label's corners [mm].
        hole_mm: Width of the hole in each label [mm]; 0 for none.
        hole_x_mm: Left edge of a label to the middle of its hole [mm].
        hole_y_mm: Top edge of a label to the middle of its hole [mm].
        fold: How each label is folded: empty, `book` or `tent`.

    Raises:
        ValueError: If a measure is out of range or the labels do not fit the page.
    """

    page_width_mm: float
    page_height_mm: float
    columns: int
    rows: int
    margin_left_mm: float
    margin_top_mm: float
    label_width_mm: float
    label_height_mm: float
    gap_x_mm: float = 0.0
    gap_y_mm: float = 0.0
    shift_x_tenths: int = 0
    shift_y_tenths: int = 0
    corner_mm: float = 0.0
    hole_mm: float = 0.0
    hole_x_mm: float = 0.0
    hole_y_mm: float = 0.0
    fold: str = ""

    def __post_init__(self) -> None:
        for field in fields(self):
            if field.name != "fold":
                self._check(field.name, getattr(self, field.name))
        if self.fold not in FOLDS:
            msg = f"fold is {self.fold!r}; use one of {', '.join(FOLDS)}, or nothing."
            raise ValueError(msg)
        self._check_label()
        self._check_fit("column", self.columns, self._across(), self.page_width_mm)
        self._check_fit("row", self.rows, self._down(), self.page_height_mm)

    @staticmethod
    def _check(name: str, value: float) -> None:
        if name.startswith("shift_"):
            ok, wanted = abs(value) <= 100, say("-100 to 100 tenths of a mm")
        elif name in {"columns", "rows"}:
            whole = 1 <= value <= 100 and value == int(value)
            ok, wanted = whole, say("a whole number from 1 to 100")
        elif name.startswith(("margin_", "gap_", "corner_", "hole_")):
            ok, wanted = 0 <= value <= 2000, say("0 to 2000 mm")
        else:
            ok, wanted = 0 < value <= 2000, say("above 0 and up to 2000 mm")
        if not ok:
            msg = say(
                "{field} is {value}; it must be {wanted}.", field=name, value=value, wanted=wanted
            )
            raise ValueError(msg)

    def _check_label(self) -> None:
        """See that corners and hole lie on the label."""
        short = min(self.label_width_mm, self.label_height_mm)
        if self.corner_mm > short / 2:
            raise ValueError(_too_wide("corner_mm", self.corner_mm, short / 2))
        if not self.hole_mm:
            return
        if self.hole_mm > short / 2:
            raise ValueError(_too_wide("hole_mm", self.hole_mm, short / 2))
        half = self.hole_mm / 2
        for name, middle, edge in (
            ("hole_x_mm", self.hole_x_mm, self.label_width_mm),
            ("hole_y_mm", self.hole_y_mm, self.label_height_mm),
        ):
            if not half <= middle <= edge - half:
                msg = say(
                    "{field} is {middle:g}; the hole lies on the label from {least:g} to {most:g}.",
                    field=name,
                    middle=float(middle),
                    least=float(half),
                    most=float(edge - half),
                )
                raise ValueError(msg)

    def _across(self) -> tuple[float, float, float]:
        return self.margin_left_mm, self.label_width_mm, self.gap_x_mm

    def _down(self) -> tuple[float, float, float]:
        return self.margin_top_mm, self.label_height_mm, self.gap_y_mm

    @staticmethod
    def _check_fit(what: str, count: int, run: tuple[float, float, float], page: float) -> None:
        margin, label, gap = run
        end = margin + count * label + (count - 1) * gap
        if end <= page + _SLACK_MM:
            return
        side, axis = ("left", "width") if what == "column" else ("top", "height")
        most = max(0, math.floor((page + _SLACK_MM - margin + gap) / (label + gap)))
        widest = max(0.0, math.floor(100 * (page - margin - (count - 1) * gap) / count) / 100)
        pattern = _TOO_MANY_COLUMNS if what == "column" else _TOO_MANY_ROWS
        msg = Phrase(
            pattern.one,
            {
                "field": f"{what}s",
                "count": count,
                "end": float(end),
                "page_field": f"page_{axis}_mm",
                "page": float(page),
                "most": most,
                "label_field": f"label_{axis}_mm",
                "widest": widest,
                "margin_field": f"margin_{side}_mm",
            },
        )
        raise ValueError(msg)

    @property
    def per_page(self) -> int:
        """Labels on one sheet."""
        return self.columns * self.rows

    def positions(self, count: int, start: int = 1, skip: Collection[int] = ()) -> list[Position]:
        """Return where each label starts, row by row, the printer correction included.

        Args:
            count: Labels to place.
            start: First place used on the first sheet, counted row by row from 1.
            skip: Places of the first sheet that are used up or spoiled.

        Raises:
            ValueError: If `count` is negative, or `start` or a place in `skip` is not on the sheet.
        """
        if count < 0:
            msg = f"count is {count}; it must be 0 or more."
            raise ValueError(msg)
        for name, place in [("start", start), *(("skip", place) for place in skip)]:
            if not 1 <= place <= self.per_page:
                msg = f"{name} is {place}; this sheet has places 1 to {self.per_page}."
                raise ValueError(msg)
        gone = set(skip)
        first = [place for place in range(start, self.per_page + 1) if place not in gone]
        places = [(1, place) for place in first[:count]]
        rest = range(count - len(places))
        places += [(2 + i // self.per_page, 1 + i % self.per_page) for i in rest]
        return [self._position(page, place) for page, place in places]

    def behind(self, front: Position) -> Position:
        """Return where the back of a label starts when the sheet is turned like a page.

        The columns stand in the other order on the back; the printer's correction goes the
        same way on both sides of the paper.
        """
        shift = self.shift_x_tenths / 10
        x = self.page_width_mm - (front.x_mm - shift) - self.label_width_mm + shift
        return Position(front.page, round(x, 4), front.y_mm)

    def _position(self, page: int, place: int) -> Position:
        row, column = divmod(place - 1, self.columns)
        x = self.margin_left_mm + column * (self.label_width_mm + self.gap_x_mm)
        y = self.margin_top_mm + row * (self.label_height_mm + self.gap_y_mm)
        x += self.shift_x_tenths / 10
        y += self.shift_y_tenths / 10
        return Position(page, round(x, 4), round(y, 4))


def _too_wide(field: str, value_mm: float, most_mm: float) -> Phrase:
    return say(
        "{field} is {value:g}; on this label it can be up to {most:g}.",
        field=field,
        value=float(value_mm),
        most=float(most_mm),
    )
