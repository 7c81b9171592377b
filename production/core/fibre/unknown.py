"""The way out for yarn whose content truly cannot be found out (16 CFR 303.14).

Only scraps, odd lots, second-hand and waste stock may go this way, and what is known still gets
its percent. Whether a yarn is such a case is the maker's to answer for.
"""

from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from patterns.core.words import say
from production.core.fibre.label import Label, Notes, show
from production.core.fibre.names import fibre
from production.core.fibre.part import Part, known_and_unknown, weigh
from production.core.fibre.shares import Entry, printed
from production.core.fibre.tolerance import TEXTILE_ACT
from production.core.fibre.us import RULES_DATE

STOCKS: Final = ("waste materials", "scraps", "odd lots", "second-hand materials")
"""What such yarn may be called after the dashes."""

_NAMED_FROM: Final = 5


def unknown_label(parts: Sequence[Part], stock: str) -> Label:
    """Compose the US lines of a sock with yarn of unknown content.

    Args:
        parts: Every yarn in the pair; the known ones keep their percents.
        stock: One of `STOCKS`.

    Returns:
        The label; without lines and with a problem while wool is among what is known.

    Raises:
        ValueError: If there is no part or `stock` is not one of `STOCKS`.
    """
    if stock not in STOCKS:
        msg = f"stock is {stock!r}; use one of {', '.join(STOCKS)}."
        raise ValueError(msg)
    if not parts:
        msg = "parts is empty; weigh at least one yarn."
        raise ValueError(msg)
    known, unknown = known_and_unknown(parts)
    notes = Notes()
    if any(fibre(name).under_wool_act for name in known):
        notes.problems.append(
            say(
                "Part of this sock is wool, so 16 CFR 300 rules, and no wording for unknown "
                "fibers was found there: ask the regulator, or find the ball band."
            )
        )
        return notes.label([], TEXTILE_ACT, {}, RULES_DATE)
    whole = weigh(parts)
    shares = {name: 100 * grams / whole for name, grams in known.items()}
    rest = 100 * unknown / whole
    notes.steps.append(
        say(
            "{unknown} g of {whole} g cannot be determined: {rest} % (303.14).",
            unknown=show(unknown),
            whole=show(whole),
            rest=show(rest),
        )
    )
    notes.cautions.append(
        say(
            "Unknown-fiber wording (16 CFR 303.14) is only for scraps, odd lots, second-hand or "
            "waste yarn that truly cannot be determined. If there may be wool in it, ask first."
        )
    )
    lines = [f"{n}% {word}" for n, word in printed(_entries(shares, rest, stock), notes, "303.14")]
    return notes.label(lines, TEXTILE_ACT, shares, RULES_DATE)


def _entries(shares: dict[str, Fraction], rest: Fraction, stock: str) -> list[Entry]:
    named = {name: share for name, share in shares.items() if share >= _NAMED_FROM}
    small = sum((share for name, share in shares.items() if name not in named), Fraction(0))
    entries = [Entry(fibre(name).us, share, fibre(name).rank) for name, share in named.items()]
    if small:
        word = "Other Fiber" if len(shares) - len(named) == 1 else "Other Fibers"
        entries.append(Entry(word, small, 8, pooled=True))
    if rest:
        entries.append(Entry(f"Unknown fibers--{stock}", rest, 9, pooled=True))
    return entries
