"""Selling. A pair that left the table is sold, whatever the book thought."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction

from patterns.models import Pattern
from production.core.places import PairPlace
from production.errors import CannotUndoError
from production.models import Act, ActKind, Pair, PairMove, Quality
from production.services.acts import Who, lock_pairs, move_pairs, record, recorded
from production.services.acts import undo_act as undo_moves
from sales.core.money import Taxed, taxed
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

HIGHEST_LINE_MINOR = 10_000_000


@dataclass(frozen=True, slots=True)
class Line:
    """One pair as the stall says it.

    Give `pair` when it is known, `number` when only a number was read that the book does
    not know, `pattern` with `quality` when a pair of a kind went. `price_minor` is what was
    really taken.
    """

    price_minor: int
    pair: Pair | None = None
    number: str = ""
    pattern: Pattern | None = None
    quality: str = Quality.FIRST
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Doubt:
    """What the book finds odd about a line; the sale stands all the same."""

    kind: SortOut.Kind
    story: str


@transaction.atomic
def sell(
    *,
    day: MarketDay | None,
    lines: Sequence[Line],
    paid_by: Payment,
    who: Who,
    timed: bool = True,
    despite_doubt: bool = False,
) -> Sale:
    """Record a purchase; what the book doubts goes to the tray of things to sort out.

    Raises:
        SalesError: If there is no line or a price is absurd.
        AlreadySoldError: If the book has a pair sold and `despite_doubt` is not set.
            Nothing is recorded then; ask, and call again with it set.
    """
    if done := recorded(who.key):
        return Sale.objects.get(act=done)
    _check_lines(lines)
    if day is not None:
        _refuse_unopened(day)
    locked = {p.pk: p for p in lock_pairs(line.pair.pk for line in lines if line.pair)}
    if not despite_doubt:
        _refuse_sold(locked.values())

    money = takings(day, [line.price_minor for line in lines])
    act = record(ActKind.SALE, who)
    sale = Sale.objects.create(
        act=act,
        day=day,
        paid_by=paid_by,
        timed=timed,
        total_minor=money.gross_minor,
        tax_minor=money.tax_minor,
        tax_included=day.market.tax_included if day else True,
    )
    if day is not None:
        DayAct.objects.create(act=act, day=day)
    taken: set[int] = set()
    for line in lines:
        _write_line(act, sale, line, locked, taken)
    return sale


@transaction.atomic
def note_ask(*, day: MarketDay, who: Who, pattern: Pattern | None = None, words: str = "") -> Ask:
    """Note what a buyer asked for and the table did not have.

    Raises:
        SalesError: If neither a kind nor words are given.
    """
    if done := recorded(who.key):
        return Ask.objects.get(act=done)
    if pattern is None and not words.strip():
        msg = "Say what was asked for: tap a kind or write a few words."
        raise SalesError(msg, field="words")
    act = record(ActKind.ASK, who)
    DayAct.objects.create(act=act, day=day)
    return Ask.objects.create(act=act, day=day, pattern=pattern, words=words.strip())


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
    line = SaleLine.objects.select_for_update(of=("self",)).get(pk=line.pk)
    if line.pair_id is None or not line.holds:
        msg = "This pair is not out with a buyer any more."
        raise SalesError(msg)
    if refund_minor > line.price_minor:
        msg = "No more is paid back than was taken."
        raise SalesError(msg, field="refund")
    act = record(ActKind.RETURN, who)
    at_stall = day is not None and day.state == DayState.OPEN
    move_pairs(act, lock_pairs([line.pair_id]), PairPlace.STALL if at_stall else PairPlace.SHELF)
    SaleLine.objects.filter(pk=line.pk).update(holds=False)
    if day is not None:
        DayAct.objects.create(act=act, day=day)
    return TakenBack.objects.create(
        act=act, line=line, day=day, refund_minor=refund_minor, paid_by=paid_by
    )


@transaction.atomic
def undo_act(*, act_id: int, who: Who) -> Act:
    """Take back any act of the book, with what it meant for sales and days.

    Raises:
        CannotUndoError: If something has moved on since, or the act opened or closed a
            market day that has other acts after it.
    """
    act = Act.objects.get(pk=act_id)
    if act.kind in (ActKind.OPEN_DAY, ActKind.CLOSE_DAY):
        _undo_day_state(act)
    if act.kind == ActKind.RETURN:
        back = TakenBack.objects.get(act=act)
        reverse = undo_moves(act_id=act_id, by=who.by, at=who.at)
        SaleLine.objects.filter(pk=back.line_id).update(holds=True)
        return reverse
    reverse = undo_moves(act_id=act_id, by=who.by, at=who.at)
    SaleLine.objects.filter(sale__act=act).update(holds=False)
    SortOut.objects.filter(act=act, settled_by__isnull=True).update(settled_by=reverse)
    return reverse


@transaction.atomic
def settle(*, item: SortOut, who: Who, note: str) -> Act:
    """Put a disagreement to rest with a word on what it was.

    Raises:
        SalesError: If no word is given.
    """
    if not note.strip():
        msg = "Say in a few words what it was."
        raise SalesError(msg, field="note")
    act = record(ActKind.SORTED, who, note=note.strip())
    SortOut.objects.filter(pk=item.pk).update(settled_by=act)
    return act


def takings(day: MarketDay | None, prices_minor: Sequence[int]) -> Taxed:
    """Return what a purchase comes to, tax by the market's own rate, once for the sale."""
    total = sum(prices_minor)
    if day is None:
        return Taxed(total, 0, total)
    rate = day.market.tax_percent / 100
    return taxed(total, rate, inclusive=day.market.tax_included)


