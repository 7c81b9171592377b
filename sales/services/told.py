"""Recording what a phone tells as a fact: nothing that happened at the stall is refused.

Where the book disagrees, the money is recorded as it was taken or paid out, and the
disagreement goes to the tray.
"""

import uuid
from dataclasses import replace

from django.db import transaction

from patterns.core.words import say
from patterns.models import Pattern
from production.core.places import PairPlace
from production.errors import CannotUndoError
from production.models import Act, ActKind, Pair
from production.services.acts import Who, record
from sales.core.tillacts import (
    Said,
    SaidAsk,
    SaidBack,
    SaidLine,
    SaidPurchase,
    key_of_back,
)
from sales.models import DayAct, MarketDay, Payment, Sale, SaleLine, SortOut, TakenBack
from sales.services import till
from sales.services.table import find_pair, number_in, paid_for, sold_line
from sales.services.undo import undo_act


def record_told(*, said: Said, day: MarketDay, who: Who, timed: bool) -> Act:
    """Record a purchase, a return or a request as the phone tells it; return its first act.

    Raises:
        SalesError: If it cannot be a fact of the stall, such as an absurd price.
    """
    if isinstance(said, SaidPurchase):
        return _purchase_told(said, day=day, who=who, timed=timed)
    if isinstance(said, SaidAsk):
        pattern = Pattern.objects.filter(pk=said.pattern).first() if said.pattern else None
        unknown = "" if pattern else str(say("kind {number}", number=said.pattern))
        words = said.words or unknown
        return till.note_ask(day=day, pattern=pattern, words=words, who=who).act
    msg = f"{type(said).__name__} is not recorded by itself."
    raise TypeError(msg)


@transaction.atomic
def undo_told(*, key: uuid.UUID, backs: int, who: Who) -> Act | None:
    """Take back what was recorded under a phone's key; return the last act written.

    Where the book cannot step back, because something else rests on it by now, the money
    and the pairs go the other way by acts of their own: the day's sums are the same.

    Args:
        key: The phone's key of the act.
        backs: How many pairs came back in it.
        who: Who takes it back, and when.
    """
    keys = [key, *(key_of_back(key, place) for place in range(backs))]
    done = None
    for act in Act.objects.standing().filter(key__in=keys).newest_first():
        try:
            with transaction.atomic():
                done = undo_act(act_id=act.pk, who=who)
        except CannotUndoError:
            done = _reverse_by_acts(act, who)
    return done


@transaction.atomic
def take_back_told(*, back: SaidBack, day: MarketDay, paid_by: Payment, who: Who) -> Act:
    """Record a pair brought back and the money paid out, whatever the book thought of it."""
    pair = find_pair(back.number)
    line = (_sold_beside(pair) or sold_line(pair)) if pair else None
    if line is None:
        return _back_without_sale(back, pair, day=day, paid_by=paid_by, who=who)
    more = back.refund_minor > paid_for(line)
    returned = till.return_line(
        line=line, refund_minor=back.refund_minor, paid_by=paid_by, day=day, who=who
    )
    if more:
        story = say("More was paid out for {pair} than the book has it sold for.", pair=pair)
        SortOut.objects.create(
            act=returned.act, line=line, kind=SortOut.Kind.BACK, story=str(story)
        )
    return returned.act


def _purchase_told(said: SaidPurchase, *, day: MarketDay, who: Who, timed: bool) -> Act:
    paid_by = Payment(said.paid_by)
    first: Act | None = None
    for place, back in enumerate(said.back):
        own = replace(who, key=key_of_back(who.key, place) if who.key else None)
        act = take_back_told(back=back, day=day, paid_by=paid_by, who=own)
        first = first or act
    if first and not said.lines:
        return first
    tax = None
    if said.tax_minor is not None:
        tax = till.TaxTaken(said.tax_minor, said.tax_included)
    return till.sell(
        day=day,
        lines=_lines(said.lines),
        paid_by=paid_by,
        who=who,
        timed=timed,
        despite_doubt=True,
        tax=tax,
    ).act


def _lines(said: tuple[SaidLine, ...]) -> list[till.Line]:
    numbers = {number_in(line.number) for line in said if line.number}
    pairs = {
        pair.number: pair
        for pair in Pair.objects.filter(number__in=[n for n in numbers if n is not None])
    }
    patterns = Pattern.objects.in_bulk([line.pattern for line in said if line.pattern])
    return [_line(line, pairs, patterns) for line in said]


