"""What moved of late: read once, for every forecast that asks."""

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, F, Min, Subquery, Sum

from production.core.places import PairPlace
from production.models import Act, ActKind, PairMove, SockMove
from production.services.kept import Standing

DAYS_HELD = 28  # what a reading weighs: nobody asks for longer


@dataclass(frozen=True, slots=True)
class Moved:
    """Socks that an act carried from one place to another; `stands` says it was not undone."""

    at: dt.datetime
    stands: bool
    start: str
    end: str
    count: int


@dataclass(frozen=True, slots=True)
class LatelyMoved:
    """What moved from a moment on.

    Attributes:
        socks: Moves of socks, those of undone acts and of undos too.
        tagged: Pairs that came to be tagged, act by act, as (when, pairs) [pairs].
        knitted: Time at the machine as planned, act by act, as (when, minutes) [min].
        first_string: When the first string of all was logged, None before it.
    """

    socks: tuple[Moved, ...]
    tagged: tuple[tuple[dt.datetime, int], ...]
    knitted: tuple[tuple[dt.datetime, float], ...]
    first_string: dt.datetime | None = None


def lately_moved(since: dt.datetime, standing: Standing | None = None) -> LatelyMoved:
    """Return what moved from a moment on, and maybe what moved earlier that day.

    Args:
        since: The moment.
        standing: How far the history has come, where it was asked already.
    """
    if standing is None:
        return _read(since)
    # A moment is asked but once; a day stands until midnight.
    day = since.replace(hour=0, minute=0, second=0, microsecond=0)
    return standing.kept(("lately moved", day), lambda: _read(day), weight=DAYS_HELD)


def _read(since: dt.datetime) -> LatelyMoved:
    """Read what moved from a moment on.

    The acts are read first: moves are then found by the keys of those acts and added up act
    by act, with no look beside each move.
    """
    strings = Act.objects.filter(kind=ActKind.STRING).order_by("at").values("at")
    asked = Act.objects.filter(at__gte=since).annotate(first=Subquery(strings[:1]))
    rows = list(asked.values_list("pk", "at", "kind", "undone_by", "first"))
    acts = {pk: (at, undone is None and kind != ActKind.UNDO) for pk, at, kind, undone, _ in rows}
    first = min(acts, default=None)
    if first is None:
        return LatelyMoved((), (), (), _first_string())
    moves = SockMove.objects.filter(act__gte=first).order_by()
    socks = moves.values_list("act", "start", "end").annotate(n=Count("pk"))
    pairs = PairMove.objects.filter(act__gte=first, end=PairPlace.TO_TAG).order_by()
    planned = Sum(F("sock__version__machine_minutes") / 2.0)
    return LatelyMoved(
        socks=tuple(
            Moved(*acts[act], start, end, n) for act, start, end, n in socks if act in acts
        ),
        tagged=_standing(acts, pairs.values_list("act").annotate(n=Count("pk"))),
        knitted=_standing(acts, moves.filter(start="").values_list("act").annotate(took=planned)),
        first_string=rows[0][-1],
    )


def _first_string() -> dt.datetime | None:
    strings = Act.objects.filter(kind=ActKind.STRING)
    first: dt.datetime | None = strings.aggregate(at=Min("at"))["at"]
    return first


def _standing(
    acts: Mapping[int, tuple[dt.datetime, bool]], rows: Iterable[tuple[int, Any]]
) -> tuple[tuple[dt.datetime, Any], ...]:
    """Return the figures of the acts that stand, each with its moment."""
    found = ((*acts[act], figure) for act, figure in rows if act in acts)
    return tuple((at, figure) for at, stands, figure in found if stands)
