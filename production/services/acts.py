"""The one place where acts, moves and the places they cache are written."""

import datetime as dt
import uuid
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.contrib.auth.models import User
from django.db import connection, transaction
from django.db.models import F, Max, prefetch_related_objects
from django.db.models.functions import Round

from patterns.core.words import say
from production.core.places import (
    PAIR_PLACE_NAMES,
    SOCK_PLACE_NAMES,
    PairPlace,
    SockPlace,
    pair_may_move,
    sock_may_go_back,
    sock_may_move,
)
from production.errors import CannotUndoError, MoveNotAllowedError
from production.models import (
    Act,
    ActKind,
    DyeLot,
    Load,
    Pair,
    PairMove,
    Sock,
    SockMark,
    SockMove,
    String,
    YarnMove,
    YarnUse,
)
from production.services.wound import refuse_if_wound_off

EARLIEST = dt.datetime(2000, 1, 1, tzinfo=dt.UTC)
TURN = 0x50C4  # any number, the same for every act of a book
CHUNK = 500  # keys in one statement: every SQLite in use takes 999
MEASURES = frozenset({SockMark.Field.FOOT, SockMark.Field.LEG})


@dataclass(frozen=True, slots=True)
class Who:
    """Who acts and when; `key` is the sender's own id of the act, if it has one."""

    by: User
    at: dt.datetime
    key: uuid.UUID | None = None


def recorded(key: uuid.UUID | None) -> Act | None:
    """Return the act that was already recorded under this key, if any.

    Acts take turns from here to the end of their transaction.
    """
    take_turn()
    return Act.objects.filter(key=key).first() if key else None


def take_turn() -> None:
    """Let one act at a time read what it will change. Call first in its transaction.

    SQLite does so by itself. On PostgreSQL two phones could both find the same pair on the
    table before either sale is written, or send one act twice at the same moment. Each book
    of a guild, being a schema of its own, has turns of its own.
    """
    if connection.vendor == "postgresql" and connection.in_atomic_block:
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s, hashtext(current_schema()))", [TURN])


def record(
    kind: ActKind,
    who: Who,
    *,
    note: str = "",
    minutes: float | None = None,
    undoes: Act | None = None,
) -> Act:
    """Write the act itself. Call inside a transaction, then hang its moves on it.

    Raises:
        MoveNotAllowedError: If the moment lies before 2000; no book is that old.
    """
    if who.at < EARLIEST:
        msg = say("{at:long} is too long ago. Give a date in this century.", at=who.at)
        raise MoveNotAllowedError(msg, field="at")
    return Act.objects.create(
        kind=kind, by=who.by, at=who.at, key=who.key, note=note, minutes=minutes, undoes=undoes
    )


def next_number(model: type[String | Pair | Load], *, first: int = 1) -> int:
    """Return the next free number; two who log at the same moment take turns for it."""
    take_turn()
    last: int | None = model.objects.aggregate(last=Max("number"))["last"]
    return first if last is None else last + 1


def move_socks(act: Act, socks: Sequence[Sock], end: SockPlace) -> None:
    """Carry socks from the basket they are in to `end`.

    The socks must have been read inside this transaction with `lock_socks`.

    Raises:
        MoveNotAllowedError: If one of them may not go there from where it is.
    """
    for sock in socks:
        if not sock_may_move(SockPlace(sock.place), end):
            msg = say(
                "Sock {number} is {place}; it cannot go {end} from there.",
                number=sock.number,
                place=sock.place_name,
                end=SOCK_PLACE_NAMES[end],
            )
            raise MoveNotAllowedError(msg)
    _write_sock_moves(act, [(sock, sock.place, end, None) for sock in socks])


def put_socks_back(act: Act, socks: Sequence[Sock], end: SockPlace) -> None:
    """Carry socks from the basket they are in to an earlier one.

    The socks must have been read inside this transaction with `lock_socks`.

    Raises:
        MoveNotAllowedError: If one of them is in no later basket.
    """
    for sock in socks:
        if not sock_may_go_back(SockPlace(sock.place), end):
            msg = say(
                "Sock {number} is {place}; there is no way back from there.",
                number=sock.number,
                place=sock.place_name,
            )
            raise MoveNotAllowedError(msg)
    _write_sock_moves(act, [(sock, sock.place, end, None) for sock in socks])


def join_pair(act: Act, pair: Pair, socks: Sequence[Sock]) -> None:
    """Put two socks of the mating basket into a new pair."""
    for sock in socks:
        if not sock_may_move(SockPlace(sock.place), SockPlace.IN_PAIR):
            msg = say(
                "Sock {number} is {place}; only socks to mate become a pair.",
                number=sock.number,
                place=sock.place_name,
            )
            raise MoveNotAllowedError(msg)
    SockMove.objects.bulk_create(
        SockMove(act=act, sock=sock, start=sock.place, end=SockPlace.IN_PAIR, pair=pair)
        for sock in socks
    )
    for side, sock in enumerate(socks, start=1):
        Sock.objects.filter(pk=sock.pk).update(
            place=SockPlace.IN_PAIR, pair=pair, side=side, since=act.at
        )


