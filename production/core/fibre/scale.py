"""Percents off a ball band that do not come to 100, scaled so that they do."""

from collections.abc import Mapping
from decimal import ROUND_FLOOR, Decimal

from production.core.fibre.part import exact

_HUNDREDTHS = 10_000


def scaled_to_100(percents: Mapping[str, float | Decimal]) -> dict[str, Decimal]:
    """Return the percents in the same proportion, to the hundredth, totalling exactly 100.

    The hundredths that rounding leaves over go to the largest remainders: 33, 33, 33 become
    33.34, 33.33, 33.33.

    Args:
        percents: Fibre name to percent, each 0 or more.

    Raises:
        ValueError: If a percent is negative or not finite, or none is above 0.
    """
    for name, percent in percents.items():
        if not 0 <= percent < float("inf"):
            msg = f"percents gives {name!r} as {percent} %; use 0 to 100 %."
            raise ValueError(msg)
    total = sum(exact(float(percent)) for percent in percents.values())
    if not total:
        msg = f"percents is {dict(percents)!r}; at least one must be above 0 %."
        raise ValueError(msg)
    wanted = {name: exact(float(value)) * _HUNDREDTHS / total for name, value in percents.items()}
    whole = {name: int(share) for name, share in wanted.items()}
    spare = _HUNDREDTHS - sum(whole.values())
    for name in sorted(wanted, key=lambda one: whole[one] - wanted[one])[:spare]:
        whole[name] += 1
    cent = Decimal("0.01")
    return {name: (n * cent).quantize(cent, ROUND_FLOOR) for name, n in whole.items()}
