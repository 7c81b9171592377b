"""What goes wrong now and then at the bench and on the shelf, and how it is set right."""

import datetime as dt
from collections import Counter
from decimal import Decimal

from production.core.places import IN_WORK, PairPlace, SockPlace
from production.models import ActKind, Quality, Sock, YarnUse
from sales.models import CountLine, CountSeen
from socktrade.demo.scene import FAULTS
from socktrade.history import strings, yarn
from socktrade.history.state import State

SEEN = 20


def mishap(name: str, state: State, at: dt.datetime) -> bool:
    """Let one happen; return whether there was anything for it to happen to."""
    return _ALL[name](state, at)


def _loose(state: State) -> list[Sock]:
    return [sock for place in IN_WORK for sock in state.baskets[place]]


def _back(state: State, at: dt.datetime) -> bool:
    waiting = state.baskets[SockPlace.TO_MATE]
    if not waiting:
        return False
    sock = state.dice.choice(waiting)
    act = state.ink.act(ActKind.BACK, at, note="not clean yet")
    state.ink.move_socks(act, [sock], SockPlace.TO_WASH)
    waiting.remove(sock)
    state.baskets[SockPlace.TO_WASH].append(sock)
    return True


def _note(state: State, at: dt.datetime) -> bool:
    firsts = [sock for sock in _loose(state) if sock.quality == Quality.FIRST]
    if not firsts:
        return False
    act = state.ink.act(ActKind.MARK, at)
    strings.judge(state, act, state.dice.choice(firsts), Quality.SECOND, state.dice.choice(FAULTS))
    return True


def _scrap(state: State, at: dt.datetime) -> bool:
    socks = _loose(state)
    return bool(socks) and scrap(state, state.dice.choice(socks), "run up the leg", at)


def scrap(state: State, sock: Sock, fault: str, at: dt.datetime) -> bool:
    """Put a sock that will never be sold aside for good."""
    state.baskets[SockPlace(sock.place)].remove(sock)
    act = state.ink.act(ActKind.SCRAP, at)
    strings.judge(state, act, sock, Quality.SCRAP, fault)
    state.ink.move_socks(act, [sock], SockPlace.SCRAP)
    return True


def _split(state: State, at: dt.datetime) -> bool:
    if not state.shelf:
        return False
    pair = state.shelf.pop()
    act = state.ink.act(ActKind.SPLIT, at, note="the legs differ after all")
    state.ink.move_pairs(act, [pair], PairPlace.SPLIT)
    socks = state.socks_of.pop(pair.pk)
    state.ink.move_socks(act, socks, SockPlace.TO_MATE, pair)
    state.baskets[SockPlace.TO_MATE] += socks
    return True


def _undo_step(state: State, at: dt.datetime) -> bool:
    if not state.baskets[SockPlace.TO_CUT]:
        return False
    socks = list(state.baskets[SockPlace.TO_CUT])
    [act] = strings.step(state, "cut", at)
    state.ink.undo(act, at + dt.timedelta(minutes=2))
    there = {sock.pk for sock in socks}
    rest = state.baskets[SockPlace.TO_SEAM]
    state.baskets[SockPlace.TO_SEAM] = [sock for sock in rest if sock.pk not in there]
    state.baskets[SockPlace.TO_CUT] = socks
    return True


def _undo_string(state: State, at: dt.datetime) -> bool:
    before = len(state.baskets[SockPlace.TO_CUT])
    act = strings.knit(state, at, socks=strings.RUN_SOCKS)
    reverse = state.ink.undo(act, at + dt.timedelta(minutes=3))
    for lot, grams in state.ink.booked_by(reverse):
        state.lots[str(lot.yarn)].grams += grams
    del state.baskets[SockPlace.TO_CUT][before:]
    return True


def _yarn_in_use(state: State) -> str:
    return state.dice.choice(sorted(state.lots))


def _weigh(state: State, at: dt.datetime) -> bool:
    yarn.weigh(state, _yarn_in_use(state), at)
    return True


def _swatch(state: State, at: dt.datetime) -> bool:
    grams = Decimal(state.dice.randint(6, 14))
    return yarn.take(state, _yarn_in_use(state), grams, YarnUse.SWATCH, at)


def _waste(state: State, at: dt.datetime) -> bool:
    grams = Decimal(state.dice.randint(2, 9))
    return yarn.take(state, _yarn_in_use(state), grams, YarnUse.WASTE, at)


def _shelf_count(state: State, at: dt.datetime) -> bool:
    if not state.shelf:
        return False
    act = state.ink.act(ActKind.COUNT, at)
    kinds = Counter((pair.pattern_id, pair.quality) for pair in state.shelf)
    for (pattern_id, quality), pairs in sorted(kinds.items()):
        state.ink.keep(
            CountLine(
                act=act, pattern_id=pattern_id, quality=quality, expected=pairs, counted=pairs
            )
        )
    for pair in state.shelf[:SEEN]:
        state.ink.keep(CountSeen(act=act, pair=pair))
    return True


def _lost(state: State, at: dt.datetime) -> bool:
    if not state.shelf:
        return False
    pair = state.shelf.pop(state.dice.randrange(len(state.shelf)))
    act = state.ink.act(ActKind.LOST, at, note="not on the shelf at the count")
    state.ink.move_pairs(act, [pair], PairPlace.GONE)
    state.gone.append(pair)
    return True


def _found(state: State, at: dt.datetime) -> bool:
    if not state.gone:
        return False
    pair = state.gone.pop()
    act = state.ink.act(ActKind.FOUND, at, note="behind the yarn box")
    state.ink.move_pairs(act, [pair], PairPlace.SHELF)
    state.shelf.append(pair)
    return True


_ALL = {
    "back": _back, "note": _note, "scrap": _scrap, "split": _split, "undo_step": _undo_step,
    "undo_string": _undo_string, "weigh": _weigh, "swatch": _swatch, "waste": _waste,
    "shelf_count": _shelf_count, "lost": _lost, "found": _found,
}  # fmt: skip
