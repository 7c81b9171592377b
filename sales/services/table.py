"""What lies on the table, what a typed number means and what was paid for a pair."""

from collections.abc import Collection
from dataclasses import dataclass

from django.db.models import Q, QuerySet

from production.core.places import PairPlace
from production.models import ActKind, Pair
from production.services.pairs import current_prices
from sales.core.money import share_out
from sales.errors import SalesError
from sales.models import DayAct, DayState, MarketDay, SaleLine
from sales.services.doubts import OUT_WITH_SOMEBODY, sold_when

LONGEST_NUMBER = 9


@dataclass(frozen=True, slots=True)
class Claim:
    """What the book makes of a number that was read at the stall.

    Attributes:
        number: The number as the book would print it.
        pair: The pair, if the book has it.
        price_minor: Its price, if one is known [minor units].
        question: What to ask before it is sold; empty if nothing speaks against it.
        note: What will go to the tray without asking; empty if nothing.
    """

    number: str
    pair: Pair | None = None
    price_minor: int | None = None
    question: str = ""
    note: str = ""


def paid_for(line: SaleLine) -> int:
    """Return what the buyer paid for a line, its part of a tax on top inside."""
    sale = line.sale
    if sale.tax_included or not sale.tax_minor:
        return line.price_minor
    prices = list(sale.lines.order_by("pk").values_list("pk", "price_minor"))
    parts = share_out(sale.tax_minor, [price for _, price in prices])
    return line.price_minor + dict(zip((pk for pk, _ in prices), parts, strict=True))[line.pk]


def number_in(text: str) -> int | None:
    """Return the pair number in what was typed or scanned ("1042", "p1042", an address)."""
    digits = text.strip().rstrip("/").rsplit("/", 1)[-1].strip().lstrip("Pp")
    if not (digits.isascii() and digits.isdecimal()) or len(digits) > LONGEST_NUMBER:
        return None
    return int(digits)


def find_pair(text: str) -> Pair | None:
    """Return the pair whose number was typed or scanned, if the book has it."""
    number = number_in(text)
    return None if number is None else Pair.objects.with_kind().filter(number=number).first()


def sold_line(pair: Pair) -> SaleLine | None:
    """Return the line that holds a pair as sold."""
    return (
        SaleLine.objects.filter(pair=pair, holds=True)
        .select_related("sale__act", "sale__day__market", "pair__pattern__design")
        .first()
    )


def table_pairs(day: MarketDay) -> QuerySet[Pair]:
    """Return the pairs that can have been sold at a day's table.

    While it is open that is the stall box. After closing it is what went home unsold and is
    still there, so that a purchase found on paper in the evening meets its pair.
    """
    if day.state != DayState.CLOSED:
        return Pair.objects.in_stall_box()
    closings = DayAct.objects.filter(
        day=day, act__kind=ActKind.CLOSE_DAY, act__undone_by__isnull=True
    )
    return Pair.objects.filter(
        Q(place=PairPlace.SHELF), moves__act__in=closings.values("act_id")
    ).distinct()


def claim(*, day: MarketDay, text: str, in_purchase: Collection[int] = ()) -> Claim:
    """Return what the book makes of a number, without recording anything.

    Args:
        day: The day it is sold on.
        text: What was typed or scanned.
        in_purchase: Ids of pairs that are in the same purchase already.

    Raises:
        SalesError: If there is no number in the text.
    """
    number = number_in(text)
    if number is None:
        msg = f"“{text.strip()}” is no pair number. Type what is on the tag, like P1042."
        raise SalesError(msg, field="number")
    pair = find_pair(text)
    if pair is None:
        told = (
            f"The book has no pair P{number}. If it was sold all the same, give the price and "
            "record it anyway; it is kept to be sorted out."
        )
        return Claim(f"P{number}", question=told)
    price = pair.price_minor
    if price is None and (listed := current_prices([pair.pattern_id]).get(pair.pattern_id)):
        price = listed.of_quality(pair.quality)
    return Claim(
        pair.label,
        pair,
        price,
        question=_question(pair, in_purchase),
        note=_note(pair, day),
    )


def _question(pair: Pair, in_purchase: Collection[int]) -> str:
    if pair.pk in in_purchase:
        return (
            f"{pair.label} is in this purchase already. Two tags with one number? Record it anyway."
        )
    if pair.place in OUT_WITH_SOMEBODY:
        return (
            f"{pair.label} {sold_when(pair)}. If it really went over the table again, "
            "record it anyway; it is kept to be sorted out."
        )
    return ""


def _note(pair: Pair, day: MarketDay) -> str:
    if pair.place in (PairPlace.STALL, *OUT_WITH_SOMEBODY):
        return ""
    if table_pairs(day).filter(pk=pair.pk).exists():
        return ""
    return f"The book has it {pair.place_name}, not packed; kept to be sorted out."