def find_pair(text: str) -> Pair | None:
    """Return the pair whose number was typed or scanned ("1042", "p1042", an address)."""
    digits = text.strip().rstrip("/").rsplit("/", 1)[-1].strip().lstrip("Pp")
    if not digits.isdecimal() or len(digits) > 9:
        return None
    return Pair.objects.with_kind().filter(number=int(digits)).first()


def oldest_of_kind(pattern: Pattern, quality: str) -> Pair | None:
    """Return the pair of a kind that lay longest in the stall box."""
    return (
        Pair.objects.in_stall_box()
        .filter(pattern=pattern, quality=quality)
        .order_by("number")
        .first()
    )


def _write_line(act: Act, sale: Sale, line: Line, locked: dict[int, Pair], taken: set[int]) -> None:
    pair = locked[line.pair.pk] if line.pair else None
    doubt = _doubt(line, pair, taken)
    sold_before = doubt is not None and doubt.kind == SortOut.Kind.SOLD_TWICE
    row = SaleLine.objects.create(
        sale=sale,
        pair=None if sold_before else pair,
        pattern=pair.pattern if pair else line.pattern,
        quality=pair.quality if pair else line.quality,
        claimed=line.number or (pair.label if pair else ""),
        list_minor=pair.price_minor if pair else None,
        price_minor=line.price_minor,
        reason=line.reason,
    )
    if pair is not None and not sold_before:
        move_pairs(act, [pair], PairPlace.SOLD)
        taken.add(pair.pk)
    if doubt is not None:
        SortOut.objects.create(act=act, line=row, kind=doubt.kind, story=doubt.story)


def _doubt(line: Line, pair: Pair | None, taken: set[int]) -> Doubt | None:
    kind = SortOut.Kind
    if pair is None and line.number:
        return Doubt(kind.UNKNOWN, f"“{line.number}” was sold, but the book has no such pair.")
    if pair is None:
        return Doubt(kind.NONE_LEFT, f"A pair of {line.pattern} was sold; the book had none left.")
    if pair.pk in taken or pair.place in (PairPlace.SOLD, PairPlace.SPLIT):
        return Doubt(kind.SOLD_TWICE, f"{pair.label} was sold again; it {_sold_when(pair)}.")
    if pair.place != PairPlace.STALL:
        return Doubt(
            kind.NOT_PACKED, f"{pair.label} was sold, but the book had it {pair.place_name}."
        )
    return None


def _sold_when(pair: Pair) -> str:
    move = (
        PairMove.objects.filter(pair=pair, end=PairPlace.SOLD)
        .select_related("act")
        .order_by("-pk")
        .first()
    )
    if move is None:
        return f"is {pair.place_name}"
    at = move.act.at
    return f"was sold on {at.day} {at:%B %Y at %H:%M}"


def _refuse_sold(pairs: object) -> None:
    for pair in pairs:  # type: ignore[attr-defined]
        if pair.place in (PairPlace.SOLD, PairPlace.SPLIT):
            msg = (
                f"{pair.label} {_sold_when(pair)}. If it really went over the table again, "
                "record it anyway; it is kept to be sorted out."
            )
            raise AlreadySoldError(msg, field="number")


def _check_lines(lines: Sequence[Line]) -> None:
    if not lines:
        msg = "Tap a kind or give a pair number first."
        raise SalesError(msg, field="number")
    for line in lines:
        if not 0 <= line.price_minor <= HIGHEST_LINE_MINOR:
            msg = f"{line.price_minor} is no price in minor units; 0 to {HIGHEST_LINE_MINOR}."
            raise SalesError(msg, field="price")


def _refuse_unopened(day: MarketDay) -> None:
    if day.state == DayState.PLANNED:
        msg = "Open the day first: count the tin and press “Open the stall”."
        raise SalesError(msg)


def _undo_day_state(act: Act) -> None:
    entry = DayAct.objects.select_related("day").get(act=act)
    later = DayAct.objects.filter(
        day=entry.day, act_id__gt=act.pk, act__undone_by__isnull=True
    ).exists()
    if later:
        msg = "The day went on after that. Undo what came later first."
        raise CannotUndoError(msg)
    state = DayState.PLANNED if act.kind == ActKind.OPEN_DAY else DayState.OPEN
    MarketDay.objects.filter(pk=entry.day_id).update(state=state)
