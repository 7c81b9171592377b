"""Measures as people type them, turned into millimetres, grams and metres once.

The only module that knows pint. Pint would evaluate a text as arithmetic, so one number
and one known unit are matched first and pint sees nothing but the unit's own name.
"""

import re
from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal
from functools import cache
from typing import TYPE_CHECKING, Any

from patterns.core.bounds import nearest, require
from patterns.core.figures import NUMBER, read_number
from patterns.core.words import Phrase, say

if TYPE_CHECKING:
    import pint

_LONGEST_TEXT = 40
_MOST = 10_000_000.0

_LENGTHS = {
    **dict.fromkeys(("mm", "millimeter", "millimeters", "millimetre", "millimetres"), "mm"),
    **dict.fromkeys(("cm", "centimeter", "centimeters", "centimetre", "centimetres"), "cm"),
    **dict.fromkeys(("in", "in.", "inch", "inches", '"', "″", "”"), "inch"),
}
_MASSES = {
    **dict.fromkeys(("g", "gram", "grams", "gramme", "grammes"), "g"),
    **dict.fromkeys(("kg", "kilo", "kilos", "kilogram", "kilograms"), "kg"),
    **dict.fromkeys(("oz", "oz.", "ounce", "ounces"), "ounce"),
    **dict.fromkeys(("lb", "lb.", "lbs", "pound", "pounds"), "pound"),
}
_YARN_LENGTHS = {
    **dict.fromkeys(("m", "meter", "meters", "metre", "metres"), "m"),
    **dict.fromkeys(("km", "kilometer", "kilometers", "kilometre", "kilometres"), "km"),
    **dict.fromkeys(("yd", "yd.", "yds", "yard", "yards"), "yard"),
}
# Decimals shown: a hundredth of an inch and a tenth of a cm are finer than a tape.
_DECIMALS = {"mm": 0, "cm": 1, "in": 2}
_MM_PER = {"mm": 1.0, "cm": 10.0, "in": 25.4}
# Avoirdupois ounce and international yard: NIST SP 811, appendix B.8 (exact), from memory.
_GRAMS_PER = {"g": 1.0, "oz": 28.349523125}
_METRES_PER = {"m": 1.0, "yd": 0.9144}

_MEASURE = re.compile(rf'({NUMBER}) ?([a-z]{{1,12}}\.?|["″”])?')


def parse_length(text: str, default_unit: str = "mm") -> float:
    """Return a length as typed, such as "10 1/4 in", "9,5 cm" or "245" [mm].

    Args:
        text: One number and at most one unit: mm, cm or inches.
        default_unit: Unit of a bare number: "mm", "cm" or "in".

    Raises:
        ValueError: If the text or the unit is anything else.
    """
    return _parse(text, default_unit, _LENGTHS, "mm", "'26 cm', '245 mm' or '10 1/4 in'")


def parse_mass(text: str, default_unit: str = "g") -> float:
    """Return a mass as typed, such as "62 g" or "1 3/4 oz" [g].

    Args:
        text: One number and at most one unit: g, kg, oz or lb.
        default_unit: Unit of a bare number.

    Raises:
        ValueError: If the text or the unit is anything else.
    """
    return _parse(text, default_unit, _MASSES, "g", "'62 g', '1.2 kg' or '1 3/4 oz'")


def parse_yarn_length(text: str, default_unit: str = "m") -> float:
    """Return a length of yarn as typed, such as "400 m" or "437 yd" [m].

    Args:
        text: One number and at most one unit: m, km or yd.
        default_unit: Unit of a bare number.

    Raises:
        ValueError: If the text or the unit is anything else.
    """
    return _parse(text, default_unit, _YARN_LENGTHS, "m", "'400 m' or '437 yd'")


