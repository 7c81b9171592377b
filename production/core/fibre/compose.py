"""One door to the label rules of each market."""

from collections.abc import Callable, Sequence
from typing import Final

from production.core.fibre.draft import Draft
from production.core.fibre.eu import eu_label, uk_label
from production.core.fibre.label import Label
from production.core.fibre.part import Part
from production.core.fibre.us import us_label

_RULES: Final[dict[str, Callable[[Draft], Label]]] = {
    "us": us_label,
    "eu": eu_label,
    "uk": uk_label,
}


def fibre_label(
    parts: Sequence[Part],
    rules: str = "us",
    functional: Sequence[str] = (),
    exclude: Sequence[str] = (),
    *,
    by_section: bool = False,
    hair_as_wool: bool = False,
) -> Label:
    """Compose the fibre lines of a pair.

    Args:
        parts: Every yarn in the finished pair, with its grams [g].
        rules: `us`, `eu` or `uk`.
        functional: US only: fibres under 5 % that may be named because they do a job at that
            amount; a reason may follow a comma, as in `nylon, wear`.
        exclude: Roles to leave out where the rules allow it.
        by_section: US only: state each section on a line of its own instead of totals.
        hair_as_wool: US only: call alpaca, mohair and their like wool.

    Returns:
        A frozen label; print its lines only while it has no problems.

    Raises:
        ValueError: If `rules` is not one of the three.
    """
    if rules not in _RULES:
        msg = f"rules is {rules!r}; use one of {', '.join(_RULES)}."
        raise ValueError(msg)
    draft = Draft.of(parts, functional=functional, exclude=exclude, by_section=by_section)
    if hair_as_wool and rules == "us":
        draft = draft.calling_hair_wool()
    return _RULES[rules](draft)
