"""When the baskets will be empty, what has waited too long, and how work flows through."""

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from django.db.models import F, Min, QuerySet, Subquery, Value
from django.db.models.functions import Coalesce

from patterns.core.words import say
from production.core.flow import ENOUGH, ClearTime, age_flag_days, clear_time, time_in_system
from production.core.places import IN_WORK, STEPS, SockPlace
from production.models import Act, ActKind, Sock, SockMove
from production.services.basket_queries import BasketCard
from production.services.kept import Standing
from production.services.latelymoved import LatelyMoved, lately_moved
from production.services.paces import Pace
from socktrade.models import Workshop
from socktrade.questions import Question

WINDOW = dt.timedelta(days=28)
SHORTEST_WINDOW = dt.timedelta(days=7)
NEWEST_FINISHED = 200
DAYS_A_WEEK = 7


@dataclass(frozen=True, slots=True)
class Forecast:
    """What is ahead of one basket.

    Attributes:
        inflow: Pieces that arrive in a day, as of late [pieces/day].
        clear: When it is empty if all her hours go to it.
        old: Whether something in it was begun longer ago than the age flag.
        begun: When the oldest work in it came off the machine.
    """

    inflow: float
    clear: ClearTime
    old: bool
    begun: dt.datetime | None


@dataclass(frozen=True, slots=True)
class AgeFlag:
    """The age from which work is flagged [days], and how many finished jobs say so."""

    days: float
    jobs: int

    @property
    def learned(self) -> bool:
        """Whether her own finished times say it."""
        return self.jobs >= ENOUGH


@dataclass(frozen=True, slots=True)
class Bench:
    """The forecasts of all baskets, and of the whole bench."""

    minutes_a_day: float
    machine_minutes_a_day: float
    window_days: float
    age_flag: AgeFlag
    baskets: dict[str, Forecast]
    whole: ClearTime


@dataclass(frozen=True, slots=True)
class Flow:
    """How socks went through the bench in a window of time.

    Attributes:
        waiting: Mean number under way [socks].
        arrived_a_day: Socks that came off the machine or out of a split pair [socks/day].
        days_each: Mean stay by Little's law [days], or None when nothing arrived.
        closed: Whether the window starts and ends empty, so that the law is exact.
    """

    waiting: float
    arrived_a_day: float
    days_each: float | None
    closed: bool


def bench_forecast(
    cards: Sequence[BasketCard],
    *,
    at: dt.datetime,
    workshop: Workshop,
    lately: LatelyMoved | None = None,
    standing: Standing | None = None,
) -> Bench:
    """Return when each basket and the whole bench will be empty at the hours of the workshop.

    Args:
        cards: The baskets.
        at: The moment it is.
        workshop: Her hours and her age flag.
        lately: What moved in the last four weeks, where it was read already.
        standing: How far the history has come, where it was asked already.
    """
    lately = lately or lately_moved(at - WINDOW)
    window = _window(at, lately.first_string)
    days = window / dt.timedelta(days=1)
    inflows, machine_minutes = _inflows(lately, at - window, days)
    machine = machine_minutes / days
    minutes = workshop.hours_per_week * 60 / DAYS_A_WEEK
    flag = age_flag(workshop, standing)
    baskets = {}
    for card in cards:
        inflow, start = inflows.get(card.key, 0.0), card.begun
        baskets[card.key] = Forecast(
            inflow=inflow,
            clear=clear_time(card.count, card.pace.minutes or 1.0, minutes, inflow),
            old=start is not None and at - start > dt.timedelta(days=flag.days),
            begun=start,
        )
    whole = _whole(cards, minutes=minutes - machine, inflow=inflows.get("string", 0.0))
    return Bench(minutes, machine, days, flag, baskets, whole)


def age_flag(workshop: Workshop, standing: Standing | None = None) -> AgeFlag:
    """Return from which age on work is flagged: the 85th percentile of her finished times.

    A job is what became pairs out of one string in one go.

    Args:
        workshop: Her own age flag, until enough jobs are finished.
        standing: How far the history has come, where it was asked already.
    """
    took = (
        standing.kept(("days taken",), _days_taken, weight=NEWEST_FINISHED)
        if standing
        else _days_taken()
    )
    return AgeFlag(age_flag_days(took, workshop.old_after_days), len(took))


def _days_taken() -> list[float]:
    """Read how long the newest finished jobs took [days]."""
    day = dt.timedelta(days=1)
    jobs = _newest_finished()
    return [max(0.0, (ended - started) / day) for _, _, started, ended in jobs]


@cache
def _newest_finished() -> Question[tuple[int, int, dt.datetime, dt.datetime]]:
    """Return the question for string, act, begin and end of the newest jobs, made once."""
    mated = SockMove.objects.filter(end=SockPlace.IN_PAIR, act__kind=ActKind.MATE)
    started = Coalesce("sock__run__resumed_by__at", "sock__string__act__at")
    jobs = mated.filter(act__undone_by__isnull=True).annotate(started=started)
    rows = jobs.order_by("-act_id").values_list("sock__string_id", "act_id", "started", "act__at")
    return Question(rows.distinct()[:NEWEST_FINISHED])