def leave_pair(act: Act, pair: Pair) -> None:
    """Put both socks of a pair back into the mating basket."""
    socks = list(Sock.objects.select_for_update().filter(pair=pair).order_by("side"))
    SockMove.objects.bulk_create(
        SockMove(act=act, sock=sock, start=sock.place, end=SockPlace.TO_MATE, pair=pair)
        for sock in socks
    )
    Sock.objects.filter(pair=pair).update(
        place=SockPlace.TO_MATE, pair=None, side=None, since=act.at
    )


def move_pairs(
    act: Act, pairs: Sequence[Pair], end: PairPlace, *, start: PairPlace | None = None
) -> None:
    """Carry pairs from where they are to `end`.

    The pairs must have been read inside this transaction with `lock_pairs`. An act that is
    about one place names it as `start`: somebody else may have moved a pair since its page was
    read. A sold pair only moves with a return, which names `sold`.

    Raises:
        MoveNotAllowedError: If one of them is not at `start`, or may not go to `end` from
            where it is.
    """
    for pair in pairs:
        place = PairPlace(pair.place)
        elsewhere = place == PairPlace.SOLD if start is None else place != start
        if elsewhere or not pair_may_move(place, end):
            msg = say(
                "{label} is {place}; it cannot go {end}.",
                label=pair.label,
                place=pair.place_name,
                end=PAIR_PLACE_NAMES[end],
            )
            raise MoveNotAllowedError(msg)
    _write_pair_moves(act, [(pair, pair.place, end) for pair in pairs])


def mark_socks(act: Act, marks: Iterable[tuple[Sock, SockMark.Field, str]]) -> None:
    """Note a figure on socks: quality, fault, measured foot or leg."""
    written = []
    for sock, field, value in marks:
        was = _figure(sock, field)
        if was != value:
            written.append(SockMark(act=act, sock=sock, field=field, was=was, became=value))
    _write_marks(written)


def move_yarn(
    act: Act,
    lot: DyeLot,
    grams: Decimal,
    use: YarnUse,
    *,
    gross_g: Decimal | None = None,
    tare_g: Decimal | None = None,
) -> YarnMove:
    """Book grams of a lot in (+) or out (-), and add them to what the lot has on hand."""
    move = YarnMove.objects.create(
        act=act, lot=lot, grams=grams, use=use, gross_g=gross_g, tare_g=tare_g
    )
    # Rounded, because SQLite adds decimals up as floats.
    DyeLot.objects.filter(pk=lot.pk).update(grams=Round(F("grams") + grams, precision=1))
    return move


def lock_socks(pks: Iterable[int]) -> list[Sock]:
    """Read socks for moving, in the order of their numbers."""
    found: list[Sock] = []
    for part in _chunks(sorted(set(pks))):
        found += Sock.objects.select_for_update(of=("self",)).filter(pk__in=part)
    prefetch_related_objects(found, "string")
    return sorted(found, key=lambda sock: (sock.string.number, sock.position))


def lock_pairs(pks: Iterable[int]) -> list[Pair]:
    """Read pairs for moving, in the order of their numbers."""
    found: list[Pair] = []
    for part in _chunks(sorted(set(pks))):
        found += Pair.objects.select_for_update(of=("self",)).filter(pk__in=part)
    return sorted(found, key=lambda pair: pair.number)


@transaction.atomic
def undo_act(*, act_id: int, by: User, at: dt.datetime) -> Act:
    """Take an act back by a reverse act.

    Raises:
        CannotUndoError: If it is undone already, is an undo itself, or something that
            it moved has moved on; the message names the first such thing.
    """
    take_turn()
    act = Act.objects.select_for_update(of=("self",)).get(pk=act_id)
    if act.kind == ActKind.UNDO:
        msg = say("An undo is not undone; do the act again instead.")
        raise CannotUndoError(msg)
    if act.is_undone:
        msg = say("That was already undone.")
        raise CannotUndoError(msg)

    refuse_if_wound_off(act)
    note = str(say("{act} taken back", act=act.get_kind_display()))
    reverse = record(ActKind.UNDO, Who(by=by, at=at), note=note, undoes=act)
    _reverse_marks(reverse, act)
    _reverse_pair_moves(reverse, act)
    _reverse_sock_moves(reverse, act)
    for move in act.yarn_moves.select_related("lot"):
        move_yarn(reverse, move.lot, -move.grams, YarnUse(move.use))
    return reverse


