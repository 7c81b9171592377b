"""The whole story of a sock, a pair or a string: every act that touched it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Max, Q

from patterns.core.sections import section_title
from patterns.core.words import say, say_list
from production.core.places import (
    PAIR_PLACE_NAMES,
    SOCK_PLACE_NAMES,
    PairPlace,
    SockPlace,
)
from production.models import (
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
)
from production.services.acts import MEASURES

NAMED_UP_TO = 4  # more socks than this are named by the first and the last


@dataclass(frozen=True, slots=True)
class Entry:
    """One act in a story: what it did to the thing the story is about."""

    act: Act
    lines: tuple[str, ...]
    feet: tuple[SockMark, ...]


@dataclass(frozen=True, slots=True)
class Story:
    """Acts in their order. `undoable` is the newest one, where it can be taken back.

    `also_moved` counts how many other socks and pairs that act moved: its undo takes
    them back too.
    """

    entries: tuple[Entry, ...]
    undoable: Act | None = None
    also_moved: int = 0


@dataclass(frozen=True, slots=True)
class YarnPart:
    """A yarn in a sock or a pair: which lot, as what, and the planned grams [g]."""

    lot: DyeLot
    role: str
    grams: float


def story_of_sock(sock: Sock) -> Story:
    """Return everything that was done to one sock."""
    return _story([sock], [])


def story_of_pair(pair: Pair) -> Story:
    """Return what was done to a pair and, before and in it, to its two socks.

    The story of a pair that was split ends with the split: its socks went on alone.
    """
    last = None
    if pair.place == PairPlace.SPLIT:
        last = PairMove.objects.filter(pair=pair).aggregate(last=Max("act_id"))["last"]
    return _story(socks_of(pair), [pair], last_act=last)


def story_of_string(string: String) -> Story:
    """Return what was done to the socks of a string, act by act."""
    return _story(list(string.socks.select_related("string").order_by("position")), [])


def socks_of(pair: Pair) -> list[Sock]:
    """Return the socks of a pair, also of one that was split since."""
    socks = Sock.objects.filter(moves__pair=pair).distinct().with_kind()
    return sorted(socks, key=lambda sock: (sock.side or 0, sock.string.number, sock.position))


def yarns_of(socks: Sequence[Sock]) -> list[YarnPart]:
    """Return the yarns in these socks with their planned grams together."""
    copies: dict[int, int] = {}
    for sock in socks:
        copies[sock.run_id] = copies.get(sock.run_id, 0) + 1
    grams: dict[tuple[DyeLot, str], float] = {}
    for use in RunYarn.objects.filter(run__in=copies).select_related("lot__yarn").order_by("pk"):
        key = use.lot, use.place_name
        grams[key] = grams.get(key, 0.0) + use.grams * copies[use.run_id]
    return [YarnPart(lot, role, round(g, 1)) for (lot, role), g in grams.items()]


def _story(socks: Sequence[Sock], pairs: Sequence[Pair], *, last_act: int | None = None) -> Story:
    until = {"act_id__lte": last_act} if last_act else {}
    sock_moves = list(SockMove.objects.filter(sock__in=socks, **until).select_related("pair"))
    pair_moves = list(PairMove.objects.filter(pair__in=pairs, **until))
    marks = list(SockMark.objects.filter(sock__in=socks, **until))
    touched = {row.act_id for row in (*sock_moves, *pair_moves, *marks)}
    acts = Act.objects.filter(pk__in=touched).select_related("by", "undone_by").order_by("pk")
    names = {sock.pk: sock.number for sock in socks}
    entries = [
        Entry(
            act=act,
            lines=(
                *_pair_lines(move for move in pair_moves if move.act_id == act.pk),
                *_sock_lines([move for move in sock_moves if move.act_id == act.pk], names),
                *_mark_lines([mark for mark in marks if mark.act_id == act.pk], names),
            ),
            feet=tuple(_feet(marks, act, names)),
        )
        for act in acts
    ]
    undoable = _undoable([entry.act for entry in entries]) if last_act is None else None
    return Story(tuple(entries), undoable, _also_moved(undoable, len(socks), len(pairs)))


def _undoable(acts: Sequence[Act]) -> Act | None:
    """Return the newest act that still stands, if nothing it moved has moved on since."""
    standing = [act for act in acts if act.kind != ActKind.UNDO and not act.is_undone]
    if not standing or _is_built_upon(standing[-1]):
        return None
    return standing[-1]


def _is_built_upon(act: Act) -> bool:
    later = Q(act__gt=act.pk, act__undone_by__isnull=True) & ~Q(act__kind=ActKind.UNDO)
    socks = SockMove.objects.filter(later, sock__moves__act=act)
    pairs = PairMove.objects.filter(later, pair__moves__act=act)
    return socks.exists() or pairs.exists()


def _also_moved(act: Act | None, socks: int, pairs: int) -> int:
    if act is None:
        return 0
    moved_pairs = act.pair_moves.count()
    # A pair that is mated or split moves with its two socks; count the pair alone.
    moved = moved_pairs or act.sock_moves.count()
    return max(0, moved - ((pairs or 1) if moved_pairs else socks))


def _pair_lines(moves: Iterable[PairMove]) -> list[str]:
    return [say("pair {place}", place=PAIR_PLACE_NAMES[PairPlace(move.end)]) for move in moves]


def _sock_lines(moves: Sequence[SockMove], names: dict[int, str]) -> list[str]:
    groups: dict[str, list[str]] = {}
    for move in sorted(moves, key=lambda one: names[one.sock_id]):
        groups.setdefault(_went(move), []).append(names[move.sock_id])
    return [
        say("{socks}: {went}", socks=_named(numbers), went=went) for went, numbers in groups.items()
    ]


def _named(numbers: Sequence[str]) -> str:
    if len(numbers) <= NAMED_UP_TO:
        return say_list(list(numbers))
    return say(
        "{first} to {last}, {count} socks",
        first=numbers[0],
        last=numbers[-1],
        count=len(numbers),
    )


def _went(move: SockMove) -> str:
    if move.end == SockPlace.IN_PAIR and move.pair:
        return say("into {label}", label=move.pair.label)
    end = SOCK_PLACE_NAMES[SockPlace(move.end)]
    if move.pair:
        return say("out of {label}, {place}", label=move.pair.label, place=end)
    return end


def _mark_lines(marks: Sequence[SockMark], names: dict[int, str]) -> list[str]:
    return [_mark_line(mark, names[mark.sock_id]) for mark in marks if mark.field not in MEASURES]


def _mark_line(mark: SockMark, sock: str) -> str:
    field = mark.get_field_display()
    if not mark.became:
        return say("{sock}: {field} no longer “{was}”", sock=sock, field=field, was=mark.was)
    value = mark.became
    if mark.field == SockMark.Field.QUALITY:
        value = str(Quality(value).label)
    return say("{sock}: {field} {value}", sock=sock, field=field, value=value)


def _feet(marks: Sequence[SockMark], act: Act, names: dict[int, str]) -> Iterable[SockMark]:
    for mark in marks:
        if mark.act_id == act.pk and mark.field in MEASURES:
            mark.name = names[mark.sock_id]  # type: ignore[attr-defined]
            mark.what = section_title(mark.field.removesuffix("_mm"))  # type: ignore[attr-defined]
            mark.length_mm = int(mark.became) if mark.became else None  # type: ignore[attr-defined]
            yield mark
