"""Parts of a sock: one yarn, its grams and what it does there."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from production.core.fibre.names import canonical_fibre, is_bamboo, means_unknown

ROLES: Final = ("base", "section", "added", "elastic", "ornament")
_SUM_SLACK: Final = Fraction(1, 100)


def exact(value: float | Fraction) -> Fraction:
    """Return the number as typed, so that 3.1 of 62 is exactly 5 percent."""
    return Fraction(str(value))


@dataclass(frozen=True, slots=True)
class Part:
    """One yarn in the finished pair.

    Attributes:
        content: Fibre name to percent by weight, adding up to 100; empty when nobody knows.
        grams: Weight of this part in the finished pair [g]; waste and swatches stay out.
        role: `base`, `section` (a place knit wholly in another yarn), `added` (a strand run
            along for strength), `elastic` or `ornament`.
        place: Where it sits, as printed: `toe and heel`.

    Raises:
        ValueError: If the percents do not add up, the grams are not a positive number, or a
            fibre or the role is not known.
    """

    content: Mapping[str, float]
    grams: float | Fraction
    role: str = "base"
    place: str = ""

    def __post_init__(self) -> None:
        if self.role not in ROLES:
            msg = f"role is {self.role!r}; use one of {', '.join(ROLES)}."
            raise ValueError(msg)
        if not (math.isfinite(self.grams) and self.grams > 0):
            msg = f"grams is {self.grams}; weigh the part, it must be above 0 g."
            raise ValueError(msg)
        self._check_content()
        # A form may go on editing the mapping it passed in.
        object.__setattr__(self, "content", dict(self.content))

    def _check_content(self) -> None:
        for name, percent in self.content.items():
            if not (math.isfinite(percent) and percent >= 0):
                msg = f"content gives {name!r} as {percent} %; use 0 to 100 %."
                raise ValueError(msg)
            if not means_unknown(name):
                canonical_fibre(name)
        total = sum((exact(percent) for percent in self.content.values()), Fraction(0))
        if self.content and abs(total - 100) > _SUM_SLACK:
            msg = (
                f"content adds up to {float(total):g} %, it must be 100 % within 0.01; "
                "correct a percent or scale them all."
            )
            raise ValueError(msg)

    @property
    def known(self) -> bool:
        """Whether every percent of the content has a fibre name."""
        used = [name for name, percent in self.content.items() if percent > 0]
        return bool(used) and not any(means_unknown(name) for name in used)

    @property
    def says_bamboo(self) -> bool:
        """Whether the yarn is sold as bamboo."""
        return any(is_bamboo(name) for name, percent in self.content.items() if percent > 0)

    @property
    def where(self) -> str:
        """The place, with single blanks."""
        return " ".join(self.place.split())

    @property
    def weight(self) -> Fraction:
        """The weight [g], exact."""
        return exact(self.grams)

    def masses(self) -> dict[str, Fraction]:
        """Return grams by our fibre name [g], exact; only for known content."""
        total = sum((exact(percent) for percent in self.content.values()), Fraction(0))
        found: dict[str, Fraction] = {}
        for name, percent in self.content.items():
            if percent > 0:
                ours = canonical_fibre(name)
                grams = self.weight * exact(percent) / total
                found[ours] = found.get(ours, Fraction(0)) + grams
        return found


def weigh(parts: Iterable[Part]) -> Fraction:
    """Return the weight of the parts together [g]."""
    return sum((part.weight for part in parts), Fraction(0))


def masses_of(parts: Iterable[Part]) -> dict[str, Fraction]:
    """Return grams by our fibre name over all parts [g]."""
    found: dict[str, Fraction] = {}
    for part in parts:
        for name, grams in part.masses().items():
            found[name] = found.get(name, Fraction(0)) + grams
    return found


def known_and_unknown(parts: Iterable[Part]) -> tuple[dict[str, Fraction], Fraction]:
    """Return grams by our fibre name, and the grams nobody can name [g], exact."""
    known: dict[str, Fraction] = {}
    unknown = Fraction(0)
    for part in parts:
        total = sum((exact(percent) for percent in part.content.values()), Fraction(0))
        if not total:
            unknown += part.weight
        for name, percent in part.content.items():
            grams = part.weight * exact(percent) / total
            if means_unknown(name):
                unknown += grams
            elif grams:
                ours = canonical_fibre(name)
                known[ours] = known.get(ours, Fraction(0)) + grams
    return known, unknown
