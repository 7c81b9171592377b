"""What waits in the baskets: how many, how old, how many minutes, and whose socks."""

import datetime as dt
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from django.db.models import Count, DateTimeField, Max, Min, Value
from django.db.models.functions import Coalesce

from patterns.core.words import say, say_list
from production.core.places import (
    MATE_BASKET,
    MATE_VERB,
    STEPS,
    TAG_BASKET,
    TAG_VERB,
    PairPlace,
    SockPlace,
    Step,
)
from production.models import Act, Load, Pair, Sock, SockMove, String
from production.services.kept import Standing
from production.services.loads import LoadKind, dark_lots, load_of
from production.services.paces import Pace, hours_and_minutes, learned_paces
from production.services.steps import steps_off
from production.services.washing import last_loads
from socktrade.models import Workshop
from socktrade.questions import Question

PAGE_SOCKS = 1200  # three fields for each stay within what one form may send
PICTURE_STRINGS = 12
PAIRS_KEPT = (PairPlace.TO_TAG, PairPlace.SHELF, PairPlace.STALL)
STARTED = Coalesce("run__resumed_by__at", "string__act__at")


@dataclass(frozen=True, slots=True)
class BasketCard:
    """One basket seen from the door.

    `piece` is what it holds; `begun` is when the oldest work in it came off the machine.
    """

    key: str
    title: str
    verb: str
    piece: str
    count: int
    oldest: dt.datetime | None
    pace: Pace
    begun: dt.datetime | None = None

    @property
    def minutes(self) -> int:
        """Work waiting here [min]."""
        return round(self.count * self.pace.minutes)

    @property
    def work(self) -> str:
        """Work waiting here, in hours and minutes."""
        return hours_and_minutes(self.minutes)


@dataclass(frozen=True, slots=True)
class StringGroup:
    """Socks of one string that wait in one basket (and may share a load)."""

    string: String
    load: LoadKind | None
    socks: tuple[Sock, ...]

    @property
    def kinds(self) -> list[str]:
        """Pattern and lot of its socks, each once."""
        return list(dict.fromkeys(kind_of(sock) for sock in self.socks))

    @property
    def since(self) -> dt.datetime:
        """When the first of them came into the basket."""
        return min(sock.since for sock in self.socks)

    @property
    def ids(self) -> str:
        """Their keys, as one tick of a form carries them."""
        return ",".join(str(sock.pk) for sock in self.socks)


@dataclass(frozen=True, slots=True)
class Basket:
    """One basket, or the part of a very full one that fits a page.

    `total` counts the whole basket; `next_after` is the string after which the next part
    begins, if there is more.
    """

    step: Step
    total: int
    groups: tuple[StringGroup, ...]
    next_after: int | None = None
    pace: Pace = field(default_factory=lambda: Pace(0, 0))

    @property
    def socks(self) -> list[Sock]:
        """The socks on this page."""
        return [sock for group in self.groups for sock in group.socks]

    @property
    def ids(self) -> str:
        """Keys of every sock on this page, as one tick carries them."""
        return ",".join(str(sock.pk) for sock in self.socks)

    @property
    def oldest(self) -> dt.datetime | None:
        """When the first sock on this page came in."""
        return min((group.since for group in self.groups), default=None)

    @property
    def work(self) -> str:
        """Work waiting in the whole basket."""
        return hours_and_minutes(round(self.total * self.pace.minutes))

    def by_load(self) -> list[tuple[LoadKind | None, list[StringGroup]]]:
        """Return the groups under the load they may share."""
        loads: dict[LoadKind | None, list[StringGroup]] = {}
        for group in self.groups:
            loads.setdefault(group.load, []).append(group)
        return list(loads.items())


@dataclass(frozen=True, slots=True)
class InWork:
    """A string on its way, with all its socks."""

    string: String
    socks: tuple[Sock, ...]

    @property
    def places(self) -> str:
        """How many of its socks are where, e.g. `4 to seam, 2 in a pair`."""
        counts = Counter(sock.place_name for sock in self.socks)
        return say_list(
            [say("{count} {place}", count=count, place=place) for place, count in counts.items()]
        )


@dataclass(frozen=True, slots=True)
class Moved:
    """A sock that left the basket while the page was open."""

    sock: Sock
    act: Act


@dataclass(frozen=True, slots=True)
class Waiting:
    """What is in one place: how much, since when, and when its oldest socks were knitted."""

    count: int = 0
    oldest: dt.datetime | None = None
    begun: dt.datetime | None = None


def waiting_now() -> dict[str, Waiting]:
    """Return what is in each basket, and the pairs to tag, on the shelf and in the stall box."""
    found = {place: Waiting() for place in (*SockPlace, *PAIRS_KEPT)}
    return found | {place: Waiting(*row) for place, *row in _waiting()}


def basket_cards(
    workshop: Workshop | None = None,
    *,
    waiting: Mapping[str, Waiting] | None = None,
    standing: Standing | None = None,
) -> list[BasketCard]:
    """Return every basket in the order of work: the steps, to mate, to tag.

    A step that is not done here shows only while socks wait in its basket all the same.

    Args:
        workshop: Its row, where it was read already.
        waiting: What is where, if that was asked already.
        standing: How far the history has come, where it was asked already.
    """
    waiting = waiting or waiting_now()
    paces = learned_paces(standing)
    cards, off = [], steps_off(workshop)
    for key, title, verb, place in _sock_baskets():
        row = waiting[place]
        if key in off and not row.count:
            continue
        cards.append(
            BasketCard(key, title, verb, "sock", row.count, row.oldest, paces[key], row.begun)
        )
    pairs = waiting[PairPlace.TO_TAG]
    tag = BasketCard("tag", TAG_BASKET, TAG_VERB, "pair", pairs.count, pairs.oldest, paces["tag"])
    return [*cards, tag]


