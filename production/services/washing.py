"""Washing a load and taking it in dry, and when a load should run."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from django.db import transaction
from django.db.models import Count, Max, OuterRef, Subquery, prefetch_related_objects
from django.db.models.functions import Coalesce

from patterns.core.words import say, say_count
from production.core.flow import batch_wait, wash_now
from production.core.places import SockPlace
from production.errors import MoveNotAllowedError, ProductionError
from production.models import Act, Load, Sock, SockMove
from production.services.acts import Who, lock_socks, next_number, recorded
from production.services.baskets import do_step
from production.services.loads import clashes, dark_lots, load_of
from socktrade.models import Workshop

TOGETHER = say("washed together though the care of the yarns differs")
NEWEST_LOADS = 20
DAYS_AFTER_DRY = 1  # to block, mate and tag what came in dry


@dataclass(frozen=True, slots=True)
class WashAdvice:
    """Whether to run a load now, and the figures behind it."""

    now: bool
    reason: str


@transaction.atomic
def wash_socks(
    *, sock_ids: Iterable[int], together: bool, who: Who, minutes: float | None = None
) -> Act:
    """Wash a load; it gets a number. What may not share one is questioned once, then believed.

    Raises:
        ProductionError: If the care of the yarns differs, or a dark lot in its first wash is
            not by itself, and `together` is not set.
        MoveNotAllowedError: If a sock is not waiting for the wash.
    """
    if done := recorded(who.key):
        return done
    socks = lock_socks(sock_ids)
    prefetch_related_objects(socks, "run__yarns__lot__yarn", "lot__yarn")
    problems = clashes(socks)
    if problems and not together:
        raise ProductionError(" ".join(map(str, problems)), field="together")
    kinds = [load_of(sock, dark_lots()).name for sock in socks[:1]]
    note = str(TOGETHER) if problems else ""
    act = do_step(step="wash", sock_ids=[s.pk for s in socks], who=who, minutes=minutes, note=note)
    name = say("Several kinds of care") if problems else kinds[0]
    Load.objects.create(number=next_number(Load), wash=act, name=str(name)[:120])
    return act


@transaction.atomic
def dry_load(*, load: Load, who: Who, minutes: float | None = None) -> Act:
    """Take in what hangs on the line of a load.

    Raises:
        MoveNotAllowedError: If none of it hangs there.
    """
    if done := recorded(who.key):
        return done
    wet = on_the_line(load)
    if not wet:
        msg = say("Nothing of load {number} is drying any more.", number=load.number)
        raise MoveNotAllowedError(msg)
    note = str(say("load {number}", number=load.number))
    return do_step(step="dry", sock_ids=wet, who=who, minutes=minutes, note=note)


def on_the_line(load: Load) -> list[int]:
    """Return the keys of the socks that came out of this load last and are drying."""
    return [pk for pk, last in last_loads().items() if last == load.pk]


def last_loads() -> dict[int, int]:
    """Return for each drying sock the load that it was washed in last."""
    washed = SockMove.objects.filter(
        sock__place=SockPlace.TO_DRY, act__load__isnull=False, act__undone_by__isnull=True
    )
    return dict(
        washed.values("sock_id").annotate(last=Max("act__load")).values_list("sock_id", "last")
    )


def newest_loads(*, before: int | None = None) -> list[Load]:
    """Return a page of loads, the newest first, each with `socks` counted."""
    loads = Load.objects.select_related("wash__by", "wash__undone_by").order_by("-number")
    if before is not None:
        loads = loads.filter(number__lt=before)
    # Counted for each load that is shown; a join would count every season's first.
    moved = SockMove.objects.filter(act=OuterRef("wash")).order_by().values("act")
    socks = Subquery(moved.annotate(n=Count("pk")).values("n"))
    return list(loads.annotate(socks=Coalesce(socks, 0))[:NEWEST_LOADS])


def socks_of_load(load: Load) -> list[Sock]:
    """Return the socks that were washed in a load, in the order of their numbers."""
    socks = Sock.objects.filter(moves__act=load.wash_id).with_kind()
    return list(socks.order_by("string__number", "position"))


def wash_advice(
    *,
    waiting: int,
    inflow_a_day: float,
    today: dt.date,
    next_market: dt.date | None,
    workshop: Workshop,
) -> WashAdvice:
    """Say whether a load should run: full, or the last moment before the next market day.

    Args:
        waiting: Socks that may go into it [socks].
        inflow_a_day: Socks that reach the wash basket [socks/day].
        today: The day it is.
        next_market: The next market day, if one is planned.
        workshop: Her full load and drying time.
    """
    full, drying = workshop.full_load_socks, workshop.drying_days
    ahead = None
    if next_market is not None and next_market >= today:
        ahead = (next_market - today).days
    needed = drying + DAYS_AFTER_DRY
    far = needed + 1 if ahead is None else ahead
    now = wash_now(waiting, full, far, needed)
    parts = [_fill_words(waiting, full, inflow_a_day)]
    if ahead is not None and next_market is not None:
        last = next_market - dt.timedelta(days=needed)
        parts.append(_market_words(next_market, last, today, drying))
    reason = say("{fill} {market}", fill=parts[0], market=parts[1]) if parts[1:] else parts[0]
    return WashAdvice(now, reason)


def _fill_words(waiting: int, full: int, inflow_a_day: float) -> str:
    if waiting >= full:
        return say("Full: {waiting} socks, and {full} fill a load.", waiting=waiting, full=full)
    missing = full - waiting
    if inflow_a_day <= 0:
        return say(
            "{waiting} of the {full} socks that fill a load; none arrived lately.",
            waiting=waiting,
            full=full,
        )
    # The first of k waits (k - 1)/r for the last; here the missing ones are still to come.
    days = batch_wait(missing + 1, inflow_a_day).first_days
    return say_count(
        "{waiting} of the {full} socks that fill a load; at {inflow_a_day:.1f} a day "
        "it is full in about {days:.0f} day.",
        "{waiting} of the {full} socks that fill a load; at {inflow_a_day:.1f} a day "
        "it is full in about {days:.0f} days.",
        round(days),
        waiting=waiting,
        full=full,
        inflow_a_day=inflow_a_day,
        days=days,
    )


def _market_words(market: dt.date, last: dt.date, today: dt.date, drying: int) -> str:
    days = say_count("drying takes {count} day", "drying takes {count} days", drying)
    if last > today:
        return say(
            "Last day to wash for the market of {market:weekday}: {last:weekday}. {drying}, and a "
            "day is kept to block, mate and tag.",
            market=market,
            last=last,
            drying=say_count("Drying takes {count} day", "Drying takes {count} days", drying),
        )
    if last == today:
        return say(
            "Today is the last day to wash for the market of {market:weekday}: {drying}.",
            market=market,
            drying=days,
        )
    return say(
        "For the market of {market:weekday} it is late: {drying}. What dries sooner may still "
        "make it.",
        market=market,
        drying=days,
    )
