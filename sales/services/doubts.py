"""What the book finds odd about a sale. Nothing here refuses a fact; it names it."""

from collections.abc import Iterable
from dataclasses import dataclass

from patterns.core.words import Phrase, say
from production.core.places import PairPlace
from production.models import Pair, PairMove
from sales.errors import AlreadySoldError
from sales.models import Order, SaleLine, SortOut

OUT_WITH_SOMEBODY = (PairPlace.SOLD, PairPlace.SPLIT)


@dataclass(frozen=True, slots=True)
class Doubt:
    """A disagreement between the stall and the book, in words."""

    kind: SortOut.Kind
    story: str


def doubt_about(pair: Pair, *, taken: bool, on_table: bool) -> Doubt | None:
    """Return what speaks against the sale of a known pair.

    Args:
        pair: The pair as it stands before the sale.
        taken: Whether an earlier line of the same purchase has it already.
        on_table: Whether it lay on the table of that day.
    """
    kind = SortOut.Kind
    if taken or pair.place in OUT_WITH_SOMEBODY:
        again = say(
            "{label} was sold again; it {sold_when}.", label=pair.label, sold_when=sold_when(pair)
        )
        return Doubt(kind.SOLD_TWICE, again)
    if not on_table:
        return Doubt(kind.NOT_PACKED, _not_packed(pair))
    return None


def _not_packed(pair: Pair) -> Phrase:
    if order := Order.objects.due().filter(pair=pair).first():
        return say(
            "{label} was sold, but the book had it {place}, set aside for order {order}.",
            label=pair.label,
            place=pair.place_name,
            order=order.pk,
        )
    return say(
        "{label} was sold, but the book had it {place}.", label=pair.label, place=pair.place_name
    )


def sold_when(pair: Pair) -> Phrase:
    """Return how a pair left, as the end of a sentence about it."""
    move = (
        PairMove.objects.filter(pair=pair, end=PairPlace.SOLD)
        .select_related("act")
        .order_by("-pk")
        .first()
    )
    if move is None:
        return say("is {place}", place=pair.place_name)
    at = move.act.at
    if SaleLine.objects.filter(pair=pair, holds=True, claimed="").exists():
        return say(
            "was sold on {at:long} at {at:clock}, when a pair of its kind was tapped without "
            "a number",
            at=at,
        )
    return say("was sold on {at:long} at {at:clock}", at=at)


def refuse_sold(pairs: Iterable[Pair]) -> None:
    """Stop before a pair is sold a second time, so that she can say it really was.

    Raises:
        AlreadySoldError: If the book has one of the pairs out with somebody.
    """
    for pair in pairs:
        if pair.place in OUT_WITH_SOMEBODY:
            msg = say(
                "{label} {sold_when}. If it really went over the table again, record it "
                "anyway; it is kept to be sorted out.",
                label=pair.label,
                sold_when=sold_when(pair),
            )
            raise AlreadySoldError(msg, field="number")