@cache
def _under_way(limit: int) -> Question[Sock]:
    """Return the question for all socks of the newest strings in work, made once."""
    waiting = String.objects.filter(pk__in=Sock.objects.in_work().order_by().values("string"))
    newest = waiting.order_by("-number").values("pk")[:limit]
    socks = Sock.objects.filter(string__in=newest).select_related("string")
    shown = socks.only("position", "place", "quality", "string", "string__number")
    return Question(shown.order_by("-string__number", "position"))


@cache
def _waiting() -> Question[tuple[Any, ...]]:
    """Return the question for what is in each place, made once for all askers."""
    of = {"count": Count("pk"), "oldest": Min("since")}
    socks = Sock.objects.in_work().order_by().values("place").annotate(**of, begun=Min(STARTED))
    pairs = Pair.objects.filter(place__in=PAIRS_KEPT).order_by().values("place")
    unknown = Value(None, output_field=DateTimeField())
    columns = ("place", "count", "oldest", "begun")
    rows = pairs.annotate(**of, begun=unknown).values_list(*columns)
    return Question(socks.values_list(*columns).union(rows, all=True))


def strings_in_work(*, limit: int = PICTURE_STRINGS) -> list[InWork]:
    """Return the newest strings with socks in some basket, each with all its socks."""
    found: dict[int, list[Sock]] = {}
    for sock in _under_way(limit):
        found.setdefault(sock.string_id, []).append(sock)
    return [InWork(socks[0].string, tuple(socks)) for socks in found.values()]


def basket_of(step: Step, *, after: int = 0) -> Basket:
    """Return the socks that wait for a step, by string, from the string after `after` on."""
    waiting = Sock.objects.filter(place=step.start)
    counts = list(
        waiting.order_by("string__number")
        .values_list("string__number")
        .annotate(count=Count("pk"))
        .values_list("string__number", "count")
    )
    numbers, more = _page([row for row in counts if row[0] > after])
    socks = waiting.filter(string__number__in=numbers).with_kind()
    if step.key == "wash":
        socks = socks.prefetch_related("run__yarns__lot__yarn")
    groups = _groups(socks.order_by("string__number", "position"), _loads_of(step))
    return Basket(
        step=step,
        total=sum(count for _, count in counts),
        groups=tuple(groups),
        next_after=numbers[-1] if more else None,
        pace=learned_paces()[step.key],
    )


def moved_meanwhile(step: Step, sock_ids: Iterable[int]) -> list[Moved]:
    """Return which of the socks are not in the basket of a step, and what took them out."""
    gone = {
        sock.pk: sock
        for sock in Sock.objects.filter(pk__in=list(sock_ids)[:PAGE_SOCKS])
        .exclude(place=step.start)
        .with_kind()
    }
    last = SockMove.objects.filter(sock_id__in=gone).values("sock_id").annotate(last=Max("pk"))
    moves = SockMove.objects.filter(pk__in=[row["last"] for row in last]).select_related("act__by")
    moved = [Moved(gone[move.sock_id], move.act) for move in moves]
    return sorted(moved, key=lambda one: (one.sock.string.number, one.sock.position))


def kind_of(sock: Sock) -> str:
    """Return what a sock is: pattern and lot, in words."""
    return f"{sock.version.pattern}, {sock.lot}"


def _sock_baskets() -> Iterator[tuple[str, str, str, SockPlace]]:
    for step in STEPS:
        yield step.key, step.basket, step.verb, step.start
    yield "mate", MATE_BASKET, MATE_VERB, SockPlace.TO_MATE


def _page(counts: list[tuple[int, int]]) -> tuple[list[int], bool]:
    """Return the strings that fit one page, at least one, and whether more follow."""
    numbers: list[int] = []
    room = PAGE_SOCKS
    for number, count in counts:
        if numbers and count > room:
            return numbers, True
        numbers.append(number)
        room -= count
    return numbers, False


def _loads_of(step: Step) -> Callable[[Sock], LoadKind | None]:
    """Return what tells a sock's load: by care before the wash, by its wash on the line."""
    if step.key == "wash":
        dark = dark_lots()
        return lambda sock: load_of(sock, dark)
    if step.key == "dry":
        last = last_loads()
        washed = {
            load.pk: LoadKind(f"{load}: {load.name}", number=load.number)
            for load in Load.objects.filter(pk__in=set(last.values()))
        }
        return lambda sock: washed.get(last.get(sock.pk, 0))
    return lambda _: None


def _groups(
    socks: Iterable[Sock], kind_of_load: Callable[[Sock], LoadKind | None]
) -> Iterator[StringGroup]:
    found: dict[tuple[int, LoadKind | None], list[Sock]] = {}
    for sock in socks:
        load = kind_of_load(sock)
        found.setdefault((sock.string_id, load), []).append(sock)
    for (_, load), members in found.items():
        yield StringGroup(members[0].string, load, tuple(members))
