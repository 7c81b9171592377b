"""The typeface of the papers: how wide a text prints, and which letters it has."""

import functools

from fontTools.ttLib import TTFont

from production.core.taglayout import MM_PER_PT
from socktrade.papers import FONTS

_SPARE = 1.01  # rounding of the printed type against its metrics
_FONT_FILES = {
    False: "atkinson-hyperlegible-next-latin-400-normal.woff2",
    True: "atkinson-hyperlegible-next-latin-700-normal.woff2",
}


def measure(text: str, size_pt: float, bold: bool) -> float:  # noqa: FBT001 - the signature of Measure
    """Return the width of a text in the papers' typeface [mm], never less than printed."""
    return _units(text, bold) * size_pt * (MM_PER_PT * _SPARE / 1000)


def missing_letters(text: str) -> str:
    """Return the letters of a text that the typeface does not have, each once."""
    has = _advances(bold=False)
    return "".join(dict.fromkeys(letter for letter in text if ord(letter) not in has))


@functools.lru_cache(maxsize=8192)
def _units(text: str, bold: bool) -> float:  # noqa: FBT001 - one of two faces
    """Tags of one print repeat most of their words, and every size asks for them again."""
    advances = _advances(bold=bold)
    return sum(advances.get(ord(letter), 1000) for letter in text)


@functools.cache
def _advances(*, bold: bool) -> dict[int, float]:
    face = TTFont(FONTS / _FONT_FILES[bold])
    widths, per_em = face["hmtx"], face["head"].unitsPerEm
    return {code: widths[name][0] * 1000 / per_em for code, name in face.getBestCmap().items()}