def flow_between(
    start: dt.datetime,
    end: dt.datetime,
    *,
    now: int | None = None,
    lately: LatelyMoved | None = None,
) -> Flow:
    """Return how socks went through the bench from `start` to `end`.

    The mean number under way is summed from the moves alone; the mean stay follows from it
    by Little's law, exactly so when the bench was empty at both ends.

    Args:
        start: Where the window begins.
        end: Where it ends.
        now: Socks in the baskets now, where they were counted already [socks].
        lately: What moved from `start` on, where it was read already.

    Raises:
        ValueError: If `end` is not after `start`.
    """
    if end <= start:
        msg = say("end is {end}; it must lie after start, {start}.", end=end, start=start)
        raise ValueError(msg)
    moved = list(_in_and_out(lately or lately_moved(start), start))
    # Counted back from what lies in the baskets now: the moves before would be the whole past.
    in_baskets = Sock.objects.in_work().count() if now is None else now
    before = in_baskets - sum(came - went for _, came, went in moved)
    span = [(at, came, went) for at, came, went in moved if at <= end]
    came, went = sum(row[1] for row in span), sum(row[2] for row in span)
    stay = before * (end - start)
    for at, pieces_in, pieces_out in span:
        stay += (pieces_in - pieces_out) * (end - at)
    day = dt.timedelta(days=1)
    days = (end - start) / day
    waiting, arrived = max(0.0, stay / day / days), came / days
    return Flow(
        waiting=waiting,
        arrived_a_day=arrived,
        days_each=time_in_system(waiting, arrived) if arrived else None,
        closed=before == 0 and before + came - went == 0,
    )


def inflow_of(place: SockPlace, *, at: dt.datetime) -> float:
    """Return how many socks reached a basket in a day, as of late [socks/day]."""
    first = Act.objects.filter(kind=ActKind.STRING).aggregate(first=Min("at"))["first"]
    window = _window(at, first)
    moves = _lately(SockMove.objects.filter(end=place), at - window)
    return moves.count() / (window / dt.timedelta(days=1))


def _in_and_out(lately: LatelyMoved, since: dt.datetime) -> Iterator[tuple[dt.datetime, int, int]]:
    """Yield when how many socks came under way and how many left [socks]."""
    for move in lately.socks:
        came, went = move.end in IN_WORK, move.start in IN_WORK
        if move.at >= since and came != went:
            yield move.at, came * move.count, went * move.count


def _window(at: dt.datetime, first: dt.datetime | None) -> dt.timedelta:
    """Return how far back to look: four weeks, or what a young book holds, a week at least."""
    age = at - first if first else SHORTEST_WINDOW
    return max(SHORTEST_WINDOW, min(WINDOW, age))


def _lately(moves: QuerySet[Any], since: dt.datetime) -> QuerySet[Any]:
    standing = moves.filter(act__undone_by__isnull=True).exclude(act__kind=ActKind.UNDO)
    return _since(standing, since)


def _since(moves: QuerySet[Any], since: dt.datetime) -> QuerySet[Any]:
    """Keep the moves of acts from a moment on.

    Naming the first such act lets the database begin there; by the moments alone it reads
    the moves of every season.
    """
    acts = Act.objects.filter(at__gte=since).order_by().values(all=Value(1))
    # Of the bare key SQLite would walk the acts from the very first on to find the least.
    first = acts.annotate(first=Min(F("pk") + 0)).values("first")
    return moves.filter(act_id__gte=Subquery(first), act__at__gte=since)


def _inflows(
    lately: LatelyMoved, since: dt.datetime, days: float
) -> tuple[dict[str, float], float]:
    """Return what arrived in each basket, and as `string` off the machine [pieces/day].

    With it comes the time at the machine for what was knitted, as planned [min].
    """
    keys: dict[str, str] = {step.start: step.key for step in STEPS}
    keys[SockPlace.TO_MATE] = "mate"
    arrived = dict.fromkeys((*keys.values(), "string", "tag"), 0)
    for move in lately.socks:
        if move.stands and move.at >= since and move.end in keys:
            arrived[keys[move.end]] += move.count
            arrived["string"] += 0 if move.start else move.count
    arrived["tag"] = sum(pairs for at, pairs in lately.tagged if at >= since)
    minutes = sum(took for at, took in lately.knitted if at >= since)
    return {key: count / days for key, count in arrived.items()}, float(minutes)


def _whole(cards: Sequence[BasketCard], *, minutes: float, inflow: float) -> ClearTime:
    """Return when the bench is empty: each sock still needs every step from its basket on."""
    still, work = 0.0, 0.0
    for card in reversed(cards):
        still += _of_a_sock(card.key, card.pace)
        work += still * card.count * (2 if card.key == "tag" else 1)
    each = still or 1.0
    return clear_time(work / each, each, max(0.0, minutes), inflow)


def _of_a_sock(key: str, pace: Pace) -> float:
    return pace.minutes / 2 if key == "tag" else pace.minutes
