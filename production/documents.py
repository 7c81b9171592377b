"""Hang tags on paper: every word with its place, ready for a template."""

import functools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import segno
from django.utils.safestring import SafeString, mark_safe
from fontTools.ttLib import TTFont

from production.core.labelgrid import Grid, Position
from production.core.taglayout import (
    MM_PER_PT,
    Beside,
    Item,
    Picture,
    Placed,
    TagDoesNotFitError,
    Words,
    columns,
    fill,
)
from socktrade.papers import FONTS

PAD_MM = 3.0
"""Blank kept inside each label's edge."""

_TWO_COLUMNS_FROM_MM = 75.0
_ORIGIN_BESIDE_FROM_MM = 42.0
_HOLE_FROM_MM = 40.0
_GUTTER_MM = 4.0
_MODULE_MM, _LEAST_MODULE_MM = 0.5, 0.35
_SPARE = 1.01  # rounding of the printed type against its metrics
_NO_BREAK = "\N{NO-BREAK SPACE}"  # a share stays on the line of its fibre
_HOLE, _CODE = "punch hole", "QR code"

_FONT_FILES = {
    False: "atkinson-hyperlegible-next-latin-400-normal.woff2",
    True: "atkinson-hyperlegible-next-latin-700-normal.woff2",
}


@dataclass(frozen=True, slots=True)
class Node:
    """One thing on the paper; where it stands is in the style sheet under its name."""

    name: str
    kind: str
    lines: tuple[str, ...] = ()
    src: str = ""


@dataclass(slots=True)
class TagPrint:
    """Pages of tags with the style sheet that puts every word in its place."""

    grid: Grid
    pages: list[list[Node]] = field(default_factory=list)
    rules: list[str] = field(default_factory=list)

    @property
    def css(self) -> SafeString:
        """The style sheet; made of numbers and our own names only."""
        width, height = self.grid.page_width_mm, self.grid.page_height_mm
        page = (
            f"@page{{size:{width:g}mm {height:g}mm;margin:0!important;"
            "@bottom-right{content:none!important}}"
            f".sheet{{width:{width:g}mm;height:{height - 0.05:.2f}mm}}"
        )
        return mark_safe(page + "".join(self.rules))  # noqa: S308 - no text of anybody's in it

    def put(
        self, page: int, kind: str, box: tuple[float, float, float, float], **more: Any
    ) -> None:
        """Put a thing on a page: left, top, width and height [mm]; a width of 0 is its own."""
        while len(self.pages) < page:
            self.pages.append([])
        left, top, width, height = box
        name = f"n{len(self.rules)}"
        size = f"width:{width:.3f}mm;height:{height:.3f}mm;" if width else ""
        points = more.pop("size_pt", 0)
        type_size = f"font-size:{points:.2f}pt" if points else ""
        self.rules.append(f".{name}{{left:{left:.3f}mm;top:{top:.3f}mm;{size}{type_size}}}")
        self.pages[page - 1].append(Node(name=name, kind=kind, **more))


def lay_out_tags(
    texts: Sequence[Mapping[str, Any]],
    grid: Grid,
    *,
    start: int = 1,
    stub: bool = True,
    outline: bool = False,
) -> TagPrint:
    """Put tags on sheets.

    Args:
        texts: Words of each tag, as `production.core.tagwords` writes them.
        grid: The label sheet.
        start: First place used on the first sheet.
        stub: Whether a strip to tear off at the sale stands under a dashed line.
        outline: Whether each label's edge is drawn.

    Raises:
        TagDoesNotFitError: If the words of a tag do not fit its label; it names both.
        ValueError: If `start` is not on the sheet.
    """
    paper = TagPrint(grid)
    for text, at in zip(texts, grid.positions(len(texts), start=start), strict=True):
        if outline:
            _outline(paper, at)
        try:
            _tag(paper, text, at, stub=stub)
        except TagDoesNotFitError as problem:
            raise TagDoesNotFitError(problem.field, f"{text['number']}: {problem}") from problem
    return paper