def format_length(length_mm: float, unit: str) -> Phrase:
    """Return a length for reading: whole mm, tenths of a cm or hundredths of an inch.

    Args:
        length_mm: Length [mm], 0 or more.
        unit: "mm", "cm" or "in".

    Raises:
        ValueError: If the unit is unknown or the length is negative.
    """
    if unit not in _DECIMALS:
        raise ValueError(_unit_refusal("unit", unit, _DECIMALS))
    length = require("length_mm", length_mm, (0, _MOST), "mm")
    steps = 10 ** _DECIMALS[unit]
    shown = f"{nearest(length / _MM_PER[unit] * steps) / steps:.{_DECIMALS[unit]}f}"
    figure = Decimal(shown.rstrip("0").rstrip(".") if "." in shown else shown)
    if unit == "in":
        return say("{figure} in", figure=figure)
    return say("{figure} cm", figure=figure) if unit == "cm" else say("{figure} mm", figure=figure)


def format_mass(
    grams: float | Decimal, unit: str, decimals: int | None = 0, *, signed: bool = False
) -> Phrase:
    """Return a mass for reading, with one decimal more in ounces.

    Args:
        grams: Mass [g]; below 0 where a book stands below nothing.
        unit: "g" or "oz".
        decimals: Decimals of the grams; None for what a tenth of a gram needs, without idle
            zeros.
        signed: Whether a sign stands before what is above 0.

    Raises:
        ValueError: If the unit is unknown.
    """
    if unit not in _GRAMS_PER:
        raise ValueError(_unit_refusal("unit", unit, _GRAMS_PER))
    value = float(grams) / _GRAMS_PER[unit]
    if decimals is None:
        figure = _plain(_rounded(value, 1 if unit == "g" else 3))
    else:
        figure = _rounded(value, decimals + (unit == "oz"))
    if signed:
        return say("{figure:+} {unit}", figure=figure, unit=unit)
    return say("{figure} {unit}", figure=figure, unit=unit)


def format_yarn_length(metres: float | Decimal, unit: str, decimals: int | None = 0) -> Phrase:
    """Return a length of yarn for reading.

    Args:
        metres: Length [m].
        unit: "m" or "yd".
        decimals: Decimals to show; None for two, without idle zeros.

    Raises:
        ValueError: If the unit is unknown.
    """
    if unit not in _METRES_PER:
        raise ValueError(_unit_refusal("unit", unit, _METRES_PER))
    value = float(metres) / _METRES_PER[unit]
    figure = _plain(_rounded(value, 2)) if decimals is None else _rounded(value, decimals)
    return say("{figure} {unit}", figure=figure, unit=unit)


def _rounded(value: float, decimals: int) -> Decimal:
    return Decimal(str(value)).quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP)


def _plain(figure: Decimal) -> Decimal:
    """Return a figure without idle zeros, and never as a power of ten."""
    whole = figure.to_integral_value()
    return whole if figure == whole else figure.normalize()


def _parse(text: str, default_unit: str, units: dict[str, str], target: str, such: str) -> float:
    if default_unit not in units:
        raise ValueError(_unit_refusal("default_unit", default_unit, units))
    refusal = f"text is {text!r:.50}; allowed: one number and a unit, such as {such}"
    if not isinstance(text, str) or len(text) > _LONGEST_TEXT:
        raise ValueError(refusal)
    match = _MEASURE.fullmatch(re.sub(r"\s+", " ", text).strip().lower())
    if match is None:
        raise ValueError(refusal)
    unit = units.get(match.group(2) or default_unit)
    if unit is None:
        raise ValueError(refusal)
    return read_number(match.group(1)) * _factor(unit, target)


def _unit_refusal(name: str, unit: str, units: Iterable[str]) -> str:
    return f"{name} is {unit!r:.40}; allowed: {', '.join(units)}"


@cache
def _registry() -> "pint.UnitRegistry[Any]":
    # Loading pint and its definitions takes longer than most pages: only when asked.
    import pint

    return pint.UnitRegistry()


@cache
def _factor(unit: str, target: str) -> float:
    # Rounded because every factor here is exact and 25.399999999999995 is not.
    return round(float(_registry().Quantity(1.0, unit).to(target).magnitude), 9)
