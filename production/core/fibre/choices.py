"""What the rules leave to the maker, gathered for one label."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from production.core.fibre.compose import fibre_label
from production.core.fibre.label import Label
from production.core.fibre.part import Part
from production.core.fibre.unknown import unknown_label


@dataclass(frozen=True, slots=True)
class Choices:
    """The maker's choices for a sock; none of them is needed.

    Attributes:
        functional: Fibres under 5 % named for their job, `nylon, wear` (303.3(a), 300.3(b)).
        exclude: Roles left out where the rules allow it.
        by_section: A US line for each section (303.25).
        hair_as_wool: Call alpaca, mohair and their like wool (300.18).
        count_added: Count an added strand in the US totals instead of excepting it (303.23).
        unknown_stock: What yarn of unknown content is, one of `unknown.STOCKS` (303.14).
    """

    functional: tuple[str, ...] = ()
    exclude: tuple[str, ...] = ()
    by_section: bool = False
    hair_as_wool: bool = False
    count_added: bool = False
    unknown_stock: str = ""


def label_by_choice(parts: Sequence[Part], rules: str, choices: Choices) -> Label:
    """Compose the fibre lines of a pair with the maker's choices.

    Choices that only one market's rules know are left aside under the others.

    Raises:
        ValueError: If `rules` is not one of us, eu, uk, or the unknown stock is no known word.
    """
    if rules != "us":
        return fibre_label(parts, rules, exclude=choices.exclude)
    if choices.unknown_stock and not all(part.known for part in parts):
        return unknown_label(parts, choices.unknown_stock)
    if choices.count_added:
        parts = [replace(part, role="section") if part.role == "added" else part for part in parts]
    return fibre_label(
        parts,
        rules,
        choices.functional,
        choices.exclude,
        by_section=choices.by_section,
        hair_as_wool=choices.hair_as_wool,
    )