def _reverse_sock_moves(reverse: Act, act: Act) -> None:
    # In the order they were written: a pair's first sock goes back to being its first.
    moves = list(act.sock_moves.select_related("pair").order_by("pk"))
    socks = {sock.pk: sock for sock in lock_socks(move.sock_id for move in moves)}
    _refuse_if_moved_on(SockMove, "sock_id", act, {pk: s.number for pk, s in socks.items()})
    back = []
    for move in moves:
        sock = socks[move.sock_id]
        start = move.start or SockPlace.UNMADE
        back.append((sock, sock.place, SockPlace(start), move.pair))
    _write_sock_moves(reverse, back)


def _reverse_pair_moves(reverse: Act, act: Act) -> None:
    moves = list(act.pair_moves.all())
    pairs = {pair.pk: pair for pair in lock_pairs(move.pair_id for move in moves)}
    _refuse_if_moved_on(PairMove, "pair_id", act, {pk: p.label for pk, p in pairs.items()})
    back = []
    for move in moves:
        pair = pairs[move.pair_id]
        back.append((pair, pair.place, PairPlace(move.start or PairPlace.SPLIT)))
    _write_pair_moves(reverse, back)


def _reverse_marks(reverse: Act, act: Act) -> None:
    marks = list(act.sock_marks.select_related("sock__string"))
    for mark in marks:
        if _figure(mark.sock, SockMark.Field(mark.field)) != mark.became:
            msg = say(
                "Sock {number} was noted again since. Undo that note first.",
                number=mark.sock.number,
            )
            raise CannotUndoError(msg)
    _write_marks(
        [
            SockMark(act=reverse, sock=m.sock, field=m.field, was=m.became, became=m.was)
            for m in marks
        ]
    )


def _refuse_if_moved_on(
    model: type[SockMove] | type[PairMove], key: str, act: Act, names: dict[int, str]
) -> None:
    for part in _chunks(sorted(names)):
        later = (
            model.objects.filter(
                act_id__gt=act.pk, act__undone_by__isnull=True, **{f"{key}__in": part}
            )
            .exclude(act__kind=ActKind.UNDO)  # an act and its undo cancel out
            .order_by("pk")
            .values_list(key, "act__kind")
            .first()
        )
        if later:
            kind = ActKind(later[1]).label
            msg = say(
                "{name} has moved on since ({kind}). Undo that act first.",
                name=names[later[0]],
                kind=kind,
            )
            raise CannotUndoError(msg)


def _write_sock_moves(act: Act, moves: Sequence[tuple[Sock, str, SockPlace, Pair | None]]) -> None:
    SockMove.objects.bulk_create(
        (
            SockMove(act=act, sock=sock, start=start, end=end, pair=pair)
            for sock, start, end, pair in moves
        ),
        batch_size=CHUNK,
    )
    # The cached columns change in one statement for each place and pair they end in.
    groups: dict[tuple[SockPlace, Pair | None], list[int]] = defaultdict(list)
    for sock, _, end, pair in moves:
        groups[end, pair if end == SockPlace.IN_PAIR else None].append(sock.pk)
    for (end, pair), pks in groups.items():
        for side, part in _sides(pks, pair):
            Sock.objects.filter(pk__in=part).update(place=end, pair=pair, side=side, since=act.at)


def _sides(pks: list[int], pair: Pair | None) -> Iterable[tuple[int | None, list[int]]]:
    if pair is None:
        return ((None, part) for part in _chunks(pks))
    return ((side, [pk]) for side, pk in enumerate(pks, start=1))


def _write_pair_moves(act: Act, moves: Sequence[tuple[Pair, str, PairPlace]]) -> None:
    PairMove.objects.bulk_create(
        (PairMove(act=act, pair=pair, start=start, end=end) for pair, start, end in moves),
        batch_size=CHUNK,
    )
    groups: dict[PairPlace, list[int]] = defaultdict(list)
    for pair, _, end in moves:
        groups[end].append(pair.pk)
    for end, pks in groups.items():
        for part in _chunks(pks):
            Pair.objects.filter(pk__in=part).update(place=end, since=act.at)


def _write_marks(marks: Sequence[SockMark]) -> None:
    SockMark.objects.bulk_create(marks, batch_size=CHUNK)
    alike: dict[tuple[str, str], list[int]] = defaultdict(list)
    for mark in marks:
        alike[mark.field, mark.became].append(mark.sock_id)
    for (field, became), pks in alike.items():
        value = (int(became) if became else None) if field in MEASURES else became
        for part in _chunks(pks):
            Sock.objects.filter(pk__in=part).update(**{field: value})


def _figure(sock: Sock, field: SockMark.Field) -> str:
    value = getattr(sock, field)
    return "" if value is None else str(value)


def _chunks(pks: Sequence[int]) -> Iterable[list[int]]:
    return (list(pks[i : i + CHUNK]) for i in range(0, len(pks), CHUNK))
