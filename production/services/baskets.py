"""Working the baskets: a step done, a step back, a note, a scrap."""

from collections.abc import Iterable, Mapping, Sequence

from django.db import transaction
from django.db.models import prefetch_related_objects

from production.core.places import STEP_BY_KEY, STEPS, SockPlace
from production.errors import MoveNotAllowedError, ProductionError
from production.models import Act, ActKind, Quality, Sock, SockMark
from production.services.acts import (
    Who,
    lock_socks,
    mark_socks,
    move_socks,
    record,
    recorded,
    undo_act,
)
from production.services.loads import clashes

SHORTEST_FOOT_MM, LONGEST_FOOT_MM = 50, 420


@transaction.atomic
def do_step(
    *, step: str, sock_ids: Iterable[int], who: Who, minutes: float | None = None, note: str = ""
) -> Act:
    """Take socks through one step, out of its basket into the next.

    Raises:
        ProductionError: If no sock was ticked.
        MoveNotAllowedError: If a sock is no longer in that basket; nothing is moved then.
    """
    if done := recorded(who.key):
        return done
    chosen = STEP_BY_KEY[step]
    socks = lock_socks(sock_ids)
    _refuse_empty(socks)
    for sock in socks:
        if sock.place != chosen.start:
            msg = (
                f"Sock {sock.number} is not in “{chosen.basket}” any more: it is "
                f"{sock.place_name}. Nothing was moved; look at the basket again."
            )
            raise MoveNotAllowedError(msg)
    act = record(ActKind(step), who, note=note, minutes=minutes)
    move_socks(act, socks, chosen.end)
    return act


@transaction.atomic
def block_socks(
    *, feet_mm: Mapping[int, int | None], who: Who, minutes: float | None = None
) -> Act:
    """Block socks and note the measured foot of those that were measured [mm].

    Raises:
        ProductionError: If a measure is no foot of a sock.
        MoveNotAllowedError: If a sock is not waiting to be blocked.
    """
    if done := recorded(who.key):
        return done
    for foot in feet_mm.values():
        if foot is not None:
            _refuse_no_foot(foot)
    act = do_step(step="block", sock_ids=feet_mm, who=who, minutes=minutes)
    measured = [sock for sock in lock_socks(feet_mm) if feet_mm[sock.pk] is not None]
    mark_socks(act, [(sock, SockMark.Field.FOOT, str(feet_mm[sock.pk])) for sock in measured])
    return act


@transaction.atomic
def wash_socks(
    *, sock_ids: Iterable[int], together: bool, who: Who, minutes: float | None = None
) -> Act:
    """Wash a load. Yarns that may not share one are questioned once, then believed.

    Raises:
        ProductionError: If the care of the yarns differs and `together` is not set.
        MoveNotAllowedError: If a sock is not waiting for the wash.
    """
    if done := recorded(who.key):
        return done
    ids = list(sock_ids)
    socks = lock_socks(ids)
    prefetch_related_objects(socks, "run__yarns__lot__yarn", "lot__yarn")
    problems = clashes(socks)
    if problems and not together:
        raise ProductionError(" ".join(problems), field="together")
    note = "washed together though the care of the yarns differs" if problems else ""
    return do_step(step="wash", sock_ids=ids, who=who, minutes=minutes, note=note)


@transaction.atomic
def note_sock(*, sock: Sock, quality: Quality, fault: str, who: Who) -> Act:
    """Judge a single sock: first, second or scrap, and name the fault.

    Raises:
        ProductionError: If a second or scrap has no fault named.
        MoveNotAllowedError: If the sock is in a pair; the pair is split first.
    """
    if done := recorded(who.key):
        return done
    if quality != Quality.FIRST and not fault.strip():
        msg = "Name the fault, so that its buyer can be told."
        raise ProductionError(msg, field="fault")
    [sock] = lock_socks([sock.pk])
    _refuse_unless_loose(sock)
    if (sock.quality, sock.fault) == (quality, fault.strip()):
        msg = f"That is what the book says of {sock.number} already."
        raise ProductionError(msg, field="quality")
    act = record(ActKind.SCRAP if quality == Quality.SCRAP else ActKind.MARK, who)
    mark_socks(
        act,
        [
            (sock, SockMark.Field.QUALITY, quality),
            (sock, SockMark.Field.FAULT, fault.strip()),
        ],
    )
    if quality == Quality.SCRAP:
        move_socks(act, [sock], SockPlace.SCRAP)
    return act


@transaction.atomic
def measure_sock(*, sock: Sock, foot_mm: int, who: Who) -> Act:
    """Note the measured foot of one sock [mm], wherever it is.

    Raises:
        ProductionError: If the measure is no foot of a sock.
        MoveNotAllowedError: If the sock was taken back and never made.
    """
    if done := recorded(who.key):
        return done
    _refuse_no_foot(foot_mm)
    [sock] = lock_socks([sock.pk])
    if sock.place == SockPlace.UNMADE:
        msg = f"Sock {sock.number} was taken back with its string; there is nothing to measure."
        raise MoveNotAllowedError(msg)
    act = record(ActKind.MARK, who)
    mark_socks(act, [(sock, SockMark.Field.FOOT, str(foot_mm))])
    return act


def put_back(*, act_id: int, who: Who) -> Act:
    """Undo a step that was ticked by mistake."""
    return undo_act(act_id=act_id, by=who.by, at=who.at)


def baskets() -> list[tuple[str, str, SockPlace]]:
    """Return key, title and place of every basket of single socks, in order of work."""
    return [
        *((step.key, step.basket, step.start) for step in STEPS),
        ("mate", "To mate", SockPlace.TO_MATE),
    ]


def _refuse_empty(socks: Sequence[Sock]) -> None:
    if not socks:
        msg = "Tick the socks first."
        raise ProductionError(msg, field="socks")


def _refuse_no_foot(foot_mm: int) -> None:
    if not SHORTEST_FOOT_MM <= foot_mm <= LONGEST_FOOT_MM:
        msg = (
            f"{foot_mm} mm is no foot of a sock; "
            f"measure between {SHORTEST_FOOT_MM} and {LONGEST_FOOT_MM} mm."
        )
        raise ProductionError(msg, field="foot_mm")


def _refuse_unless_loose(sock: Sock) -> None:
    if sock.place == SockPlace.IN_PAIR:
        msg = f"Sock {sock.number} is in a pair. Split the pair first."
        raise MoveNotAllowedError(msg)
    if sock.place in {SockPlace.SCRAP, SockPlace.UNMADE}:
        msg = f"Sock {sock.number} is {sock.place_name}. Undo that first, if it was a slip."
        raise MoveNotAllowedError(msg)
