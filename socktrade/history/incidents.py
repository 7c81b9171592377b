"""What happens now and then at the stall: returns, slips, doubts, counts that differ."""

import datetime as dt

from production.core.places import PairPlace
from production.models import ActKind, Pair
from sales.models import CountCure, CountLine, SaleLine, SortOut
from socktrade.history.stall import Stall
from socktrade.history.state import State

EVENING = 1.7  # in opening hours from opening: at home, over the stubs


def at_noon(name: str, stall: Stall, sold: list[SaleLine]) -> bool:
    """Let one happen while the stall is open; return whether it could."""
    return _AT_NOON[name](stall, sold)


def _unpack(stall: Stall, _sold: list[SaleLine]) -> bool:
    if not stall.state.box:
        return False
    act = stall.state.ink.act(ActKind.UNPACK, stall.at(0.45), day=stall.day, note="sun on it")
    stall.put_out([stall.state.box[0]], act)
    return True


def _back_from(stall: Stall, sold: list[SaleLine], at: dt.datetime) -> bool:
    for line in sold:
        if line.holds and line.pair.place == PairPlace.SOLD and line.sale.day_id != stall.day.pk:
            stall.take_back(line, at)
            return True
    return False


def _return(stall: Stall, sold: list[SaleLine]) -> bool:
    return _back_from(stall, sold, stall.at(0.5))


def _exchange(stall: Stall, sold: list[SaleLine]) -> bool:
    if not stall.state.box or not _back_from(stall, sold, stall.at(0.52)):
        return False
    stall.sell([stall.state.box[0]], stall.at(0.52))
    return True


def _tin(stall: Stall, _sold: list[SaleLine]) -> bool:
    act = stall.state.ink.act(ActKind.CASH, stall.at(0.54), day=stall.day)
    stall.count_tin(act, cards=False)
    return True


def _slip(stall: Stall, _sold: list[SaleLine]) -> bool:
    if not stall.state.box:
        return False
    before = len(stall.sold)
    sale = stall.sell([stall.state.box[-1]], stall.at(0.56))
    stall.undo(sale, stall.sold[before:], stall.at(0.57))
    return True


def _words(stall: Stall, _sold: list[SaleLine]) -> bool:
    stall.ask(stall.at(0.58))
    return True


def _unknown(stall: Stall, _sold: list[SaleLine]) -> bool:
    sale = stall.sell([], stall.at(0.59), number=f"P{90_000 + stall.day.pk}")
    _settle(stall.state, sale.act, stall.at(EVENING), "A stub of the neighbour's stall.")
    return True


_AT_NOON = {
    "unpack": _unpack, "return": _return, "exchange": _exchange, "tin": _tin, "slip": _slip,
    "words": _words, "unknown": _unknown,
}  # fmt: skip


def from_paper(stall: Stall) -> bool:
    """Enter a purchase in the evening that only the stub tells of."""
    there = [pair for pair in stall.state.shelf if pair.pk in stall.brought]
    if not there:
        return False
    stall.sell([there[0]], stall.at(EVENING), timed=False)
    return True


def cure(stall: Stall, missing: Pair, lines: list[CountLine]) -> None:
    """Say what became of a pair that was missing at the count: lost, or sold unnoted."""
    state = stall.state
    line = next(row for row in lines if row.counted < row.expected)
    if state.dice.random() < 0.5:
        how, at = CountCure.How.SOLD, stall.at(EVENING)
        act = stall.sell([missing], at, timed=False).act
    else:
        how = CountCure.How.LOST
        note = f"missing at the count of {stall.day}"
        act = state.ink.act(ActKind.LOST, stall.at(EVENING), note=note)
        state.ink.move_pairs(act, [missing], PairPlace.GONE)
        state.shelf.remove(missing)
        state.gone.append(missing)
    state.ink.keep(CountCure(act=act, line=line, how=how, pairs=1))


def doubt(stall: Stall, pair: Pair | None, number: str, at: dt.datetime) -> None:
    """Sell, after the day, a number nobody knows and a pair never packed; both wait."""
    sale = stall.sell([pair] if pair else [], at, timed=False, number=number)
    if pair:
        line = stall.sold[-1]
        story = f"{pair.label} was sold, but the book has it on the shelf, not packed."
        stall.state.ink.keep(
            SortOut(act=sale.act, line=line, kind=SortOut.Kind.NOT_PACKED, story=story)
        )


def _settle(state: State, act: object, at: dt.datetime, words: str) -> None:
    settled = state.ink.act(ActKind.SORTED, at, note=words)
    for item in state.ink.kept(SortOut):
        if item.act is act:
            item.settled_by = settled
