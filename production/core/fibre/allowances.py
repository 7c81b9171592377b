"""Agreed allowances: from dry mass to the mass a label speaks of (EU 1007/2011, Annex IX).

Only for someone who weighed fibres bone dry, as a laboratory does (Art. 19(3)). Ball-band percents
and grams weighed at the table are conventional already. Values read in a German mirror of the
annex, which agree with the older 96/74/EC table.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from production.core.fibre.names import fibre

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
