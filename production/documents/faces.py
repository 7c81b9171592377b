"""What stands on each face of a tag, and in which order."""

from collections.abc import Mapping
from typing import Any

from patterns.core.words import Phrase, say
from production.core.taglayout import Beside, Item, Measure, Picture, Placed, Words, columns, fill
from production.core.tagpanels import PAD_MM, Room

HOLE, CODE = say("punch hole"), say("QR code")

_TWO_COLUMNS_FROM_MM = 75.0
_ORIGIN_BESIDE_FROM_MM = 42.0
_HOLE_FROM_MM = 40.0
_GUTTER_MM = 4.0
_MODULE_MM, _LEAST_MODULE_MM = 0.5, 0.35
_STRIP_MM = 11.0
_CARE_MM, _LEAST_CARE_MM = 5.5, 4.0
_NO_BREAK = "\N{NO-BREAK SPACE}"  # a share stays on the line of its fibre


def care_drawing(number: int) -> Phrase:
    """Return the name of a care drawing, counted from 1."""
    return say("care drawing {number}", number=number)


def strip(text: Mapping[str, Any], width_mm: float, measure: Measure) -> tuple[Placed, ...]:
    """Return the strip that stays in the tin: number, size, price, and what it was."""
    size = text["sizes"][0]["range"] if text["sizes"] else text["size_name"]
    items: list[Item] = [
        Beside(
            (
                (0.36, Words(say("pair number"), (text["number"],), 10, bold=True, whole=True)),
                (0.32, Words(say("size"), (size,), 10, bold=True)),
                (0.32, Words(say("price"), (text["price"],), 10, bold=True, whole=True)),
            )
        ),
        Words(say("design"), (f"{text['design']}, {text['size_name']}",), 7.5, gap_mm=0.3),
    ]
    return fill(items, width_mm, _STRIP_MM, measure)


def face(
    side: str, text: Mapping[str, Any], modules: int, room: Room, *, guide: bool, measure: Measure
) -> tuple[Placed, ...]:
    """Fill one face.

    Args:
        side: `front`, `back` or `both`.
        text: Words of the tag.
        modules: Modules across its QR code, the blank around it included.
        room: The room for words.
        guide: Whether a circle shows where to punch the hole.
        measure: Width of a text.

    Raises:
        TagDoesNotFitError: If the words do not fit.
    """
    code = Picture(CODE, modules * _MODULE_MM, modules * _LEAST_MODULE_MM)
    width, height = room.width_mm, room.height_mm
    if side == "front":
        items = [*_front(text, width, guide=guide), *_fault(text), *_price(text)]
        return fill(items, width, height, measure)
    back = [*_fibre(text), *_back(text)]
    if side == "back":
        return _code_beside(back, code, room, measure)
    front = [*_front(text, width, guide=guide), *_fibre(text), *_fault(text)]
    if width + 2 * PAD_MM < _TWO_COLUMNS_FROM_MM:
        foot: list[Item] = [Beside(((0.5, _price_words(text)), (0.5, code)), gap_mm=1.5)]
        return fill([*front, *_back(text), *_tax(text), *foot], width, height, measure)
    left = round((width - _GUTTER_MM) * 0.58, 2)
    right = width - _GUTTER_MM - left
    front = [*_front(text, left, guide=guide), *_fibre(text), *_fault(text), *_price(text)]
    halves = [(0.0, 0.0, left, front), (left + _GUTTER_MM, 0.0, right, [code, *_back(text)])]
    return columns(halves, height, measure)


def _code_beside(
    back: list[Item], code: Picture, room: Room, measure: Measure
) -> tuple[Placed, ...]:
    """Put the code beside the words of a wide back, under those of a narrow one."""
    width = room.width_mm
    if width + 2 * PAD_MM < _TWO_COLUMNS_FROM_MM:
        return fill([*back, code], width, room.height_mm, measure)
    right = min(code.side_mm, width / 3)
    left = width - _GUTTER_MM - right
    return columns(
        [(0.0, 0.0, left, back), (left + _GUTTER_MM, 0.0, right, [code])], room.height_mm, measure
    )


