"""Yarn counts in any usual notation, as tex (grams per kilometre)."""

import re
from dataclasses import dataclass

from patterns.core.bounds import TEX, require
from patterns.core.figures import DECIMAL, NUMBER, read_number
from patterns.core.refusal import RefusedError
from patterns.core.words import say

GRAMS_PER_POUND = 453.59237
GRAMS_PER_OUNCE = GRAMS_PER_POUND / 16
METRES_PER_YARD = 0.9144
# One yard per pound in tex; a count of hanks divides it by the yards in a hank.
_TEX_OF_YARD_PER_POUND = 1000 * GRAMS_PER_POUND / METRES_PER_YARD

_LONGEST_TEXT = 60
_TIMES_SIGN = "\u00d7"
_MOST_PLIES = 12

_GRAMS = {
    **dict.fromkeys(("g", "gr", "gm", "gms", "gram", "grams", "gramme", "grammes"), 1.0),
    **dict.fromkeys(("kg", "kilo", "kilos"), 1000.0),
    **dict.fromkeys(("oz", "ounce", "ounces"), GRAMS_PER_OUNCE),
    **dict.fromkeys(("lb", "lbs", "pound", "pounds"), GRAMS_PER_POUND),
}
_METRES = {
    **dict.fromkeys(("m", "mtr", "mtrs", "meter", "meters", "metre", "metres"), 1.0),
    "km": 1000.0,
    **dict.fromkeys(("yd", "yds", "yard", "yards"), METRES_PER_YARD),
}
# Tex of count 1 where the figure grows with thickness.
_DIRECT = {
    **dict.fromkeys(("tex", "tt"), 1.0),
    "dtex": 0.1,
    **dict.fromkeys(("den", "denier", "td"), 1 / 9),
}
# Tex of count 1 where the figure grows with fineness; hank lengths as in ASTM D2260.
_INDIRECT = {
    "nm": 1000.0,
    **dict.fromkeys(("ne", "nec", "ecc", "cotton"), _TEX_OF_YARD_PER_POUND / 840),
    **dict.fromkeys(("worsted", "nek"), _TEX_OF_YARD_PER_POUND / 560),
    **dict.fromkeys(("run", "woollen run", "woolen run"), _TEX_OF_YARD_PER_POUND / 1600),
    **dict.fromkeys(("lea", "linen", "cut", "woollen cut"), _TEX_OF_YARD_PER_POUND / 300),
    **dict.fromkeys(("ysw", "yorkshire"), _TEX_OF_YARD_PER_POUND / 256),
}


def _any_of(words: dict[str, float]) -> str:
    return "|".join(sorted(map(re.escape, words), key=len, reverse=True))


_AMOUNT = rf"({NUMBER})? ?({_any_of(_GRAMS | _METRES)})"
_MASS_AND_LENGTH = re.compile(rf"{_AMOUNT} ?(?:/|=|,|:|per|to|in) ?{_AMOUNT}")
_FIGURES = rf"({DECIMAL})(?: ?([/x*]) ?({DECIMAL}))?"
_SYSTEM = rf"({_any_of(_DIRECT | _INDIRECT)})\.?"
_SYSTEM_FIRST = re.compile(rf"{_SYSTEM} ?{_FIGURES}")
_SYSTEM_LAST = re.compile(rf"{_FIGURES} ?{_SYSTEM}")
_SYSTEM_BETWEEN = re.compile(rf"({DECIMAL}) ?{_SYSTEM} ?(x) ?({DECIMAL})")
_BARE_PLIED = re.compile(rf"({DECIMAL}) ?/ ?({DECIMAL})")


@dataclass(frozen=True, slots=True)
class Counts:
    """One yarn in the notations on labels.

    Attributes:
        tex: [g/km].
        nm: Metric count [m/g].
        ne: English cotton count [840 yd/lb].
        denier: [g/9 km].
        m_per_100g: Label length [m].
        yd_per_lb: Cone length [yd].
    """

    tex: float
    nm: float
    ne: float
    denier: float
    m_per_100g: float
    yd_per_lb: float


def tex_of(text: str) -> float:
    """Return the count of a yarn as typed from its label [tex].

    Reads mass and length in either order ("100 g / 400 m", "437 yd/100 g", "4 m/g"),
    direct counts ("250 tex", "2250 den") and indirect ones with plies ("Nm 16/4",
    "Ne 10/2", "worsted 15"). Twist take-up of plied yarn is not counted.

    Raises:
        RefusedError: If the text is none of these, is open to two readings (both are
            named), or the yarn is outside 10 to 2000 tex. It is a `ValueError`.
    """
    if not isinstance(text, str) or len(text) > _LONGEST_TEXT:
        raise _refusal(text)
    line = re.sub(r"\s+", " ", text.replace(_TIMES_SIGN, "x")).strip().lower()
    tex = _by_label(line)
    if tex is None:
        tex = _by_count(line)
    if tex is None:
        _refuse_bare_plies(line)
        raise _refusal(text)
    return _usual(text, tex)


