"""Arithmetic on money in minor units: tax, change, discounts, shares.

Halves round away from zero, so a refund undoes its sale to the cent. How many minor units a
currency has is not known here. Rates are the maker's own; check what applies where you sell
with the local office or a licensed practice.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from operator import index

Amount = Decimal | int | float | str


@dataclass(frozen=True, slots=True)
class Taxed:
    """One amount taken apart; `net_minor` + `tax_minor` = `gross_minor` [minor units]."""

    net_minor: int
    tax_minor: int
    gross_minor: int


def decimal_of(name: str, value: Amount) -> Decimal:
    """Return `value` as a finite decimal; floats by their shortest text, so 0.1 is 0.1.

    Raises:
        ValueError: If it is not a finite number.
    """
    msg = f"{name}={value!r} must be a finite number."
    try:
        number = value if isinstance(value, Decimal) else Decimal(str(value))
    except InvalidOperation:
        raise ValueError(msg) from None
    if not number.is_finite():
        raise ValueError(msg)
    return number


def half_up(value: Decimal, places: int = 0) -> Decimal:
    """Return `value` rounded to `places` decimals, halves away from zero.

    Args:
        value: Number to round.
        places: Decimals kept.
    """
    return value.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)


def tax_minor(net_or_gross: int, rate: Amount, *, inclusive: bool) -> int:
    """Return the tax on, or inside, an amount [minor units].

    Args:
        net_or_gross: Net amount, or gross when `inclusive` [minor units]; negative for refunds.
        rate: Tax rate as a share (8.875 % is 0.08875) [unitless], 0 to 1.
        inclusive: Whether the tax is already in the amount.

    Raises:
        ValueError: If the amount is not whole or the rate is out of range.
    """
    amount = _minor("net_or_gross", net_or_gross)
    share = _share("rate", rate)
    return int(half_up(amount * share / (1 + share) if inclusive else amount * share))


def taxed(net_or_gross: int, rate: Amount, *, inclusive: bool) -> Taxed:
    """Return net, tax and gross of an amount.

    Args:
        net_or_gross: Net amount, or gross when `inclusive` [minor units].
        rate: Tax rate as a share [unitless], 0 to 1.
        inclusive: Whether the tax is already in the amount.

    Raises:
        ValueError: If the amount is not whole or the rate is out of range.
    """
    tax = tax_minor(net_or_gross, rate, inclusive=inclusive)
    if inclusive:
        return Taxed(net_or_gross - tax, tax, net_or_gross)
    return Taxed(net_or_gross, tax, net_or_gross + tax)


def taxed_purchase(
    amounts_minor: Sequence[int], rate: Amount, *, inclusive: bool, per_line: bool
) -> Taxed:
    """Return net, tax and gross of a purchase.

    Both ways are in use: rounding once on the sum, and rounding each line and adding up.

    Args:
        amounts_minor: Net amounts of the lines, or gross when `inclusive` [minor units].
        rate: Tax rate as a share [unitless], 0 to 1.
        inclusive: Whether the tax is already in the amounts.
        per_line: Whether each line is rounded by itself.

    Raises:
        ValueError: If an amount is not whole or the rate is out of range.
    """
    if not per_line:
        return taxed(sum(amounts_minor), rate, inclusive=inclusive)
    lines = [taxed(amount, rate, inclusive=inclusive) for amount in amounts_minor]
    return Taxed(
        sum(line.net_minor for line in lines),
        sum(line.tax_minor for line in lines),
        sum(line.gross_minor for line in lines),
    )


def discount_minor(price_minor: int, share: Amount) -> int:
    """Return the money off at a discount given as a share [minor units].

    Args:
        price_minor: Price before the discount [minor units].
        share: Share taken off (10 % is 0.1) [unitless], 0 to 1.

    Raises:
        ValueError: If the price is not whole or the share is out of range.
    """
    return int(half_up(_minor("price_minor", price_minor) * _share("share", share)))


def change_due(due_minor: int, paid_minor: int) -> int:
    """Return the change to hand back [minor units].

    Args:
        due_minor: What is to be paid [minor units], 0 or more.
        paid_minor: What was handed over [minor units], `due_minor` or more.

    Raises:
        ValueError: If an amount is not whole, or too little was handed over.
    """
    due, paid = _minor("due_minor", due_minor), _minor("paid_minor", paid_minor)
    if due < 0:
        msg = f"due_minor={due_minor!r} must be 0 or more."
        raise ValueError(msg)
    if paid < due:
        msg = f"paid_minor={paid_minor!r} must be {due_minor} or more: {due - paid} are missing."
        raise ValueError(msg)
    return int(paid - due)


def share_out(amount_minor: int, weights: Sequence[int]) -> list[int]:
    """Split an amount in proportion to whole weights, to the last minor unit.

    The units left by rounding down go to the largest remainders, earlier ones first, so the
    parts always add up.

    Args:
        amount_minor: Amount to split [minor units], 0 or more.
        weights: Weight of each part, for instance line totals, each 0 or more.

    Raises:
        ValueError: If the amount or a weight is negative, or the weights add up to 0.
    """
    total = sum(weights)
    if total <= 0 or min(weights) < 0:
        msg = f"weights={list(weights)!r} must be 0 or more and not all 0."
        raise ValueError(msg)
    if _minor("amount_minor", amount_minor) < 0:
        msg = f"amount_minor={amount_minor!r} must be 0 or more."
        raise ValueError(msg)
    parts = [amount_minor * weight // total for weight in weights]
    left = amount_minor - sum(parts)
    by_remainder = sorted(
        range(len(weights)), key=lambda i: (-(amount_minor * weights[i] % total), i)
    )
    for i in by_remainder[:left]:
        parts[i] += 1
    return parts


def _minor(name: str, value: int) -> Decimal:
    try:
        return Decimal(index(value))
    except TypeError:
        msg = f"{name}={value!r} must be a whole number of minor units (cents)."
        raise ValueError(msg) from None


def _share(name: str, value: Amount) -> Decimal:
    number = decimal_of(name, value)
    if not 0 <= number <= 1:
        msg = f"{name}={value!r} must be a share from 0 to 1 (8.875 % is 0.08875)."
        raise ValueError(msg)
    return number