def lay_out_outlines(grid: Grid) -> TagPrint:
    """Draw the edge and number of every place of a sheet, for a trial on plain paper."""
    paper = TagPrint(grid)
    for place, at in enumerate(grid.positions(grid.per_page), start=1):
        _outline(paper, at)
        box = (at.x_mm + PAD_MM, at.y_mm + PAD_MM, 0.0, 0.0)
        paper.put(at.page, "words bold", box, size_pt=14, lines=(str(place),))
    return paper


def measure(text: str, size_pt: float, bold: bool) -> float:  # noqa: FBT001 - the signature of Measure
    """Return the width of a text in the papers' typeface [mm], never less than printed."""
    advances = _advances(bold)
    units = sum(advances.get(ord(letter), 1000) for letter in text)
    return units / 1000 * size_pt * MM_PER_PT * _SPARE


@functools.cache
def _advances(bold: bool) -> dict[int, float]:  # noqa: FBT001 - one of two faces
    face = TTFont(FONTS / _FONT_FILES[bold])
    widths, per_em = face["hmtx"], face["head"].unitsPerEm
    return {code: widths[name][0] * 1000 / per_em for code, name in face.getBestCmap().items()}


def _outline(paper: TagPrint, at: Position) -> None:
    grid = paper.grid
    box = (at.x_mm, at.y_mm, grid.label_width_mm, grid.label_height_mm)
    paper.put(at.page, "outline", box)


def _tag(paper: TagPrint, text: Mapping[str, Any], at: Position, *, stub: bool) -> None:
    width, height = paper.grid.label_width_mm, paper.grid.label_height_mm
    pad = min(PAD_MM, width / 12, height / 12)
    strip = _stub(text, width - 2 * pad) if stub else ()
    tall = max((p.y_mm + p.height_mm for p in strip), default=0.0)
    tear = height - tall - 2 * pad if strip else height
    code = segno.make(text["address"], error="q", micro=False, boost_error=False)
    placed = [
        *_body(text, code.symbol_size(border=4)[0], width - 2 * pad, tear - 2 * pad),
        *(_moved(p, tear) for p in strip),
    ]
    if strip:
        paper.put(at.page, "tear", (at.x_mm, at.y_mm + tear, width, 0.2))
    for thing in placed:
        left, top = at.x_mm + pad + thing.x_mm, at.y_mm + pad + thing.y_mm
        if thing.lines:
            kind = "words bold" if thing.bold else "words"
            box = (left, top, 0.0, 0.0)
            lines = tuple(line.replace(_NO_BREAK, " ") for line in thing.lines)
            paper.put(at.page, kind, box, size_pt=thing.size_pt, lines=lines)
        elif thing.field in {_HOLE, _CODE}:
            src = code.png_data_uri(scale=1, border=4) if thing.field == _CODE else ""
            kind = "code" if src else "hole"
            paper.put(at.page, kind, (left, top, thing.width_mm, thing.height_mm), src=src)


def _moved(placed: Placed, down_mm: float) -> Placed:
    return Placed(
        placed.field, placed.x_mm, placed.y_mm + down_mm, placed.width_mm, placed.height_mm,
        placed.lines, placed.size_pt, placed.bold,
    )  # fmt: skip


def _stub(text: Mapping[str, Any], width_mm: float) -> tuple[Placed, ...]:
    """Return the strip that stays in the tin: number, size, price, and what it was."""
    size = text["sizes"][0]["range"] if text["sizes"] else text["size_name"]
    strip: list[Item] = [
        Beside(
            (
                (0.36, Words("pair number", (text["number"],), 10, bold=True, whole=True)),
                (0.32, Words("size", (size,), 10, bold=True)),
                (0.32, Words("price", (text["price"],), 10, bold=True, whole=True)),
            )
        ),
        Words("design", (f"{text['design']}, {text['size_name']}",), 7.5, gap_mm=0.3),
    ]
    return fill(strip, width_mm, 11.0, measure)


