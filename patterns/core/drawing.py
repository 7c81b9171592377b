"""Pictures computed from row counts: the sock to scale and its short rows as bars.

SVG text with classes and geometry only; colours and type belong to the style sheet.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape
from itertools import pairwise

from patterns.core.bounds import (
    COURSES_PER_10CM,
    ROWS,
    require,
    require_needles,
    require_whole,
)
from patterns.core.gauge import Gauge, require_washed
from patterns.core.sections import counted
from patterns.core.shaping import turn
from patterns.core.words import say, say_count

_MARGIN_MM = 6.0
_LABEL_WIDTH_MM = 62.0
_LINE_MM = 11.0
_LETTER_MM = 4.8  # of a label, on the wide side
_ROWS_MARKED = 10
_BAR, _GAP = 3.0, 1.0

_Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class _Outline:
    """Corners of a sock lying on its side, cuff up and toe to the right [mm]."""

    width: float
    hem: float
    cuff: float
    leg: float
    floor: float
    foot: float
    toe: float
    row: float

    @property
    def instep(self) -> _Point:
        # The fold of the instep. On a sock lower than its foot is wide it stands above
        # the back of the cuff, as the opening of a footlet does.
        return min(self.width, self.foot), self.floor - self.width

    @property
    def corner(self) -> _Point:
        """Upper end of the front edge."""
        return (self.width, 0.0) if self.instep[1] >= 0 else self.instep

    @property
    def leg_front(self) -> _Point:
        """Where the leg begins at the front, below hem and cuff."""
        x, y = self.corner
        lowest = y + self.hem + self.cuff
        return x, min(lowest, self.instep[1]) if self.cuff else lowest

    @property
    def gore(self) -> _Point:
        """Where the two gore lines end: the side of the tube, half its flat width in."""
        return self.width / 2, self.floor - self.width / 2


def sock_outline(  # noqa: PLR0913 - a sock's numbers, by name
    *,
    needles: int,
    leg_rows: int,
    heel_rows: int,
    foot_rows: int,
    toe_rows: int,
    gauge: Gauge,
    hem_rows: int = 0,
    cuff_rows: int = 0,
    cuff_courses_per_10cm: float | None = None,
    title: str = "Sock",
) -> str:
    """Draw a sock to scale, lying flat on its side, as SVG with a viewBox in mm.

    Height (floor to cuff) and foot length (heel to toe) are true to the row counts, and
    the tube is half its circumference wide. Each part is one
    `<path class="sock-hem|sock-cuff|sock-leg|sock-heel|sock-foot|sock-toe">` with its own title;
    `sock-rows` marks every tenth row of leg and foot.

    Args:
        needles: Needles in the cylinder, even, 12 to 200.
        leg_rows: Rounds from cuff to heel, those of a hem that show or of a cuff included.
        heel_rows: Short-row passes of the heel.
        foot_rows: Rounds between heel and toe.
        toe_rows: Short-row passes of the toe.
        gauge: Washed gauge.
        hem_rows: Visible rounds of a hung hem, at most the leg rows.
        cuff_rows: Rounds of a cuff in rib, with the hem's at most the leg rows.
        cuff_courses_per_10cm: Washed rows of that rib [per 10 cm], else those of the gauge.
        title: Name of the picture.

    Raises:
        ValueError: If a number is out of range or the gauge is raw.
    """
    require_washed(gauge)
    leg_rows = require_whole("leg_rows", leg_rows, ROWS)
    rows = {
        "hem": require_whole("hem_rows", hem_rows, (0, leg_rows)),
        "cuff": require_whole("cuff_rows", cuff_rows, (0, leg_rows - hem_rows)),
        "leg": leg_rows,
        "heel": require_whole("heel_rows", heel_rows, ROWS),
        "foot": require_whole("foot_rows", foot_rows, ROWS),
        "toe": require_whole("toe_rows", toe_rows, ROWS),
    }
    cuff_courses = cuff_courses_per_10cm or gauge.courses_per_10cm
    cuff_mm = 100 * cuff_rows / require("cuff_courses_per_10cm", cuff_courses, COURSES_PER_10CM)
    outline = _outline(require_needles(needles), rows, gauge, cuff_mm)
    labels = list(_labels(outline, rows))
    lines = (*_paths(outline, rows), _row_lines(outline), _gore_line(outline))
    body = "".join((*lines, *(label.drawn for label in labels)))
    return _svg("sock-drawing", title, _view_box(outline, labels), body)


def needles_by_pass(needles: int, centre: int | None = None, deep_heel: int = 0) -> str:
    """Draw which needles knit in each short-row pass as SVG bars, one per pass.

    Needles go out on alternating sides and come back in the same order reversed.

    Args:
        needles: Needles in the cylinder, even, 12 to 200.
        centre: Needles left at the narrowest; by default nearest to a third of half.
        deep_heel: Needles held beyond half, 0, 2 or 4.

    Raises:
        ValueError: If a number is out of range or the centre has the wrong parity.
    """
    shape = turn(needles, centre, deep_heel)
    bars = [
        _bar(number, working, shape.held, narrowing=number < shape.passes)
        for number, working in enumerate(shape.working)
    ]
    width, height = shape.held * _BAR, shape.rows * (_BAR + _GAP) - _GAP
    name = say(
        "Short rows: {held} needles down to {centre} and back",
        held=shape.held,
        centre=shape.centre,
    )
    return _svg("pass-drawing", name, f"0 0 {width:g} {height:g}", "".join(bars))


def _outline(needles: int, rows: dict[str, int], gauge: Gauge, cuff_mm: float) -> _Outline:
    row_mm = 100 / gauge.courses_per_10cm
    # A turn is a fold: half its passes lie along the leg or top, half along the sole.
    heel, toe = rows["heel"] / 2 * row_mm, rows["toe"] / 2 * row_mm
    leg = (rows["leg"] - rows["cuff"]) * row_mm + cuff_mm
    foot = heel + rows["foot"] * row_mm
    return _Outline(
        width=needles * 50 / gauge.wales_per_10cm,
        hem=rows["hem"] * row_mm,
        cuff=cuff_mm,
        leg=leg,
        floor=leg + heel,
        foot=foot,
        toe=foot + toe,
        row=row_mm,
    )


def _paths(outline: _Outline, rows: dict[str, int]) -> Iterable[str]:
    hem, leg, floor = outline.hem, outline.leg, outline.floor
    instep, gore, heel = outline.instep, outline.gore, floor - leg
    x, y = outline.corner
    if hem:
        yield _path("hem", rows, _polygon((0, 0), (x, y), (x, y + hem), (0, hem)))
    top, front = hem + outline.cuff, outline.leg_front[1]
    if rows["cuff"]:
        yield _path("cuff", rows, _polygon((0, hem), (x, y + hem), (x, front), (0, top)))
    yield _path("leg", rows, _polygon((0, top), (x, front), instep, gore, (0, leg)))
    bend = heel / 2
    yield _path(
        "heel",
        rows,
        f"M{_at((0, leg))} L{_at((0, floor - bend))} Q{_at((0, floor))} {_at((bend, floor))} "
        f"L{_at((heel, floor))} L{_at(gore)} Z",
    )
    upper, end, tip = instep[1], outline.foot, outline.toe
    yield _path("foot", rows, _polygon(instep, (end, upper), (end, floor), (heel, floor), gore))
    middle = (upper + floor) / 2
    yield _path(
        "toe",
        rows,
        f"M{_at((end, upper))} Q{_at((tip, upper))} {_at((tip, middle))} "
        f"Q{_at((tip, floor))} {_at((end, floor))} Z",
    )


def _path(part: str, rows: dict[str, int], shape: str) -> str:
    return f'<path class="sock-{part}" d="{shape}"><title>{_words(part, rows)}</title></path>'


def _words(part: str, rows: dict[str, int]) -> str:
    count = rows["leg"] - rows["hem"] - rows["cuff"] if part == "leg" else rows[part]
    return escape(str(counted(part, count)))


def _gore_line(outline: _Outline) -> str:
    corner = (outline.floor - outline.leg) / 8
    start, end = _at((corner, outline.floor - corner)), _at(outline.gore)
    return f'<path class="sock-gore" d="M{start} L{end}"/>'


def _row_lines(outline: _Outline) -> str:
    leg_edge = (outline.leg_front, outline.instep, outline.gore)
    leg = (
        ((0.0, y), (right, y))
        for y in _tenth_rows(outline, outline.hem + outline.cuff, outline.leg)
        if (right := _edge_at(leg_edge, y, axis=1)) is not None
    )
    heel = outline.floor - outline.leg
    sole, upper_end = (heel, outline.floor), (outline.foot, outline.instep[1])
    foot_edge = (sole, outline.gore, outline.instep, upper_end)
    foot = (
        ((x, upper), (x, outline.floor))
        for x in _tenth_rows(outline, heel, outline.foot)
        if (upper := _edge_at(foot_edge, x, axis=0)) is not None
    )
    drawn = " ".join(f"M{_at(start)} L{_at(end)}" for start, end in (*leg, *foot))
    return f'<path class="sock-rows" d="{drawn}"/>' if drawn else ""


def _tenth_rows(outline: _Outline, start: float, end: float) -> Iterable[float]:
    rows = round((end - start) / outline.row)
    return (start + row * outline.row for row in range(_ROWS_MARKED, rows, _ROWS_MARKED))


def _edge_at(edge: Sequence[_Point], place: float, *, axis: int) -> float | None:
    """Return where an edge of corners stands at a place on the other axis."""
    for before, after in pairwise(edge):
        if before[axis] <= place <= after[axis] and before[axis] < after[axis]:
            share = (place - before[axis]) / (after[axis] - before[axis])
            return before[1 - axis] + share * (after[1 - axis] - before[1 - axis])
    return None


@dataclass(frozen=True, slots=True)
class _Label:
    x: float
    y: float
    words: str
    anchor: str = "start"

    @property
    def drawn(self) -> str:
        return (
            f'<text class="sock-label" x="{self.x:.1f}" y="{self.y:.1f}" '
            f'text-anchor="{self.anchor}">{self.words}</text>'
        )


def _labels(outline: _Outline, rows: dict[str, int]) -> Iterable[_Label]:
    parts = [part for part in rows if rows[part] or part not in {"hem", "cuff"}]
    split = parts.index("heel") if _room_beside(outline) else 0
    upper, lower = parts[:split], parts[split:]
    for line, part in enumerate(upper):
        yield _Label(outline.width + _MARGIN_MM, (line + 1) * _LINE_MM, _words(part, rows))
    yield from _labels_below(outline, [_words(part, rows) for part in lower])


def _labels_below(outline: _Outline, words: Sequence[str]) -> Iterable[_Label]:
    """Name each part under itself where the names have room, else one below another."""
    first, *others = (len(word) * _LETTER_MM for word in words)
    middle = (outline.floor - outline.leg + outline.foot) / 2
    if (
        len(others) == 2
        and first <= middle - others[0] / 2
        and middle + others[0] / 2 <= outline.toe - others[1]
    ):
        line = outline.floor + _LINE_MM
        yield _Label(0, line, words[0])
        yield _Label(middle, line, words[1], "middle")
        yield _Label(outline.toe, line, words[2], "end")
        return
    for line, word in enumerate(words):
        yield _Label(0, outline.floor + (line + 1) * _LINE_MM, word)


def _room_beside(outline: _Outline) -> bool:
    return outline.instep[1] >= 3 * _LINE_MM


def _view_box(outline: _Outline, drawn: Sequence[_Label]) -> str:
    top = min(0.0, outline.instep[1]) - _MARGIN_MM
    beside = _room_beside(outline)
    labels = outline.width + _MARGIN_MM if beside else 0.0
    right = max(outline.toe, outline.width, labels + _LABEL_WIDTH_MM) + _MARGIN_MM
    bottom = max(label.y for label in drawn) + _MARGIN_MM
    return f"{-_MARGIN_MM:g} {top:.1f} {right + _MARGIN_MM:.1f} {bottom - top:.1f}"


def _polygon(*points: _Point) -> str:
    return f"M{' L'.join(_at(point) for point in points)} Z"


def _at(point: Sequence[float]) -> str:
    return f"{point[0]:.1f},{point[1]:.1f}"


def _bar(number: int, working: int, held: int, *, narrowing: bool) -> str:
    # The first needle out is on the left, so the left side is ahead by the odd one.
    left = (held - working + 1) // 2
    kind = "narrowing" if narrowing else "widening"
    words = say_count(
        "Pass {number}: {count} needle",
        "Pass {number}: {count} needles",
        working,
        number=number + 1,
    )
    return (
        f'<rect class="pass-{kind}" x="{left * _BAR:g}" y="{number * (_BAR + _GAP):g}" '
        f'width="{working * _BAR:g}" height="{_BAR:g}">'
        f"<title>{escape(str(words))}</title></rect>"
    )


def _svg(kind: str, title: str, view_box: str, body: str) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="{kind}" role="img" '
        f'viewBox="{view_box}"><title>{escape(str(title))}</title>{body}</svg>'
    )
