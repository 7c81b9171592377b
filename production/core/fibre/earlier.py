"""Whether a label printed earlier still says what is in the sock."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from production.core.fibre.label import Label
from production.core.fibre.names import fibre
from production.core.fibre.tolerance import Tolerance, tolerance_check

_SHARE: Final = re.compile(r"(\d{1,3})% ([A-Za-z][A-Za-z -]*)")
_ALL: Final = re.compile(r"All ([A-Z][A-Za-z ]*?) except .*")
_APART: Final = ("Except ", "Exclusive of ")


@dataclass(frozen=True, slots=True)
class Drift:
    """One fibre on an earlier label beside the sock as it is now.

    Attributes:
        name: Our name of the fibre.
        stated: Whole percent on the earlier label; 0 where it was not named.
        verdict: Whether that may stand.
    """

    name: str
    stated: int
    verdict: Tolerance


def stated_percents(lines: Iterable[str]) -> dict[str, int] | None:
    """Read the percents of a printed label back, by our fibre names.

    Exceptions and exclusions are no part of the totals and are passed over.

    Returns:
        Our name to percent, or None when the lines are stated by section or name pooled fibres,
        which no single percent can be compared with.
    """
    stated: dict[str, int] = {}
    for line in lines:
        if line.startswith(_APART):
            continue
        if whole := _ALL.fullmatch(line):
            stated[fibre(whole[1]).name] = 100
            continue
        for piece in line.split(", "):
            read = _SHARE.fullmatch(piece)
            if read is None:
                return None
            try:
                stated[fibre(read[2]).name] = int(read[1])
            except ValueError:
                return None
    return stated


def drift(lines: Iterable[str], label: Label) -> list[Drift] | None:
    """Judge every fibre of an earlier label against a label composed now.

    Args:
        lines: Fibre lines as printed then, under the rule set of `label`.
        label: The sock as it is now.

    Returns:
        One verdict a fibre, the farthest off first; None when the earlier lines cannot be read
        as plain percents.
    """
    stated = stated_percents(lines)
    if stated is None or not stated:
        return None
    names = stated.keys() | label.shares.keys()
    found = [
        Drift(
            name,
            stated.get(name, 0),
            tolerance_check(stated.get(name, 0), label.shares.get(name, 0.0), label.act),
        )
        for name in names
    ]
    return sorted(found, key=lambda one: (-one.verdict.points, one.name))
