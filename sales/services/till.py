"""Selling. A pair that left the table is sold, whatever the book thought."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from django.db import transaction

from patterns.core.words import say
from patterns.models import Pattern
from production.core.places import PairPlace
from production.models import Act, ActKind, Pair, Quality, Yarn
from production.services.acts import Who, lock_pairs, move_pairs, record, recorded
from sales.errors import AlreadySoldError, SalesError
from sales.models import (
    Ask,
    DayAct,
    DayState,
    MarketDay,
    Payment,
    Sale,
    SaleLine,
    SortOut,
    TakenBack,
)
from sales.services.doubts import Doubt, doubt_about, refuse_sold
from sales.services.sums import TaxTaken, taken_as, takings
from sales.services.table import find_pair, paid_for, table_pairs
from sales.services.tapped import Tapped, pass_on, tapped_away
from sales.services.undo import undo_act

__all__ = [
    "AlreadySoldError",
    "Line",
    "TaxTaken",
    "find_pair",
    "paid_for",
    "sell",
    "take_back",
    "undo_act",
]

HIGHEST_LINE_MINOR = 10_000_000
MOST_LINES = 100


@dataclass(frozen=True, slots=True)
class Line:
    """One pair as the stall says it.

    Give `pair` when it is known, `number` when only a number was read that the book does
    not know, `pattern` with `quality` (and `yarn_id`, where colours differ) when a pair of
    a kind went; the book then takes the one that lay longest. `price_minor` is what was
    really taken, `list_minor` what the tag said. `set_aside` says that the pair waited at
    home for this buyer, so that nobody wonders why it was not packed.
    """

    price_minor: int
    pair: Pair | None = None
    number: str = ""
    pattern: Pattern | None = None
    quality: str = Quality.FIRST
    reason: str = ""
    yarn_id: int | None = None
    list_minor: int | None = None
    set_aside: bool = False


@dataclass(slots=True)
class _Purchase:
    """A purchase while its lines are written."""

    sale: Sale
    locked: dict[int, Pair]
    on_table: set[int]
    tapped: dict[int, Tapped]
    taken: set[int] = field(default_factory=set)


@transaction.atomic
def sell(
    *,
    day: MarketDay | None,
    lines: Sequence[Line],
    paid_by: Payment,
    who: Who,
    timed: bool = True,
    despite_doubt: bool = False,
    tax: TaxTaken | None = None,
) -> Sale:
    """Record a purchase; what the book doubts goes to the tray of things to sort out.

    `tax` is what was taken at the stall; without it the market's own rate holds.

    Raises:
        SalesError: If there is no line, a price is absurd, or the day is not open and
            `despite_doubt` is not set.
        AlreadySoldError: If the book has a pair sold and `despite_doubt` is not set.
            Nothing is recorded then; ask, and call again with it set.
    """
    if done := recorded(who.key):
        return Sale.objects.get(act=done)
    _check_lines(lines)
    if day is not None and not despite_doubt:
        _refuse_unopened(day)
    said = _name_pairs(day, lines)
    locked = {p.pk: p for p in lock_pairs(line.pair.pk for line in said if line.pair)}
    tapped = tapped_away(day, locked.values())
    if not despite_doubt:
        refuse_sold(pair for pair in locked.values() if pair.pk not in tapped)

    sale = _open_sale(day, lines, paid_by=paid_by, who=who, timed=timed, tax=tax)
    purchase = _Purchase(sale, locked, _lying_on_table(day, locked), tapped)
    for line, asked in zip(said, lines, strict=True):
        _write_line(purchase, line, read=asked.pair is not None)
    return sale


@transaction.atomic
def note_ask(
    *,
    day: MarketDay,
    who: Who,
    pattern: Pattern | None = None,
    words: str = "",
    yarn: Yarn | None = None,
) -> Ask:
    """Note what a buyer asked for and the table did not have, in a colour if she named one.

    Raises:
        SalesError: If neither a kind nor words are given.
    """
    if done := recorded(who.key):
        return Ask.objects.get(act=done)
    if pattern is None and not words.strip():
        msg = say("Say what was asked for: tap a kind or write a few words.")
        raise SalesError(msg, field="words")
    act = record(ActKind.ASK, who)
    DayAct.objects.create(act=act, day=day)
    return Ask.objects.create(act=act, day=day, pattern=pattern, yarn=yarn, words=words.strip())


@transaction.atomic
def take_back(
    *, line: SaleLine, refund_minor: int, paid_by: Payment, day: MarketDay | None, who: Who
) -> TakenBack:
    """Take a sold pair back onto the table (or the shelf) and pay out.

    Raises:
        SalesError: If the line names no pair, is already back, or the refund exceeds
            what was paid.
    """
    if done := recorded(who.key):
        return TakenBack.objects.get(act=done)
    line = SaleLine.objects.select_for_update(of=("self",)).select_related("sale").get(pk=line.pk)
    if line.pair_id is None or not line.holds:
        msg = say("This pair is not out with a buyer any more.")
        raise SalesError(msg, field="number")
    if not 0 <= refund_minor <= paid_for(line):
        msg = say("No more is paid back than was taken.")
        raise SalesError(msg, field="refund")
    return return_line(line=line, refund_minor=refund_minor, paid_by=paid_by, day=day, who=who)


@transaction.atomic
def return_line(
    *, line: SaleLine, refund_minor: int, paid_by: Payment, day: MarketDay | None, who: Who
) -> TakenBack:
    """Record that a line came back, asking nothing; without a pair only money moves."""
    act = record(ActKind.RETURN, who)
    at_stall = day is not None and day.state == DayState.OPEN
    if line.pair_id is not None:
        place = PairPlace.STALL if at_stall else PairPlace.SHELF
        move_pairs(act, lock_pairs([line.pair_id]), place, start=PairPlace.SOLD)
    SaleLine.objects.filter(pk=line.pk).update(holds=False)
    if day is not None:
        DayAct.objects.create(act=act, day=day)
    return TakenBack.objects.create(
        act=act,
        line=line,
        claimed=line.claimed,
        day=day,
        refund_minor=refund_minor,
        paid_by=paid_by,
    )


@transaction.atomic
def settle_purchase(
    *,
    day: MarketDay,
    back: Sequence[SaleLine],
    lines: Sequence[Line],
    paid_by: Payment,
    who: Who,
    timed: bool = True,
    despite_doubt: bool = False,
) -> tuple[list[TakenBack], Sale | None]:
    """Take pairs back for what was paid and sell others: all of it or nothing.

    An exchange is the two kinds of acts that it is made of, so that each can be undone by
    itself and the day sheet shows both.

    Raises:
        SalesError: As `sell` and `take_back`, or if there is neither.
        AlreadySoldError: As `sell`.
    """
    if done := recorded(who.key):
        return [], Sale.objects.filter(act=done).first()
    returned = []
    for place, line in enumerate(back):
        # The key of the purchase belongs to its sale; without one, to the first pair back.
        key = who.key if place == 0 and not lines else None
        returned.append(
            take_back(
                line=line,
                refund_minor=paid_for(line),
                paid_by=paid_by,
                day=day,
                who=replace(who, key=key),
            )
        )
    if returned and not lines:
        return returned, None
    sale = sell(
        day=day,
        lines=lines,
        paid_by=paid_by,
        who=who,
        timed=timed,
        despite_doubt=despite_doubt,
    )
    return returned, sale


@transaction.atomic
def settle(*, item: SortOut, who: Who, note: str) -> Act:
    """Put a disagreement to rest with a word on what it was.

    Raises:
        SalesError: If no word is given or it was settled before.
    """
    if done := recorded(who.key):
        return done
    if not note.strip():
        msg = say("Say in a few words what it was.")
        raise SalesError(msg, field="note")
    if SortOut.objects.filter(pk=item.pk, settled_by__isnull=False).exists():
        msg = say("That was settled already.")
        raise SalesError(msg)
    act = record(ActKind.SORTED, who, note=note.strip())
    SortOut.objects.filter(pk=item.pk).update(settled_by=act)
    return act


def _open_sale(
    day: MarketDay | None,
    lines: Sequence[Line],
    *,
    paid_by: Payment,
    who: Who,
    timed: bool,
    tax: TaxTaken | None,
) -> Sale:
    prices = [line.price_minor for line in lines]
    money = taken_as(prices, tax) if tax else takings(day, prices)
    act = record(ActKind.SALE, who)
    if day is not None:
        DayAct.objects.create(act=act, day=day)
        if day.state not in (DayState.OPEN, DayState.CLOSED):
            story = say(
                "Sold on {day}, but the book has that day {state}.",
                day=day,
                state=day.get_state_display(),
            )
            SortOut.objects.create(act=act, kind=SortOut.Kind.DAY, story=str(story))
    return Sale.objects.create(
        act=act,
        day=day,
        paid_by=paid_by,
        timed=timed,
        total_minor=money.gross_minor,
        tax_minor=money.tax_minor,
        tax_included=tax.included if tax else day is None or day.tax_included,
    )


def _name_pairs(day: MarketDay | None, lines: Sequence[Line]) -> list[Line]:
    """Give each line that only names a kind the pair of it that lay longest."""
    kinds = {line.pattern.pk for line in lines if _only_kind(line) and line.pattern}
    if day is None or not kinds:
        return list(lines)
    free = table_pairs(day).filter(pattern_id__in=kinds).select_related("lot").order_by("number")
    used = {line.pair.pk for line in lines if line.pair}
    waiting = [pair for pair in free if pair.pk not in used]
    named = []
    for line in lines:
        fits = [pair for pair in waiting if _only_kind(line) and _is_of_kind(pair, line)]
        # Among equals the tag decides: two prices of one kind are two piles on the table.
        fits.sort(key=lambda pair: pair.price_minor != line.list_minor)
        if fits:
            waiting.remove(fits[0])
        named.append(replace(line, pair=fits[0]) if fits else line)
    return named


def _only_kind(line: Line) -> bool:
    return line.pair is None and not line.number and line.pattern is not None


def _is_of_kind(pair: Pair, line: Line) -> bool:
    return (
        line.pattern is not None
        and pair.pattern_id == line.pattern.pk
        and pair.quality == line.quality
        and line.yarn_id in (None, pair.lot.yarn_id)
    )


def _lying_on_table(day: MarketDay | None, locked: dict[int, Pair]) -> set[int]:
    if day is None:
        return {pk for pk, pair in locked.items() if pair.place == PairPlace.STALL}
    there = set(table_pairs(day).filter(pk__in=locked).values_list("pk", flat=True))
    return there | {pk for pk, pair in locked.items() if pair.place == PairPlace.STALL}


def _write_line(purchase: _Purchase, line: Line, *, read: bool) -> None:
    pair = purchase.locked[line.pair.pk] if line.pair else None
    act = purchase.sale.act
    # A pair that an earlier tap only stood for goes to who read its number; the tap gets another.
    earlier = purchase.tapped.pop(pair.pk, None) if pair else None
    if earlier:
        pass_on(act, earlier)
    doubt = None if earlier else _doubt(purchase, line, pair)
    sold_before = doubt is not None and doubt.kind == SortOut.Kind.SOLD_TWICE
    row = SaleLine.objects.create(
        sale=purchase.sale,
        pair=None if sold_before else pair,
        pattern=pair.pattern if pair else line.pattern,
        quality=pair.quality if pair else line.quality,
        claimed=line.number or (pair.label if pair and read else ""),
        list_minor=pair.price_minor if pair else line.list_minor,
        price_minor=line.price_minor,
        reason=line.reason,
    )
    if pair is not None and not sold_before:
        purchase.taken.add(pair.pk)
        if not earlier:
            move_pairs(act, [pair], PairPlace.SOLD)
    if doubt is not None:
        SortOut.objects.create(act=act, line=row, kind=doubt.kind, story=str(doubt.story))


def _doubt(purchase: _Purchase, line: Line, pair: Pair | None) -> Doubt | None:
    if pair is None:
        return _doubt_without_pair(line)
    at_hand = line.set_aside or pair.pk in purchase.on_table
    return doubt_about(pair, taken=pair.pk in purchase.taken, on_table=at_hand)


def _doubt_without_pair(line: Line) -> Doubt:
    kind = SortOut.Kind
    if line.number:
        told = say("“{number}” was sold, but the book has no such pair.", number=line.number)
        return Doubt(kind.UNKNOWN, told)
    told = say("A pair of {kind} was sold; the book had none left.", kind=line.pattern)
    return Doubt(kind.NONE_LEFT, told)


def _check_lines(lines: Sequence[Line]) -> None:
    if not lines:
        msg = say("Tap a kind or give a pair number first.")
        raise SalesError(msg, field="number")
    if len(lines) > MOST_LINES:
        msg = say(
            "{count} pairs in one purchase; record at most {MOST_LINES} at once.",
            count=len(lines),
            MOST_LINES=MOST_LINES,
        )
        raise SalesError(msg, field="number")
    for line in lines:
        if not 0 <= line.price_minor <= HIGHEST_LINE_MINOR:
            msg = say(
                "{price_minor} is no price in minor units; 0 to {HIGHEST_LINE_MINOR}.",
                price_minor=line.price_minor,
                HIGHEST_LINE_MINOR=HIGHEST_LINE_MINOR,
            )
            raise SalesError(msg, field="price")


def _refuse_unopened(day: MarketDay) -> None:
    if day.state == DayState.PLANNED:
        msg = say("Open the day first: count the tin and press “Open the stall”.")
        raise SalesError(msg)
    if day.state == DayState.CANCELLED:
        msg = say("This day is cancelled. Put it back into the calendar first.")
        raise SalesError(msg)