def _line(said: SaidLine, pairs: dict[int, Pair], patterns: dict[int, Pattern]) -> till.Line:
    number = number_in(said.number) if said.number else None
    pair = pairs.get(number) if number is not None else None
    pattern = patterns.get(said.pattern) if said.pattern else None
    claimed = said.number if number is None else f"P{number}"
    if not claimed and pattern is None:
        claimed = (said.name or str(say("a kind the book has not")))[:40]
    return till.Line(
        price_minor=said.price_minor,
        pair=pair,
        number="" if pair else claimed,
        pattern=pattern,
        quality=said.quality,
        reason=said.reason,
        yarn_id=said.yarn,
        list_minor=said.list_minor,
    )


def _sold_beside(pair: Pair) -> SaleLine | None:
    """Return a line that read the pair's number when the book had it sold already."""
    if pair.place == PairPlace.SOLD:
        return None
    lines = SaleLine.objects.filter(pair=None, holds=True, claimed=pair.label)
    return lines.select_related("sale").order_by("-pk").first()


def _back_without_sale(
    back: SaidBack, pair: Pair | None, *, day: MarketDay, paid_by: Payment, who: Who
) -> Act:
    name = pair.label if pair else back.number
    act = _pay_out(name, back.refund_minor, day=day, paid_by=paid_by, who=who)
    if pair:
        story = say(
            "{pair} was brought back and paid out, but the book has it {place}.",
            pair=name,
            place=pair.place_name,
        )
    else:
        story = say(
            "{pair} was brought back and paid out, but the book has no such pair.", pair=name
        )
    SortOut.objects.create(act=act, kind=SortOut.Kind.BACK, story=str(story))
    return act


def _pay_out(
    name: str, refund_minor: int, *, day: MarketDay | None, paid_by: Payment, who: Who
) -> Act:
    """Record money paid out for a pair that no sale holds."""
    act = record(ActKind.RETURN, who)
    if day is not None:
        DayAct.objects.create(act=act, day=day)
    TakenBack.objects.create(
        act=act, day=day, claimed=name[:40], refund_minor=refund_minor, paid_by=paid_by
    )
    return act


def _reverse_by_acts(act: Act, who: Who) -> Act:
    if act.kind == ActKind.SALE:
        return _return_all(Sale.objects.select_related("day").get(act=act), who)
    if act.kind == ActKind.RETURN:
        back = TakenBack.objects.select_related("line__pair", "day").get(act=act)
        return _sell_again(back, who)
    msg = say("“{act}” cannot be taken back any more.", act=act)
    raise CannotUndoError(msg)


def _return_all(sale: Sale, who: Who) -> Act:
    """Pay every line back, and bring back the pairs that are still out."""
    done = sale.act
    for line in sale.lines.select_related("sale", "pair").order_by("pk"):
        paid, paid_by = paid_for(line), Payment(sale.paid_by)
        if line.holds:
            back = till.return_line(
                line=line, refund_minor=paid, paid_by=paid_by, day=sale.day, who=who
            )
            done = back.act
        else:
            # It was brought back before, and now its sale is said never to have been.
            name = line.pair.label if line.pair else line.claimed or str(line.pattern)
            done = _pay_out(name, paid, day=sale.day, paid_by=paid_by, who=who)
            story = say(
                "{pair} was brought back before its sale was taken back: paid out twice.",
                pair=name,
            )
            SortOut.objects.create(act=done, kind=SortOut.Kind.BACK, story=str(story)[:300])
        SortOut.objects.filter(line=line, settled_by__isnull=True).update(settled_by=done)
    return done


def _sell_again(back: TakenBack, who: Who) -> Act:
    """Put a pair back to its buyer that was brought back by mistake and moved on since."""
    pair = back.line.pair if back.line else None
    line = till.Line(
        price_minor=back.refund_minor,
        pair=pair,
        number="" if pair else back.claimed,
        reason=str(say("not brought back after all")),
    )
    return till.sell(
        day=back.day,
        lines=[line],
        paid_by=Payment(back.paid_by),
        who=who,
        despite_doubt=True,
        tax=till.TaxTaken(0, included=True),
    ).act
