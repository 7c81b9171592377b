"""Hang tags on their sheets: where each tag goes, and which things it is made of."""

from base64 import b64encode
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import segno

from patterns.core.words import say
from production.core.labelgrid import Grid, Position
from production.core.taglayout import Placed, TagDoesNotFitError
from production.core.tagpanels import Layout, Panel, edge_mm, panels, room
from production.documents.faces import CODE, HOLE, care_drawing, face, strip
from production.documents.pages import TagPrint, Thing
from production.documents.typeface import measure, missing_letters

SVG_URI = "data:image/svg+xml;base64,"
_MASK = 3
"""Choosing the best of eight masks costs four times the code; any one is read as well."""

_HAIR_MM = 0.15
_TYPED = {
    "brand": say("brand"),
    "maker": say("maker"),
    "design": say("design"),
    "size_name": say("size name"),
    "sizes": say("sizes"),
    "origin": say("origin"),
    "fibre": say("fibre"),
    "fibre_again": say("fibre again"),
    "price": say("price"),
    "tax": say("tax"),
    "fault": say("fault"),
    "tracking": say("tracking"),
    "care": say("care"),
    "second_text": say("second text"),
}
"""Words of a tag that a person typed, as a refusal names them."""

_NO_BREAK = "\N{NO-BREAK SPACE}"


def lay_out_tags(
    texts: Sequence[Mapping[str, Any]], grid: Grid, layout: Layout | None = None
) -> TagPrint:
    """Put tags on sheets; backs follow their fronts page by page.

    Args:
        texts: Words of each tag, as `production.core.tagwords` writes them.
        grid: The label sheet.
        layout: How they go on it.

    Raises:
        TagDoesNotFitError: If the words of a tag do not fit its label; it names both.
        ValueError: If the first place or a spoiled one is not on the sheet.
    """
    layout = layout or Layout()
    paper = TagPrint(grid)
    places = grid.positions(len(texts), start=layout.start, skip=layout.skip)
    for text, at in zip(texts, places, strict=True):
        try:
            _check_letters(text)
            _tag(paper, text, at, layout)
        except TagDoesNotFitError as problem:
            msg = say("{number}: {problem}", number=text["number"], problem=problem.args[0])
            raise TagDoesNotFitError(problem.field, msg) from problem
    return paper


def lay_out_outlines(grid: Grid) -> TagPrint:
    """Draw the edge and number of every place of a sheet, for a trial on plain paper."""
    paper = TagPrint(grid)
    pad = edge_mm(grid)
    for place, at in enumerate(grid.positions(grid.per_page), start=1):
        _outline(paper, at.page, at)
        box = (at.x_mm, at.y_mm, grid.label_width_mm, grid.label_height_mm)
        number = Thing(pad, pad, 0, 6, (str(place),), "font-size:14pt;font-weight:700")
        paper.put(at.page, box, [number])
    return paper


def _tag(paper: TagPrint, text: Mapping[str, Any], at: Position, layout: Layout) -> None:
    grid = paper.grid
    pad = edge_mm(grid)
    torn = strip(text, grid.label_width_mm - 2 * pad, measure) if layout.stub else ()
    strip_mm = _bottom(torn) + 2 * pad if torn else 0.0
    code = segno.make(text["address"], error="q", micro=False, boost_error=False, mask=_MASK)
    for panel in panels(grid, two_sided=layout.two_sided, strip_mm=strip_mm):
        page, place = at.page, at
        if layout.two_sided and not grid.fold:
            page, place = 2 * at.page - (0 if panel.behind else 1), at
            paper.blank(2 * at.page)
        if panel.behind:
            place = grid.behind(at)
        elif layout.outline and panel.side != "back":
            _outline(paper, page, place)
        things = list(_face(grid, panel, text, code))
        if torn and panel.side != "back":
            things += _tear_off(grid, panel, torn, pad)
        box = (
            place.x_mm + panel.x_mm, place.y_mm + panel.y_mm, panel.width_mm, panel.height_mm
        )  # fmt: skip
        paper.put(page, box, things, style="transform:rotate(180deg)" if panel.turned else "")