def _body(
    text: Mapping[str, Any], modules: int, width_mm: float, height_mm: float
) -> tuple[Placed, ...]:
    picture = Picture(_CODE, modules * _MODULE_MM, modules * _LEAST_MODULE_MM)
    if width_mm + 2 * PAD_MM < _TWO_COLUMNS_FROM_MM:
        items = [*_front(text, width_mm), *_back(text)]
        foot: list[Item] = [Beside(((0.5, _price(text)), (0.5, picture)), gap_mm=1.5)]
        return fill([*items, *foot], width_mm, height_mm, measure)
    left = round((width_mm - _GUTTER_MM) * 0.58, 2)
    right = width_mm - _GUTTER_MM - left
    front = [*_front(text, left), _price(text)]
    back: list[Item] = [picture, *_back(text)]
    return columns(
        [(0.0, 0.0, left, front), (left + _GUTTER_MM, 0.0, right, back)], height_mm, measure
    )


def _front(text: Mapping[str, Any], width_mm: float) -> list[Item]:
    brand = Words("workshop name", (text["brand"],), 8.5, bold=True)
    number = Words("pair number", (text["number"],), 8.5, whole=True)
    hole = 6 / width_mm
    head: Item = Beside(((0.7, brand), (0.3, number)))
    if width_mm >= _HOLE_FROM_MM:
        cells = ((hole, Picture(_HOLE, 5, 5)), (0.74 - hole, brand), (0.26, number))
        head = Beside(cells)
    items: list[Item] = [head, Words("design", (text["design"],), 13, bold=True)]
    items += _size_and_origin(text, width_mm)
    lines = tuple(line.replace("% ", f"%{_NO_BREAK}") for line in text["fibre"])
    items.append(Words("fibre content", lines, 10, gap_mm=1.5))
    if text["fault"]:
        items.append(Words("fault", (text["fault"],), 10, bold=True, gap_mm=1.2))
    return items


def _size_and_origin(text: Mapping[str, Any], width_mm: float) -> list[Item]:
    """Return the size, large, with the origin next to it on the front (16 CFR 303.15)."""
    origin = Words("origin", (text["origin"],), 8)
    if not text["sizes"]:
        return [Words("size", (text["size_name"],), 22, bold=True), origin]
    first, *others = text["sizes"]
    plain = bool(first["system"])
    size = Words("size", (first["range"],), 24 if plain else 12, bold=True, gap_mm=0, whole=plain)
    items: list[Item] = [Words("size system", (first["system"],), 10, bold=True, gap_mm=1.5)]
    if width_mm >= _ORIGIN_BESIDE_FROM_MM:
        items.append(Beside(((0.62, size), (0.38, origin)), gap_mm=0))
    else:
        items += [size, origin]
    more = [" ".join(part for part in (s["system"], s["range"]) if part) for s in others]
    months = text["size_name"] if text["cautions"] else ""  # a baby's size is its months
    line = " · ".join(part for part in (months, *more, text["sock_size"]) if part)
    items.append(Words("other sizes", (line,), 8.5))
    return items


def _back(text: Mapping[str, Any]) -> list[Item]:
    maker = f"Made by {text['maker']}" if text["maker"] else ""
    return [
        Words("caution", tuple(text["cautions"]), 8, bold=True, gap_mm=1.2),
        Words("care", (" ".join(text["care"]),), 8.5, gap_mm=1.2),
        Words("maker", (text["made_how"], maker), 7.5, gap_mm=1.2),
        Words("tracking line", (text["tracking"],), 7.5, gap_mm=1.2),
    ]


def _price(text: Mapping[str, Any]) -> Words:
    return Words("price", (text["price"],), 20, bold=True, gap_mm=1.5, whole=True)


def tag_pages(paper: TagPrint) -> dict[str, Any]:
    """Return what the templates of tags want."""
    return {"css": paper.css, "pages": paper.pages}
