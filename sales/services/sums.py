"""What a purchase comes to: its prices, its tax, a discount shared out."""

from collections.abc import Sequence
from dataclasses import dataclass

from patterns.core.words import say
from sales.core.money import Taxed, share_out
from sales.errors import SalesError
from sales.models import MarketDay
from sales.services.taxes import purchase_of


@dataclass(frozen=True, slots=True)
class TaxTaken:
    """The tax as it was really taken, where the stall knew other rules than the book now."""

    minor: int
    included: bool


def takings(day: MarketDay | None, prices_minor: Sequence[int]) -> Taxed:
    """Return what a purchase comes to, by the tax of the day."""
    if day is None:
        total = sum(prices_minor)
        return Taxed(total, 0, total)
    return purchase_of(day, prices_minor)


def discounted(prices_minor: Sequence[int], off_minor: int) -> list[int]:
    """Return the prices less a discount that is split in their proportion.

    Raises:
        SalesError: If there is nothing to take it off or it exceeds the sum.
    """
    total = sum(prices_minor)
    if total == 0:
        msg = say("There is no price to take a discount off.")
        raise SalesError(msg, field="off")
    if not 0 < off_minor <= total:
        msg = say("A discount is more than nothing and at most the whole price.")
        raise SalesError(msg, field="off")
    parts = share_out(off_minor, prices_minor)
    return [price - part for price, part in zip(prices_minor, parts, strict=True)]


def taken_as(prices_minor: Sequence[int], tax: TaxTaken) -> Taxed:
    """Return what a purchase came to with the tax that the stall took.

    A tax that is more than the whole price was misread; the price was taken all the same.
    """
    total = sum(prices_minor)
    kept = min(tax.minor, total)
    return Taxed(total - kept, kept, total) if tax.included else Taxed(total, kept, total + kept)
