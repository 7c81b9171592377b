"""Origin line of a tag (16 CFR 303.33 and its wool twin 300.25).

The rule looks back one step: for socks knit straight from yarn, to where the yarn was made.
Not legal advice; wider "made in" advertising has stricter tests (16 CFR 323, from memory).
"""

from collections.abc import Sequence
from typing import Final

from patterns.core.words import say

_US: Final = frozenset({"us", "usa", "united states", "united states of america"})

CAUTION: Final = say(
    "This line follows the one-step rule for textile labels. Flags or words such as 100% American "
    "have a stricter test; local rules decide."
)


def is_us(country: str) -> bool:
    """Return whether `country` names the United States."""
    return " ".join(country.replace(".", "").split()).casefold() in _US


def origin_line(made_in: str, yarn_made_in: Sequence[str] = ()) -> str:
    """Return the origin line of a sock.

    Args:
        made_in: Country the sock is knitted in, by its English name.
        yarn_made_in: Country each yarn was spun in; needed for a US maker only. Yarn spun
            abroad and dyed in the US is imported yarn.

    Raises:
        ValueError: If the country or the origin of a yarn is missing, or a country other than
            the US is abbreviated (303.33(e) wants the English name).
    """
    if is_us(made_in):
        return _us_line(yarn_made_in)
    name = " ".join(made_in.split())
    if len(name.replace(".", "")) < 4:
        msg = f"made_in is {made_in!r}; give the English name of the country, as in Canada."
        raise ValueError(msg)
    return f"Made in {name}"


def _us_line(yarn_made_in: Sequence[str]) -> str:
    if not yarn_made_in or not all(country.strip() for country in yarn_made_in):
        msg = (
            f"yarn_made_in is {list(yarn_made_in)!r}; a US line needs the country every yarn was "
            "spun in: ask the mill or count the yarn as imported."
        )
        raise ValueError(msg)
    home = [is_us(country) for country in yarn_made_in]
    if all(home):
        return "Made in USA"
    if any(home):
        return "Knitted in USA of US and imported yarn"
    return "Knitted in USA of imported yarn"
