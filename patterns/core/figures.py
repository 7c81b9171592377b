"""Numbers as people type them: 10 1/4, 10¼, 9.5 and 9,5."""

import re

from patterns.core.refusal import RefusedError
from patterns.core.words import say

# Every quantifier is bounded, so no text can make the match slow.
DECIMAL = r"[0-9]{1,7}(?:[.,][0-9]{1,6})?"
NUMBER = (
    rf"(?:(?:[0-9]{{1,5}}[ -]?)?[¼½¾]|(?:[0-9]{{1,5}}[ -])?[0-9]{{1,3}}/[0-9]{{1,3}}|{DECIMAL})"
)

_PARTS = re.compile(r"(?:([0-9]{1,5})[ -])?([0-9]{1,3})/([0-9]{1,3})")
_THOUSANDS = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")
_WRITTEN_OUT = {"¼": " 1/4", "½": " 1/2", "¾": " 3/4"}


def read_number(text: str) -> float:
    """Return the number in a text that matches `NUMBER`.

    Raises:
        ValueError: If it is no such number, divides by zero, or its comma could stand
            for thousands as well as for decimals.
    """
    for sign, written in _WRITTEN_OUT.items():
        text = text.replace(sign, written)
    text = text.replace("  ", " ").replace("- ", " ").strip()
    if _THOUSANDS.fullmatch(text):
        plain, point = text.replace(",", ""), text.replace(",", ".")
        msg = f"number is '{text}'; it can be read as {plain} or {point}: write one of these"
        reason = say(
            "“{text}” can be read as {plain} or {point}: write one of these.",
            text=text,
            plain=plain,
            point=point,
        )
        raise RefusedError(msg, name="number", reason=reason)
    if parts := _PARTS.fullmatch(text):
        whole, top, bottom = (int(part or 0) for part in parts.groups())
        if bottom == 0:
            msg = f"number is '{text}'; allowed: a fraction with a bottom above 0"
            reason = say("“{text}” cannot be: a fraction has a bottom above 0.", text=text)
            raise RefusedError(msg, name="number", reason=reason)
        return whole + top / bottom
    if re.fullmatch(DECIMAL, text):
        return float(text.replace(",", "."))
    msg = f"number is '{text:.40}'; allowed: such as 10, 9.5, 9,5 or 10 1/4"
    raise ValueError(msg)
