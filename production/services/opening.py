"""Stock that was on the shelf before the book began: pairs that come in by an act of their own."""

from dataclasses import dataclass

from django.db import transaction
from django.db.models import Max

from patterns.core.words import say
from patterns.models import PatternVersion
from production.core.places import PairPlace, SockPlace
from production.errors import ProductionError
from production.models import (
    OPENING_STRING,
    Act,
    ActKind,
    DyeLot,
    Pair,
    PairMove,
    Quality,
    RunYarn,
    Sock,
    SockMark,
    SockMove,
    String,
    StringRun,
    YarnRole,
)
from production.services.acts import CHUNK, Who, mark_socks, next_number, record, recorded
from production.services.pairs import FIRST_PAIR_NUMBER, HIGHEST_PRICE_MINOR

MOST_PAIRS = 1000
LAST_POSITION = 32_767  # what the column of a sock's place in its string holds


@dataclass(frozen=True, slots=True)
class OldStock:
    """Pairs of one kind that she counted on her shelf."""

    version: PatternVersion
    lot: DyeLot
    quality: str
    price_minor: int
    pairs: int


@transaction.atomic
def bring_stock(*, stock: OldStock, who: Who, note: str = "") -> Act:
    """Put pairs from before the book on the shelf, each with two numbered socks.

    Their socks hang on the one string that stands for everything knitted before, number 0.
    Fibre content follows from the lot and the version's own grams; no yarn is booked, since
    the book never had it.

    Raises:
        ProductionError: If the number of pairs, the quality or the price is absurd.
    """
    if done := recorded(who.key):
        return done
    _check(stock)
    number = next_number(Pair, first=FIRST_PAIR_NUMBER)  # and the latch for string 0
    act = record(ActKind.OPENING, who, note=note)
    run = _new_run(act, stock)
    pairs = _new_pairs(act, stock, number)
    socks = _new_socks(act, run, pairs)
    PairMove.objects.bulk_create(
        (PairMove(act=act, pair=pair, start="", end=PairPlace.SHELF) for pair in pairs),
        batch_size=CHUNK,
    )
    SockMove.objects.bulk_create(
        (
            SockMove(act=act, sock=sock, start="", end=SockPlace.IN_PAIR, pair=sock.pair)
            for sock in socks
        ),
        batch_size=CHUNK,
    )
    mark_socks(act, [(sock, SockMark.Field.QUALITY, stock.quality) for sock in socks])
    return act


def _new_run(act: Act, stock: OldStock) -> StringRun:
    string = String.objects.filter(number=OPENING_STRING).first()
    first = 1
    if string is not None:
        first += string.socks.aggregate(last=Max("position"))["last"] or 0
    if first + 2 * stock.pairs > LAST_POSITION:
        msg = say("The opening stock holds at most {most} pairs.", most=LAST_POSITION // 2)
        raise ProductionError(msg, field="count")
    run = StringRun.objects.create(
        string=string or String.objects.create(number=OPENING_STRING, act=act),
        first_position=first,
        count=2 * stock.pairs,
        version=stock.version,
        resumed_by=act if string else None,
    )
    RunYarn.objects.create(
        run=run, lot=stock.lot, role=YarnRole.BASE, place="", grams=stock.version.grams
    )
    return run


def _new_pairs(act: Act, stock: OldStock, number: int) -> list[Pair]:
    return Pair.objects.bulk_create(
        (
            Pair(
                number=number + offset,
                version=stock.version,
                pattern=stock.version.pattern,
                lot=stock.lot,
                quality=stock.quality,
                place=PairPlace.SHELF,
                since=act.at,
                price_minor=stock.price_minor,
            )
            for offset in range(stock.pairs)
        ),
        batch_size=CHUNK,
    )


def _new_socks(act: Act, run: StringRun, pairs: list[Pair]) -> list[Sock]:
    return Sock.objects.bulk_create(
        (
            Sock(
                string=run.string,
                position=run.first_position + 2 * nth + side - 1,
                run=run,
                version=run.version,
                lot=pair.lot,
                place=SockPlace.IN_PAIR,
                since=act.at,
                pair=pair,
                side=side,
            )
            for nth, pair in enumerate(pairs)
            for side in (1, 2)
        ),
        batch_size=CHUNK,
    )


def _check(stock: OldStock) -> None:
    if not 1 <= stock.pairs <= MOST_PAIRS:
        msg = say(
            "{pairs} is no count of pairs; give 1 to {most}.",
            pairs=stock.pairs,
            most=MOST_PAIRS,
        )
        raise ProductionError(msg, field="count")
    if stock.quality not in (Quality.FIRST, Quality.SECOND):
        msg = say(
            "“{quality}” is no quality of a pair on the shelf; give first or second.",
            quality=stock.quality,
        )
        raise ProductionError(msg, field="quality")
    if not 0 <= stock.price_minor <= HIGHEST_PRICE_MINOR:
        msg = say(
            "{price} is no price in minor units; 0 to {most}.",
            price=stock.price_minor,
            most=HIGHEST_PRICE_MINOR,
        )
        raise ProductionError(msg, field="price")
