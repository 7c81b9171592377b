"""Plain drawings of care words in the North American manner, always beside the words.

Meanings: tub wash, triangle bleach, square dry, iron iron, circle dry-clean, with an F for
petroleum solvent (from memory); dots for heat, bars for a gentler cycle, a cross for do not.
Dots 1, 2, 3 in the tub are 30, 40, 50 °C; bar counts are from memory.
The drawings are the project's own. Other regions' symbols are registered trademarks and differ in
their marks for drying and cycles, so none is drawn for them.
"""

from dataclasses import dataclass
from typing import Final

from production.core.care import CareSet
from production.core.fibre.compose import require_rules

_TUB: Final = "M4 12 L9 36 H39 L44 12 M4 14 q5 -4 10 0 t10 0 t10 0 t10 0"
_TRIANGLE: Final = "M24 6 L43 37 H5 Z"
_SQUARE: Final = "M8 5 H40 V37 H8 Z"
_IRON: Final = "M5 34 H43 L39 14 H17 M5 34 q2 -12 16 -12 H40"
_CROSS: Final = "M6 4 L42 38 M42 4 L6 38"
_CIRCLE: Final = "M37 21 a13 13 0 1 1 -26 0 a13 13 0 1 1 26 0 Z"
_HAND: Final = "M14 9 q3 9 9 14 l9 5 q3 2 1 4 h-8 q-7 -2 -12 -9"
_LETTER_F: Final = "M20.5 28.5 V14 H29 M20.5 20.5 H27"
_DOTS: Final = {"cold": 1, "warm": 2, "hot": 3}
_TUMBLE: Final = {"tumble_no_heat": 0, "tumble_low": 1, "tumble_medium": 2, "tumble_high": 3}
_IRON_DOTS: Final = {"cool": 1, "warm": 2, "hot": 3, "unneeded": 0, "none": 0}


@dataclass(frozen=True, slots=True)
class Symbol:
    """One drawing on a field 48 wide and 42 high.

    Attributes:
        means: What it says, in words.
        outline: Path that is stroked.
        filled: Path that is filled; empty if there is none.
    """

    means: str
    outline: str
    filled: str = ""


def care_symbols(care: CareSet, rules: str = "us") -> tuple[Symbol, ...]:
    """Return the drawings of a care set in their order: wash, bleach, dry, iron, solvent.

    What may only be dry-cleaned needs the one drawing for that.

    Args:
        care: A complete set.
        rules: `us`; under other rules no drawing is given.

    Raises:
        ValueError: If `rules` is not a key of `fibre.compose.RULES`.
    """
    require_rules(rules)
    if rules != "us":
        return ()
    cleaned = () if care.dry_clean == "unsaid" else (_dry_clean(care),)
    if care.wash == "none":
        unwashed = (Symbol("do not wash", f"{_TUB} {_CROSS}"),)
        return cleaned if care.dry_clean != "none" else (*unwashed, *cleaned)
    return _wash(care), _bleach(care), _dry(care), _iron(care), *cleaned


def _wash(care: CareSet) -> Symbol:
    if care.wash == "hand":
        return Symbol(f"hand wash {care.temperature}", f"{_TUB} {_HAND}")
    bars = " M10 39 H38 M10 41.5 H38" if care.cycle == "gentle" else ""
    dots = _dots(_DOTS[care.temperature], 25)
    gentle = ", gentle cycle" if bars else ""
    return Symbol(f"machine wash {care.temperature}{gentle}", _TUB + bars, dots)


def _bleach(care: CareSet) -> Symbol:
    if care.bleach == "any":
        return Symbol("any bleach when needed", _TRIANGLE)
    if care.bleach == "none":
        return Symbol("do not bleach", f"{_TRIANGLE} {_CROSS}")
    return Symbol(
        "only non-chlorine bleach when needed", f"{_TRIANGLE} M19 37 L29 16 M27 37 L34 23"
    )


def _dry(care: CareSet) -> Symbol:
    if care.dry == "line":
        return Symbol("line dry", f"{_SQUARE} M8 5 q16 18 32 0")
    if care.dry == "flat":
        return Symbol("dry flat", f"{_SQUARE} M14 21 H34")
    means = care.dry.replace("tumble_", "tumble dry ").replace("no_heat", "without heat")
    if care.dry == "tumble_no_heat":
        return Symbol(means, f"{_SQUARE} {_CIRCLE}", _CIRCLE)
    return Symbol(means, f"{_SQUARE} {_CIRCLE}", _dots(_TUMBLE[care.dry], 21))


def _iron(care: CareSet) -> Symbol:
    if care.iron == "none":
        return Symbol("do not iron", f"{_IRON} {_CROSS}")
    dots = _IRON_DOTS[care.iron]
    means = f"{care.iron} iron" if dots else "iron at any heat when needed"
    return Symbol(means, _IRON, _dots(dots, 29))


def _dry_clean(care: CareSet) -> Symbol:
    if care.dry_clean == "none":
        return Symbol("do not dry-clean", f"{_CIRCLE} {_CROSS}")
    if care.dry_clean == "petroleum":
        return Symbol("dry-clean, petroleum solvent", f"{_CIRCLE} {_LETTER_F}")
    return Symbol("dry-clean", _CIRCLE)


def _dots(count: int, y: float) -> str:
    return " ".join(_dot(24 + 7 * (n - (count - 1) / 2), y) for n in range(count))


def _dot(x: float, y: float) -> str:
    return f"M{x + 2:g} {y:g} a2 2 0 1 1 -4 0 a2 2 0 1 1 4 0 Z"
