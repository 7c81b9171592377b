"""What a fibre label says, and the notes gathered while it is composed."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Label:
    """A composed fibre label.

    Attributes:
        lines: Text to print, one string a line; empty when it cannot be written.
        act: The rule set it was written under.
        shares: Our fibre name to unrounded percent of what counts, largest first.
        problems: What blocks printing, each with its cure.
        cautions: What to read before printing.
        steps: Reasons: each number and the section of the rule behind it.
        rules_date: Edition the rules were read from.
    """

    lines: tuple[str, ...]
    act: str
    shares: dict[str, float]
    problems: tuple[str, ...]
    cautions: tuple[str, ...]
    steps: tuple[str, ...]
    rules_date: str


@dataclass(frozen=True, slots=True)
class Notes:
    """Problems, cautions and steps in the order they were met."""

    problems: list[str] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    steps: list[str] = field(default_factory=list)

    def label(
        self, lines: list[str], act: str, shares: Mapping[str, Fraction], rules_date: str
    ) -> Label:
        """Return the finished label with every note said once."""
        largest_first = sorted(shares.items(), key=lambda item: (-item[1], item[0]))
        return Label(
            lines=tuple(lines),
            act=act,
            shares={name: float(share) for name, share in largest_first},
            problems=tuple(dict.fromkeys(self.problems)),
            cautions=tuple(dict.fromkeys(self.cautions)),
            steps=tuple(dict.fromkeys(self.steps)),
            rules_date=rules_date,
        )


def show(value: Fraction) -> Decimal:
    """Return a percent or a weight with at most two decimals, for a note."""
    return Decimal(f"{float(value):.2f}".rstrip("0").rstrip("."))