def _front(text: Mapping[str, Any], width_mm: float, *, guide: bool) -> list[Item]:
    brand = Words(say("workshop name"), (text["brand"],), 8.5, bold=True)
    number = Words(say("pair number"), (text["number"],), 8.5, whole=True)
    hole = 6 / width_mm
    head: Item = Beside(((0.7, brand), (0.3, number)))
    if guide and width_mm >= _HOLE_FROM_MM:
        head = Beside(((hole, Picture(HOLE, 5, 5)), (0.74 - hole, brand), (0.26, number)))
    items: list[Item] = [head, Words(say("design"), (text["design"],), 13, bold=True)]
    return [*items, *_size_and_origin(text, width_mm)]


def _size_and_origin(text: Mapping[str, Any], width_mm: float) -> list[Item]:
    """Return the size, large, with the origin next to it on the front (16 CFR 303.15)."""
    origin = Words(say("origin"), (text["origin"],), 8)
    if not text["sizes"]:
        return [Words(say("size"), (text["size_name"],), 22, bold=True), origin]
    first, *others = text["sizes"]
    plain = bool(first["system"])
    size = Words(
        say("size"), (first["range"],), 24 if plain else 12, bold=True, gap_mm=0, whole=plain
    )
    items: list[Item] = [Words(say("size system"), (first["system"],), 10, bold=True, gap_mm=1.5)]
    if width_mm >= _ORIGIN_BESIDE_FROM_MM:
        items.append(Beside(((0.62, size), (0.38, origin)), gap_mm=0))
    else:
        items += [size, origin]
    more = [" ".join(part for part in (s["system"], s["range"]) if part) for s in others]
    months = text["size_name"] if text["cautions"] else ""  # a baby's size is its months
    line = " · ".join(part for part in (months, *more, text["sock_size"]) if part)
    return [*items, Words(say("other sizes"), (line,), 8.5)]


def _fibre(text: Mapping[str, Any]) -> list[Item]:
    items: list[Item] = [Words(say("fibre content"), _held(text["fibre"]), 10, gap_mm=1.5)]
    again = _held(text.get("fibre_again", ()))
    if again:
        items.append(Words(say("fibre content in the second language"), again, 9))
    return items


def _held(lines: Any) -> tuple[str, ...]:
    return tuple(line.replace("% ", f"%{_NO_BREAK}") for line in lines)


def _fault(text: Mapping[str, Any]) -> list[Item]:
    return (
        [Words(say("fault"), (text["fault"],), 10, bold=True, gap_mm=1.2)] if text["fault"] else []
    )


def _back(text: Mapping[str, Any]) -> list[Item]:
    maker = f"Made by {text['maker']}" if text["maker"] else ""
    return [
        Words(say("caution"), tuple(text["cautions"]), 8, bold=True, gap_mm=1.2),
        Words(say("care"), (" ".join(text["care"]),), 8.5, gap_mm=1.2),
        *_care_drawings(len(text.get("care_symbols", ()))),
        Words(say("words in the second language"), (text.get("second_text", ""),), 8, gap_mm=1.2),
        Words(say("maker"), (text["made_how"], maker), 7.5, gap_mm=1.2),
        Words(say("tracking line"), (text["tracking"],), 7.5, gap_mm=1.2),
    ]


def _care_drawings(count: int) -> list[Item]:
    """Return the row of care drawings under the care words; they never stand alone."""
    if not count:
        return []
    cells = tuple(
        (1 / count, Picture(care_drawing(number), _CARE_MM, _LEAST_CARE_MM))
        for number in range(1, count + 1)
    )
    return [Beside(cells, gap_mm=1.0, between_mm=0.6)]


def _price(text: Mapping[str, Any]) -> list[Item]:
    return [_price_words(text), *_tax(text)]


def _price_words(text: Mapping[str, Any]) -> Words:
    return Words(say("price"), (text["price"],), 20, bold=True, gap_mm=1.5, whole=True)


def _tax(text: Mapping[str, Any]) -> list[Item]:
    return [Words(say("words about tax"), (text.get("tax", ""),), 7.5)]
