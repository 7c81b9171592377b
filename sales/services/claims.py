"""What the book makes of a number that was read at the stall, before anything is recorded."""

from collections.abc import Collection
from dataclasses import dataclass

from patterns.core.words import say
from production.core.places import PairPlace
from production.models import Pair
from production.services.pairs import current_prices
from sales.errors import SalesError
from sales.models import MarketDay
from sales.services.doubts import OUT_WITH_SOMEBODY, sold_when
from sales.services.table import find_pair, number_in, table_pairs
from sales.services.tapped import tapped_away

MOST_LINES = 100


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
        msg = say(
            "“{strip}” is no pair number. Type what is on the tag, like P1042.", strip=text.strip()
        )
        raise SalesError(msg, field="number")
    pair = find_pair(text)
    if pair is None:
        told = say(
            "The book has no pair P{number}. If it was sold all the same, give the price "
            "and record it anyway; it is kept to be sorted out.",
            number=number,
        )
        return Claim(f"P{number}", question=told)
    price = pair.price_minor
    if price is None and (listed := current_prices([pair.pattern_id]).get(pair.pattern_id)):
        price = listed.of_quality(pair.quality)
    return Claim(
        pair.label,
        pair,
        price,
        question=_question(pair, day, in_purchase),
        note=_note(pair, day),
    )


def claim_stubs(*, day: MarketDay, text: str, in_purchase: Collection[int] = ()) -> list[Claim]:
    """Return what the book makes of many numbers at once, such as the stubs of a day.

    Raises:
        SalesError: If one of them is unreadable or needs a word of its own: it is not in
            the book, sold already, without a price or there twice. None is taken then.
    """
    words = text.split()
    if len(words) > MOST_LINES:
        msg = say(
            "{count} numbers at once; give at most {MOST_LINES}.",
            count=len(words),
            MOST_LINES=MOST_LINES,
        )
        raise SalesError(msg, field="number")
    numbers = [number_in(word) for word in words]
    wanted = [number for number in numbers if number is not None]
    found = {
        pair.number: pair
        for pair in Pair.objects.select_related("pattern__design").filter(number__in=wanted)
    }
    on_table = set(
        table_pairs(day).filter(number__in=wanted).order_by().values_list("pk", flat=True)
    )
    said: list[Claim] = []
    for word, number in zip(words, numbers, strict=True):
        pair = found.get(number) if number is not None else None
        taken = [*in_purchase, *(claim.pair.pk for claim in said if claim.pair)]
        if pair is None or pair.price_minor is None or pair.pk in taken or _is_out(pair):
            msg = say(
                "“{word}” needs a look of its own: give it by itself. Nothing was added.", word=word
            )
            raise SalesError(msg, field="number")
        note = "" if pair.pk in on_table else _not_packed(pair)
        said.append(Claim(pair.label, pair, pair.price_minor, note=note))
    return said


def _is_out(pair: Pair) -> bool:
    return pair.place in OUT_WITH_SOMEBODY


def _question(pair: Pair, day: MarketDay, in_purchase: Collection[int]) -> str:
    if pair.pk in in_purchase:
        return say(
            "{label} is in this purchase already. Two tags with one number? Record it anyway.",
            label=pair.label,
        )
    if pair.place in OUT_WITH_SOMEBODY and not tapped_away(day, [pair]):
        return say(
            "{label} {sold_when}. If it really went over the table again, record it "
            "anyway; it is kept to be sorted out.",
            label=pair.label,
            sold_when=sold_when(pair),
        )
    return ""


def _note(pair: Pair, day: MarketDay) -> str:
    if pair.place in (PairPlace.STALL, *OUT_WITH_SOMEBODY):
        return ""
    if table_pairs(day).filter(pk=pair.pk).exists():
        return ""
    return _not_packed(pair)


def _not_packed(pair: Pair) -> str:
    return say("The book has it {place}, not packed; kept to be sorted out.", place=pair.place_name)
