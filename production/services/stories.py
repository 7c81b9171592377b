"""The whole story of a sock or a pair, and finding things by number or word."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import reduce
from operator import and_

from django.db.models import Max, Q

from patterns.models import Pattern
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
    RunYarn,
    Sock,
    SockMark,
    SockMove,
    String,
)

MOST_FOUND = 20
MOST_WORDS = 6
LONGEST_QUESTION = 120
LARGEST_NUMBER = 2**31 - 1
_PAIR = re.compile(r"(?:\S*/)?p\s?(\d{1,10})/?", re.IGNORECASE)
_SOCK = re.compile(r"(?:\S*/strings/)?(\d{1,10})[-/](\d{1,5})/?", re.IGNORECASE)
_STRING = re.compile(r"(?:string\s+|\S*/strings/)(\d{1,10})/?", re.IGNORECASE)
_NUMBER = re.compile(r"\d{1,10}")


@dataclass(frozen=True, slots=True)
class Found:
    """One thing that was looked for."""

    label: str
    url: str
    kind: str


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
        key = use.lot, use.place or use.get_role_display()
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
    """Return the newest act that still stands; older ones are built upon."""
    standing = [act for act in acts if act.kind != ActKind.UNDO and not act.is_undone]
    return standing[-1] if standing else None


def _also_moved(act: Act | None, socks: int, pairs: int) -> int:
    if act is None:
        return 0
    moved_pairs = act.pair_moves.count()
    # A pair that is mated or split moves with its two socks; count the pair alone.
    moved = moved_pairs or act.sock_moves.count()
    return max(0, moved - ((pairs or 1) if moved_pairs else socks))


def _pair_lines(moves: Iterable[PairMove]) -> list[str]:
    return [f"pair {PAIR_PLACE_NAMES[PairPlace(move.end)]}" for move in moves]


def _sock_lines(moves: Sequence[SockMove], names: dict[int, str]) -> list[str]:
    groups: dict[str, list[str]] = {}
    for move in sorted(moves, key=lambda one: names[one.sock_id]):
        groups.setdefault(_went(move), []).append(names[move.sock_id])
    return [f"{', '.join(numbers)}: {went}" for went, numbers in groups.items()]


def _went(move: SockMove) -> str:
    if move.end == SockPlace.IN_PAIR and move.pair:
        return f"into {move.pair.label}"
    end = SOCK_PLACE_NAMES[SockPlace(move.end)]
    return f"out of {move.pair.label}, {end}" if move.pair else end


def _mark_lines(marks: Sequence[SockMark], names: dict[int, str]) -> list[str]:
    lines = []
    for mark in marks:
        if mark.field != SockMark.Field.FOOT:
            what = mark.became or f"no longer “{mark.was}”"
            lines.append(f"{names[mark.sock_id]}: {mark.get_field_display()} {what}")
    return lines


def _feet(marks: Sequence[SockMark], act: Act, names: dict[int, str]) -> Iterable[SockMark]:
    for mark in marks:
        if mark.act_id == act.pk and mark.field == SockMark.Field.FOOT:
            mark.name = names[mark.sock_id]  # type: ignore[attr-defined]
            mark.foot_mm = int(mark.became) if mark.became else None  # type: ignore[attr-defined]
            yield mark


def find_things(text: str) -> list[Found]:
    """Return what a text names: a sock, pair, string or lot by number, or things by words.

    Numbers are matched whole; words match anywhere in the names of designs, sizes, yarns
    and lots, and all of them must. At most 20 are returned, the exact ones first.
    """
    question = "".join(c if c.isprintable() else " " for c in text[:LONGEST_QUESTION]).strip()
    if not question:
        return []
    found = [*_by_number(question), *_by_words(question.split()[:MOST_WORDS])]
    return list({one.url: one for one in reversed(found)}.values())[::-1][:MOST_FOUND]


def _by_number(question: str) -> list[Found]:
    found: list[Found] = []
    if match := _SOCK.fullmatch(question):
        found += _socks_numbered(*(int(part) for part in match.groups()))
    if match := _PAIR.fullmatch(question) or _NUMBER.fullmatch(question):
        found += _pairs_numbered(int(match.group(match.lastindex or 0)))
    if match := _STRING.fullmatch(question) or _NUMBER.fullmatch(question):
        found += _strings_numbered(int(match.group(match.lastindex or 0)))
    return found


def _socks_numbered(number: int, position: int) -> list[Found]:
    if number > LARGEST_NUMBER:
        return []
    socks = Sock.objects.filter(string__number=number, position=position).with_kind()
    return [
        Found(f"Sock {sock.number}: {sock.version.pattern}", sock.get_absolute_url(), "sock")
        for sock in socks
    ]


def _pairs_numbered(number: int) -> list[Found]:
    if number > LARGEST_NUMBER:
        return []
    pairs = Pair.objects.filter(number=number).with_kind()
    return [
        Found(f"{pair.label}: {pair.version.pattern}", pair.get_absolute_url(), "pair")
        for pair in pairs
    ]


def _strings_numbered(number: int) -> list[Found]:
    if number > LARGEST_NUMBER:
        return []
    return [
        Found(str(string), string.get_absolute_url(), "string")
        for string in String.objects.filter(number=number)
    ]


def _by_words(words: Sequence[str]) -> list[Found]:
    lots = DyeLot.objects.with_yarn().filter(
        _all_words(words, "code", "yarn__name", "yarn__colour")
    )
    patterns = Pattern.objects.select_related("design").filter(
        _all_words(words, "design__name", "size_name")
    )
    return [
        *(
            Found(str(pattern), pattern.get_absolute_url(), "pattern")
            for pattern in patterns.by_size()[:MOST_FOUND]
        ),
        *(
            Found(str(lot), lot.get_absolute_url(), "lot")
            for lot in lots.order_by("-pk")[:MOST_FOUND]
        ),
    ]


def _all_words(words: Sequence[str], *fields: str) -> Q:
    def anywhere(word: str) -> Q:
        return reduce(lambda a, b: a | b, (Q(**{f"{field}__icontains": word}) for field in fields))

    return reduce(and_, (anywhere(word) for word in words))
