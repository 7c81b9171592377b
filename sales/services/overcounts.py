"""Pairs counted too many at the count back: what they were, as acts of their own."""

from collections import defaultdict
from collections.abc import Sequence

from django.db import transaction

from patterns.core.words import say
from production.core.places import PairPlace
from production.models import Act, ActKind, Pair, PairMove
from production.services.acts import Who, lock_pairs, move_pairs, record, recorded
from sales.errors import SalesError
from sales.models import CountCure, CountLine, CountSeen, DayAct, MarketDay, Sale, SaleLine
from sales.services.daysheet import CountGap, count_differences
from sales.services.undo import undo_act

AT_HOME = (PairPlace.SHELF, PairPlace.TO_TAG, PairPlace.GONE)


@transaction.atomic
def found_unpacked(*, day: MarketDay, line: CountLine, pair: Pair, who: Who) -> Act:
    """Say which pair was on the table without being packed; it lies on the shelf now.

    It counts as brought that day, so that the day is not read as one with fewer on the table.

    Raises:
        SalesError: If no pair is counted too many, the pair is of another kind, came home by
            the book already, is elsewhere or was named before.
    """
    if done := recorded(who.key):
        return done
    _too_many(day, line)
    [pair] = lock_pairs([pair.pk])
    _refuse_found(line, pair)
    act = record(
        ActKind.FOUND, who, note=str(say("on the table of {day} without being packed", day=day))
    )
    if pair.place != PairPlace.SHELF:
        move_pairs(act, [pair], PairPlace.SHELF)
    CountSeen.objects.create(act=act, pair=pair)
    CountCure.objects.create(act=act, line=line, how=CountCure.How.FOUND, pairs=1)
    return act


@transaction.atomic
def undo_slip(*, day: MarketDay, line: CountLine, sale: Sale, who: Who) -> Act:
    """Take back a purchase that never was; its pairs, left over at the stall, go home.

    The whole purchase is taken back; what of it was right is entered again.

    Raises:
        SalesError: If no pair is counted too many, or the purchase holds none of the kind.
        CannotUndoError: If something that it moved has moved on.
    """
    if done := recorded(who.key):
        return done
    too_many = _too_many(day, line)
    lines = list(sale.lines.filter(holds=True, sale__day=day))
    alike = [one for one in lines if _is_alike(one, line)]
    if not alike:
        msg = say("That purchase holds no {pattern_} of this day any more.", pattern_=line.pattern)
        raise SalesError(msg, field="sale")
    undo_act(act_id=sale.act_id, who=Who(by=who.by, at=who.at))
    act = record(ActKind.HOME, who, note=str(say("purchase {number} was a slip", number=sale.pk)))
    DayAct.objects.create(act=act, day=day)
    pairs = lock_pairs(one.pair_id for one in lines if one.pair_id)
    move_pairs(act, [pair for pair in pairs if pair.place == PairPlace.STALL], PairPlace.SHELF)
    settled = min(too_many, len(alike))
    CountCure.objects.create(act=act, line=line, how=CountCure.How.SLIP, pairs=settled)
    return act


def maybe_slips(day: MarketDay, gaps: Sequence[CountGap]) -> dict[int, list[SaleLine]]:
    """Return by count line the sale lines of the day of which one may be a slip."""
    over = {(gap.line.pattern_id, gap.line.quality): gap.line.pk for gap in gaps if gap.missing < 0}
    found: dict[int, list[SaleLine]] = defaultdict(list)
    if not over:
        return found
    rows = SaleLine.objects.filter(
        sale__day=day,
        sale__act__undone_by__isnull=True,
        holds=True,
        pattern__in={pattern for pattern, _ in over},
    )
    for row in rows.select_related("sale__act", "pair").order_by("pk"):
        if key := over.get((row.pattern_id or 0, row.quality)):
            found[key].append(row)
    return found


def _too_many(day: MarketDay, line: CountLine) -> int:
    missing = {gap.line.pk: gap.missing for gap in count_differences(day)}.get(line.pk, 0)
    if missing >= 0:
        msg = say(
            "No {pattern_} is counted too many; there is nothing to settle.", pattern_=line.pattern
        )
        raise SalesError(msg)
    return -missing


def _refuse_found(line: CountLine, pair: Pair) -> None:
    if (pair.pattern_id, pair.quality) != (line.pattern_id, line.quality):
        msg = say(
            "{label} is no {pattern_}, {quality}. Check the tag.",
            label=pair.label,
            pattern_=line.pattern,
            quality=line.get_quality_display(),
        )
        raise SalesError(msg, field="pair")
    if pair.place not in AT_HOME:
        msg = say(
            "The book has {label} {place_name}. If it is here all the same, a purchase was "
            "a slip: take that back instead.",
            label=pair.label,
            place_name=pair.place_name,
        )
        raise SalesError(msg, field="pair")
    if PairMove.objects.filter(act=line.act_id, pair=pair).exists():
        msg = say(
            "{label} was in the stall box and is counted already. Find the other one.",
            label=pair.label,
        )
        raise SalesError(msg, field="pair")
    named = CountCure.objects.filter(line=line, act__undone_by__isnull=True).values("act")
    if CountSeen.objects.filter(act__in=named, pair=pair).exists():
        msg = say("{label} was named already.", label=pair.label)
        raise SalesError(msg, field="pair")


def _is_alike(one: SaleLine, line: CountLine) -> bool:
    return (one.pattern_id, one.quality) == (line.pattern_id, line.quality)
