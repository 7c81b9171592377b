"""Agreed allowances: from dry mass to the mass a label speaks of (EU 1007/2011, Annex IX).

Only for someone who weighed fibres bone dry, as a laboratory does (Art. 19(3)). Ball-band percents
and grams weighed at the table are conventional already. Values read in a German mirror of the
annex, which agree with the older 96/74/EC table.
"""

from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from production.core.fibre.names import canonical_fibre, fibre
from production.core.fibre.part import exact

_HAIR: Final = 17.0

ALLOWANCES: Final[Mapping[str, float]] = MappingProxyType(
    {
        "silk": 11.0,
        "cotton": 8.5,
        "linen": 12.0,
        "hemp": 12.0,
        "ramie": 8.5,
        "viscose": 13.0,
        "modal": 13.0,
        "lyocell": 13.0,
        "acetate": 9.0,
        "acrylic": 2.0,
        "modacrylic": 2.0,
        "nylon": 6.25,
        "polyester": 1.5,
        "PLA": 1.5,
        "polypropylene": 2.0,
        "spandex": 1.5,
        "rubber": 1.0,
        "metallic": 2.0,
        "azlon": 17.0,
    }
)
"""Percent of dry mass by our name; wool and hair 17 (carded or not known), nylon as staple."""


def allowance(name: str) -> float:
    """Return the agreed allowance of a fibre [percent of dry mass].

    Raises:
        ValueError: If the fibre is not known.
    """
    found = fibre(name)
    return _HAIR if found.kind != "other" else ALLOWANCES[found.name]


def conventional_percents(dry_g: Mapping[str, float]) -> dict[str, float]:
    """Return the percents a label speaks of, from dry masses.

    Args:
        dry_g: Fibre name to dry mass [g].

    Returns:
        Our fibre name to percent: dry mass x (1 + allowance/100) over the sum of the same.

    Raises:
        ValueError: If a fibre is not known or no mass is above 0.
    """
    masses: dict[str, Fraction] = {}
    for name, grams in dry_g.items():
        if not 0 <= grams < float("inf"):
            msg = f"dry_g gives {name!r} as {grams} g; it must be 0 g or more."
            raise ValueError(msg)
        ours = canonical_fibre(name)
        moist = exact(grams) * (1 + exact(allowance(ours)) / 100)
        masses[ours] = masses.get(ours, Fraction(0)) + moist
    total = sum(masses.values(), Fraction(0))
    if not total:
        msg = f"dry_g is {dict(dry_g)!r}; at least one mass must be above 0 g."
        raise ValueError(msg)
    return {name: float(100 * mass / total) for name, mass in masses.items()}
