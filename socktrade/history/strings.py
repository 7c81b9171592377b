"""The bench of a season: strings knitted, finished step by step, mated and tagged."""

import datetime as dt
from collections import defaultdict
from decimal import Decimal

from production.core.mating import mate
from production.core.places import STEP_BY_KEY, PairPlace, SockPlace
from production.models import (
    Act,
    ActKind,
    Load,
    Pair,
    Quality,
    RunYarn,
    Sock,
    SockMark,
    String,
    StringRun,
    TagText,
    YarnUse,
)
from production.services.strings import Run
from socktrade.demo.scene import FAULTS, Kind
from socktrade.history import yarn
from socktrade.history.house import THREAD
from socktrade.history.state import State, worse_of
from socktrade.history.tagtexts import TagTexts
from socktrade.history.washes import wash_name

RUN_SOCKS = 6
FAULT_SHARE = 0.04
STRAND_SHARE, STRAND_G = 0.15, 1.2
STRAY_MM = 1.6


def knit(
    state: State, at: dt.datetime, *, socks: int = 2 * RUN_SOCKS, goes_on: bool = False
) -> Act:
    """Log a string of the two kinds that are shortest; it waits to be cut."""
    kinds = state.shortest(2) if socks > RUN_SOCKS else state.shortest(1)
    each = max(2, socks // len(kinds) // 2 * 2)
    need = sum(state.house.versions[kind].grams for kind in kinds) * each
    runs = [_run(state, kind, each, need, at) for kind in kinds]
    minutes = sum(run.version.machine_minutes / 2 * run.count for run in runs)
    act = state.ink.act(ActKind.STRING, at, minutes=state.about(minutes))
    state.house.string_number += 1
    string = state.ink.keep(String(number=state.house.string_number, act=act))
    first = 1
    for nth, run in enumerate(runs, start=1):
        row = state.ink.keep(
            StringRun(
                string=string, first_position=first, count=run.count, version=run.version,
                goes_on=goes_on and nth == len(runs),
            )
        )  # fmt: skip
        _log(state, act, row, run)
        first += run.count
    return act


def _run(state: State, kind: Kind, count: int, need_g: float, at: dt.datetime) -> Run:
    version = state.house.versions[kind]
    lot = yarn.lot_for(state, state.dice.choice(kind.yarns), need_g, at)
    strand = None
    if state.dice.random() < STRAND_SHARE:
        strand = yarn.lot_for(state, THREAD, 2 * STRAND_G * count, at)
    return Run(
        version=version, count=count, lot=lot, strand_lot=strand,
        strand_g=STRAND_G if strand else 0.0,
    )  # fmt: skip


def _log(state: State, act: Act, row: StringRun, run: Run) -> None:
    for lot, role, place, grams in run.yarns():
        state.ink.keep(RunYarn(run=row, lot=lot, role=role, place=place, grams=grams))
        took = Decimal(str(round(grams * run.count, 1)))
        state.ink.yarn(act, lot, -took, YarnUse.KNITTED)
        state.lots[str(lot.yarn)].grams -= took
    made = [
        state.ink.keep(
            Sock(
                string=row.string, position=row.first_position + offset, run=row,
                version=run.version, lot=run.lot, place="", since=act.at,
            )
        )
        for offset in range(run.count)
    ]  # fmt: skip
    state.ink.move_socks(act, made, SockPlace.TO_CUT)
    state.baskets[SockPlace.TO_CUT] += made
    for sock in made:
        if state.dice.random() < FAULT_SHARE:
            judge(state, act, sock, Quality.SECOND, state.dice.choice(FAULTS))


def judge(state: State, act: Act, sock: Sock, quality: Quality, fault: str) -> None:
    """Note a fault on a sock, and what it makes of it."""
    state.ink.mark(act, sock, SockMark.Field.FAULT, fault)
    state.ink.mark(act, sock, SockMark.Field.QUALITY, quality)


def step(state: State, key: str, at: dt.datetime) -> list[Act]:
    """Take a whole basket through a step; a wash load by load."""
    chosen = STEP_BY_KEY[key]
    socks, state.baskets[chosen.start] = state.baskets[chosen.start], []
    groups: dict[str, list[Sock]] = defaultdict(list)
    for sock in socks:
        groups[wash_name(sock.lot.yarn) if key in ("wash", "dry") else ""].append(sock)
    acts = []
    for name, part in groups.items():
        note = name.lower() if key == "dry" else ""
        minutes = state.about(chosen.minutes * len(part))
        act = state.ink.act(ActKind(key), at, minutes=minutes, note=note)
        state.ink.move_socks(act, part, chosen.end)
        if key == "wash":
            state.house.load_number += 1
            state.ink.keep(Load(number=state.house.load_number, wash=act, name=name))
        elif key == "block":
            _measure(state, act, part)
        acts.append(act)
        at += dt.timedelta(minutes=30)
    state.baskets[chosen.end] += socks
    return acts


def _measure(state: State, act: Act, socks: list[Sock]) -> None:
    for sock in socks:
        foot = round(sock.version.sock_foot_mm + state.dice.gauss(0, STRAY_MM))
        state.ink.mark(act, sock, SockMark.Field.FOOT, foot)
        if state.dice.random() < 0.1:
            leg = round(sock.version.height_mm + state.dice.gauss(0, STRAY_MM))
            state.ink.mark(act, sock, SockMark.Field.LEG, leg)


def join(state: State, at: dt.datetime, *, share: float = 1.0) -> None:
    """Mate what fits, or the first share of it; the rest stays odd."""
    alike: dict[tuple[int, int, str], list[Sock]] = defaultdict(list)
    for sock in state.baskets[SockPlace.TO_MATE]:
        alike[sock.version_id, sock.lot_id, sock.quality].append(sock)
    couples = []
    for socks in alike.values():
        found = mate([s.foot_mm or 0 for s in socks], state.house.workshop.mate_tolerance_mm)
        couples += [(socks[left], socks[right]) for left, right in found.pairs]
    couples = couples[: -(-len(couples) * int(share * 100) // 100)]
    if not couples:
        return
    act = state.ink.act(ActKind.MATE, at, minutes=state.about(1.5 * len(couples)))
    for left, right in couples:
        _couple(state, act, left, right)
    joined = {sock.pk for couple in couples for sock in couple}
    waiting = state.baskets[SockPlace.TO_MATE]
    state.baskets[SockPlace.TO_MATE] = [sock for sock in waiting if sock.pk not in joined]


def _couple(state: State, act: Act, left: Sock, right: Sock) -> None:
    state.house.pair_number += 1
    pair = state.ink.keep(
        Pair(
            number=state.house.pair_number, version=left.version, pattern=left.version.pattern,
            lot=left.lot, quality=worse_of(left, right), place="", since=act.at,
        )
    )  # fmt: skip
    state.ink.move_socks(act, [left, right], SockPlace.IN_PAIR, pair)
    state.ink.move_pairs(act, [pair], PairPlace.TO_TAG)
    state.socks_of[pair.pk] = (left, right)
    state.to_tag.append(pair)


def tag(state: State, texts: TagTexts, at: dt.datetime) -> None:
    """Tag everything that waits."""
    pairs, state.to_tag = state.to_tag, []
    if not pairs:
        return
    act = state.ink.act(ActKind.TAG, at, minutes=state.about(2 * len(pairs)))
    state.ink.move_pairs(act, pairs, PairPlace.SHELF)
    for pair in pairs:
        pair.price_minor = texts.price_of(pair)
        text = texts.text_of(pair, state.socks_of[pair.pk])
        state.ink.keep(TagText(act=act, pair=pair, text=text))
    state.shelf += pairs
