"""What the book is asked about strings: the newest, the last used, whether yarn reaches."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cache

from django.db.models import F, OuterRef, Prefetch, QuerySet, Subquery

from production.core.places import SOCK_PLACE_NAMES, SockPlace
from production.models import DyeLot, RunYarn, Sock, String, StringRun, YarnRole
from production.services.strings import Run
from production.services.yarn_queries import KEPT, MARGIN
from socktrade.questions import Question

PAGE_LENGTH = 20


@dataclass(frozen=True, slots=True)
class StringRow:
    """A string with its socks and how many of them are where."""

    string: String
    socks: list[Sock]
    places: list[tuple[str, int]]

    @property
    def is_unmade(self) -> bool:
        """Whether its logging was undone."""
        return all(sock.place == SockPlace.UNMADE for sock in self.socks)


@dataclass(frozen=True, slots=True)
class Reach:
    """What a string would take of one lot beside what the book has [g]."""

    lot: DyeLot
    takes_g: float
    on_hand_g: Decimal

    @property
    def left_g(self) -> float:
        """What the book would have after it [g]."""
        return float(self.on_hand_g) - self.takes_g

    @property
    def short_g(self) -> float:
        """How far below nothing the book would go [g]."""
        return -self.left_g

    @property
    def verdict(self) -> str:
        """`short`, `tight` (within the usual margin) or `enough`."""
        if self.left_g < 0:
            return "short"
        return "tight" if self.left_g < self.takes_g * MARGIN else "enough"


def newest_strings(*, before: int | None = None) -> tuple[list[StringRow], int | None]:
    """Return one page of strings, newest first, and the number to ask the next page before."""
    strings = _to_leaf_through().all()
    if before is not None:
        strings = strings.filter(number__lt=before)
    found = list(strings[: PAGE_LENGTH + 1])
    rows = [string_row(string) for string in found[:PAGE_LENGTH]]
    return rows, (rows[-1].string.number if len(found) > PAGE_LENGTH else None)


@cache
def _to_leaf_through() -> QuerySet[String]:
    """Return the question for strings with what a leaf of the list shows, made once."""
    socks = Sock.objects.only("string", "run", "position", "place", "quality")
    names = ("version__number", "version__pattern__size_name", "version__pattern__design__name")
    runs = StringRun.objects.select_related("version__pattern__design")
    runs = runs.only(
        "string", "count", "version", "version__pattern", "version__pattern__design", *names
    )
    return (
        String.objects.order_by("-number")
        .select_related("act")
        .prefetch_related(
            Prefetch("socks", socks.order_by("position")),
            Prefetch("runs", runs.order_by("first_position")),
        )
    )


def whole_strings() -> QuerySet[String]:
    """Return strings with everything that their own page shows."""
    return _with_parts(String.objects.all())


def string_row(string: String) -> StringRow:
    """Count the places of a string that was read with its socks."""
    socks = list(string.socks.all())
    runs = {run.pk: run for run in string.runs.all()}
    for sock in socks:
        sock.run = runs[sock.run_id]
    counts = Counter(SockPlace(sock.place) for sock in socks)
    places = [(SOCK_PLACE_NAMES[place], counts[place]) for place in SockPlace if counts[place]]
    return StringRow(string=string, socks=socks, places=places)


def last_run() -> StringRun | None:
    """Return the first run of the newest string that stands, to start the next one from."""
    return _last_run().first()


@cache
def _last_run() -> Question[StringRun]:
    """Return the question for that run with the lot of its legs as `base_lot_id`, made once."""
    # The newest string first, and then its runs: together they are sorted over every season.
    newest = String.objects.filter(act__undone_by__isnull=True, runs__isnull=False)
    runs = StringRun.objects.filter(string=Subquery(newest.order_by("-number").values("pk")[:1]))
    return Question(with_base_lot(runs).order_by("first_position")[:1])


def with_base_lot(runs: QuerySet[StringRun]) -> QuerySet[StringRun]:
    """Annotate `base_lot_id`, the lot that the legs and feet of a run are of."""
    yarns = RunYarn.objects.filter(run=OuterRef("pk"), role=YarnRole.BASE)
    return runs.annotate(base_lot_id=Subquery(yarns.order_by("pk").values("lot")[:1]))


def lots_to_knit(*, keep: Sequence[int] = ()) -> list[DyeLot]:
    """Return lots with yarn on them, never weighed in, or in `keep`; newest first."""
    lots = {lot.pk: lot for lot in _lots_to_knit()}
    if used_up := set(keep) - set(lots):
        lots |= DyeLot.objects.with_yarn().in_bulk(used_up)
    return [lots[pk] for pk in sorted(lots, reverse=True)]


@cache
def _lots_to_knit() -> Question[DyeLot]:
    """Return the question for the lots with yarn on them, made once."""
    named = ("code", "grams", "yarn", "yarn__name", "yarn__colour")
    return Question(DyeLot.objects.with_yarn().filter(KEPT).only(*named))


def reach_of(runs: Sequence[Run]) -> list[Reach]:
    """Return what these runs would take of each lot beside what is on hand."""
    takes: dict[int, float] = defaultdict(float)
    for run in runs:
        for lot, _, _, grams in run.yarns():
            takes[lot.pk] += grams * run.count
    lots = DyeLot.objects.with_yarn().filter(pk__in=takes)
    return [Reach(lot=lot, takes_g=takes[lot.pk], on_hand_g=lot.grams) for lot in lots]


def _with_parts(strings: QuerySet[String]) -> QuerySet[String]:
    socks = Sock.objects.select_related("pair").order_by("position")
    yarns = RunYarn.objects.select_related("lot__yarn").order_by("pk")
    runs = (
        StringRun.objects.select_related("version__pattern__design")
        .annotate(last_position=F("first_position") + F("count") - 1)
        .order_by("first_position")
        .prefetch_related(Prefetch("yarns", yarns))
    )
    return strings.select_related("act__by", "act__undone_by").prefetch_related(
        Prefetch("socks", socks), Prefetch("runs", runs)
    )