def counts(tex: float) -> Counts:
    """Return a yarn in the notations on labels.

    Raises:
        ValueError: If the count is outside 10 to 2000 tex.
    """
    tex = require("tex", tex, TEX)
    return Counts(
        tex=tex,
        nm=1000 / tex,
        ne=_INDIRECT["ne"] / tex,
        denier=9 * tex,
        m_per_100g=100_000 / tex,
        yd_per_lb=_TEX_OF_YARD_PER_POUND / tex,
    )


def _usual(text: str, tex: float) -> float:
    try:
        return require(f"text '{text.strip()}'", tex, TEX, "tex")
    except ValueError as problem:
        low, high = TEX
        reason = say(
            "“{text}” cannot be: allowed: {low:g} to {high:g} tex.", text=text, low=low, high=high
        )
        raise RefusedError(str(problem), name="text", reason=reason) from problem


def _by_label(line: str) -> float | None:
    match = _MASS_AND_LENGTH.fullmatch(line)
    if match is None:
        return None
    grams = metres = 0.0
    for number, unit in (match.group(1, 2), match.group(3, 4)):
        amount = read_number(number) if number else 1.0
        grams += amount * _GRAMS.get(unit, 0)
        metres += amount * _METRES.get(unit, 0)
    if not grams or not metres:
        raise _refusal(line)
    return 1000 * grams / metres


def _by_count(line: str) -> float | None:
    if match := _SYSTEM_FIRST.fullmatch(line):
        system, first, sign, second = match.groups()
    elif match := _SYSTEM_LAST.fullmatch(line):
        first, sign, second, system = match.groups()
    elif match := _SYSTEM_BETWEEN.fullmatch(line):
        first, system, sign, second = match.groups()
    else:
        return None
    count = read_number(first)
    if count == 0:
        raise _refusal(line)
    if system in _DIRECT:
        return _DIRECT[system] * count * _strands(line, sign, second)
    return _INDIRECT[system] / count * _plies(line, count, second)


def _strands(line: str, sign: str | None, second: str | None) -> float:
    if second is None:
        return 1
    if sign == "/":
        msg = f"text is '{line}'; a direct count takes plies as in '110 x 2 dtex'"
        reason = say(
            "“{text}” cannot be: a direct count takes plies as in '110 x 2 dtex'.", text=line
        )
        raise RefusedError(msg, name="text", reason=reason)
    return _whole_plies(line, second)


def _plies(line: str, count: float, second: str | None) -> float:
    if second is None:
        return 1
    if count <= read_number(second):
        raise _two_readings(line, f"{count:g}", second)
    return _whole_plies(line, second)


def _whole_plies(line: str, figure: str) -> float:
    plies = read_number(figure)
    if plies % 1 or not 1 <= plies <= _MOST_PLIES:
        msg = f"text is '{line}'; allowed: 1 to {_MOST_PLIES} plies"
        reason = say("“{text}” cannot be: allowed: 1 to {most} plies.", text=line, most=_MOST_PLIES)
        raise RefusedError(msg, name="text", reason=reason)
    return plies


def _refuse_bare_plies(line: str) -> None:
    if match := _BARE_PLIED.fullmatch(line):
        raise _two_readings(line, *match.groups())


def _two_readings(line: str, first: str, second: str) -> RefusedError:
    plies, count = sorted((first, second), key=read_number)
    msg = (
        f"text is '{line}'; it can be read as count {first} in {second} plies or as count "
        f"{second} in {first} plies: write the system and the count first, such as "
        f"'Nm {count}/{plies}'"
    )
    reason = say(
        "“{text}” can be read as count {first} in {second} plies or as count {second} in "
        "{first} plies: write the system and the count first, such as 'Nm {count}/{plies}'.",
        text=line,
        first=first,
        second=second,
        count=count,
        plies=plies,
    )
    return RefusedError(msg, name="text", reason=reason)


def _refusal(text: object) -> RefusedError:
    msg = (
        f"text is {text!r:.50}; allowed: such as '100 g / 400 m', '437 yd/100 g', 'Nm 16/4', "
        "'Ne 10/2', '2250 den' or '250 tex'"
    )
    reason = say(
        "“{text}” is not a yarn count. Write it such as '100 g / 400 m', '437 yd/100 g', "
        "'Nm 16/4', 'Ne 10/2', '2250 den' or '250 tex'.",
        text=text,
    )
    return RefusedError(msg, name="text", reason=reason)
