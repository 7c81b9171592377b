"""What lay on the shelf before the first season: brought into the book, sold at the door."""

import datetime as dt
from decimal import Decimal

from production.core.places import PairPlace, SockPlace
from production.models import (
    OPENING_STRING,
    ActKind,
    DyeLot,
    Pair,
    RunYarn,
    Sock,
    String,
    StringRun,
)
from sales.models import Payment, Sale, SaleLine
from socktrade.demo.scene import KINDS
from socktrade.history.house import House
from socktrade.history.ink import Ink

PAIRS = 6
NOTE = "from before the book"


def bring_old_stock(ink: Ink, house: House, at: dt.datetime) -> None:
    """Put old pairs of one kind on the shelf and sell them before anything else is made."""
    kind = KINDS[0]
    version = house.versions[kind]
    lot = ink.keep(DyeLot(yarn=house.yarns[kind.yarns[0]], code="old", tare_g=Decimal(0)))
    act = ink.act(ActKind.OPENING, at, note=NOTE)
    string = ink.keep(String(number=OPENING_STRING, act=act))
    run = ink.keep(StringRun(string=string, first_position=1, count=2 * PAIRS, version=version))
    ink.keep(RunYarn(run=run, lot=lot, grams=version.grams))
    pairs = []
    for nth in range(PAIRS):
        house.pair_number += 1
        pair = ink.keep(
            Pair(
                number=house.pair_number, version=version, pattern=version.pattern, lot=lot,
                place="", since=at, price_minor=kind.size.price_minor,
            )
        )  # fmt: skip
        socks = [
            ink.keep(
                Sock(
                    string=string, position=2 * nth + side, run=run, version=version, lot=lot,
                    place="", since=at,
                )
            )
            for side in (1, 2)
        ]  # fmt: skip
        ink.move_socks(act, socks, SockPlace.IN_PAIR, pair)
        pairs.append(pair)
    ink.move_pairs(act, pairs, PairPlace.SHELF)
    _sell_at_the_door(ink, pairs, at + dt.timedelta(days=2))


def _sell_at_the_door(ink: Ink, pairs: list[Pair], at: dt.datetime) -> None:
    act = ink.act(ActKind.SALE, at, note="at the door")
    total = sum(pair.price_minor or 0 for pair in pairs)
    sale = ink.keep(Sale(act=act, paid_by=Payment.CASH, timed=False, total_minor=total))
    ink.move_pairs(act, pairs, PairPlace.SOLD)
    for pair in pairs:
        ink.keep(
            SaleLine(
                sale=sale, pair=pair, pattern=pair.pattern, claimed=pair.label,
                list_minor=pair.price_minor, price_minor=pair.price_minor or 0,
            )
        )  # fmt: skip