def _face(grid: Grid, panel: Panel, text: Mapping[str, Any], code: segno.QRCode) -> Iterator[Thing]:
    free = room(grid, panel)
    modules = code.symbol_size(border=4)[0]
    placed = face(
        panel.side, text, modules, free, guide=not grid.hole_mm and not grid.fold, measure=measure
    )
    sources = {CODE: code.png_data_uri(scale=1, border=4)}
    for number, drawing in enumerate(text.get("care_symbols", ()), start=1):
        sources[care_drawing(number)] = _svg_uri(drawing["outline"], drawing["filled"])
    for one in placed:
        yield from _thing(one, free.x_mm, free.y_mm, sources)


def _tear_off(grid: Grid, panel: Panel, torn: Sequence[Placed], pad: float) -> Iterator[Thing]:
    """Return the dashed line and the strip under it, across the whole label."""
    left = -panel.x_mm
    yield Thing(left, panel.height_mm, grid.label_width_mm, 0.2, kind="tear")
    for one in torn:
        yield from _thing(one, left + pad, panel.height_mm + pad, {})


def _thing(placed: Placed, left: float, top: float, sources: Mapping[str, str]) -> Iterator[Thing]:
    x, y = left + placed.x_mm, top + placed.y_mm
    if placed.lines:
        style = f"font-size:{placed.size_pt:.2f}pt"
        if placed.bold:
            style += ";font-weight:700"
        lines = tuple(line.replace(_NO_BREAK, " ") for line in placed.lines)
        yield Thing(x, y, 0, placed.height_mm, lines, style)
    elif placed.field in sources:
        kind = "code" if placed.field == CODE else "drawn"
        src = sources[placed.field]
        yield Thing(x, y, placed.width_mm, placed.height_mm, src=src, kind=kind)
    elif placed.field == HOLE:
        yield Thing(x, y, placed.width_mm, placed.height_mm, kind="hole")


def _svg_uri(outline: str, filled: str) -> str:
    drawing = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 48 43">'
        f'<path fill="none" stroke="#000" stroke-width="2.4" d="{outline}"/>'
        f'<path d="{filled}"/></svg>'
    )
    return f"{SVG_URI}{b64encode(drawing.encode()).decode()}"


def _outline(paper: TagPrint, page: int, at: Position) -> None:
    grid = paper.grid
    width, height = grid.label_width_mm, grid.label_height_mm
    round_corner = f"border-radius:{grid.corner_mm:.2f}mm" if grid.corner_mm else ""
    paper.put(page, (at.x_mm, at.y_mm, width, height), kind="outline", style=round_corner)
    if grid.fold == "book":
        paper.put(page, (at.x_mm + width / 2, at.y_mm, _HAIR_MM, height), kind="fold")
    elif grid.fold == "tent":
        paper.put(page, (at.x_mm, at.y_mm + height / 2, width, _HAIR_MM), kind="fold")
    if grid.hole_mm:
        half = grid.hole_mm / 2
        x, y = at.x_mm + grid.hole_x_mm - half, at.y_mm + grid.hole_y_mm - half
        paper.put(page, (x, y, grid.hole_mm, grid.hole_mm), kind="hole")


def _check_letters(text: Mapping[str, Any]) -> None:
    """Refuse letters that would print as an empty box."""
    for field, words in text.items():
        if field in {"address", "care_symbols"}:  # drawn, not set in type
            continue
        lacking = missing_letters(_joined(words))
        if lacking:
            name = _TYPED.get(field, field.replace("_", " "))
            msg = say(
                "The typeface of the tags has no {letters} ({name}). Write it otherwise.",
                letters=" ".join(lacking),
                name=name,
            )
            raise TagDoesNotFitError(name, msg)


def _joined(words: Any) -> str:
    if isinstance(words, str):
        return words
    if isinstance(words, Mapping):
        return "".join(_joined(word) for word in words.values())
    return "".join(_joined(word) for word in words) if isinstance(words, list) else ""


def _bottom(placed: Sequence[Placed]) -> float:
    return max((p.y_mm + p.height_mm for p in placed), default=0.0)
