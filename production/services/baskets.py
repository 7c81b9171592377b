"""Working the baskets: a step done, a step back, a note, a scrap."""

from collections.abc import Iterable, Mapping, Sequence

from django.db import transaction

from patterns.core.words import say
from production.core.places import IN_WORK, STEP_BY_KEY, SockPlace, place_from, step_before
from production.errors import MoveNotAllowedError, ProductionError
from production.models import Act, ActKind, Quality, Sock, SockMark
from production.services.acts import (
    Who,
    lock_socks,
    mark_socks,
    move_socks,
    put_socks_back,
    record,
    recorded,
)
from production.services.steps import steps_off

LENGTHS_MM = {"foot_mm": (50, 420), "leg_mm": (20, 700)}


@transaction.atomic
def do_step(
    *, step: str, sock_ids: Iterable[int], who: Who, minutes: float | None = None, note: str = ""
) -> Act:
    """Take socks through one step, out of its basket into the next one that is in use.

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
            msg = say(
                "Sock {number} is not in “{basket}” any more: it is {place}. Nothing was "
                "moved; look at the basket again.",
                number=sock.number,
                basket=chosen.basket,
                place=sock.place_name,
            )
            raise MoveNotAllowedError(msg)
    act = record(ActKind(step), who, note=note, minutes=minutes)
    move_socks(act, socks, place_from(chosen.end, steps_off()))
    return act


@transaction.atomic
def step_back(*, sock_ids: Iterable[int], who: Who, note: str = "") -> Act:
    """Put socks of one basket back to be done again, when an undo would take back too much.

    Raises:
        ProductionError: If no sock was ticked.
        MoveNotAllowedError: If they are in several baskets, in none, or in the first.
    """
    if done := recorded(who.key):
        return done
    socks = lock_socks(sock_ids)
    _refuse_empty(socks)
    places = {SockPlace(sock.place) for sock in socks}
    place = min(places)
    if len(places) > 1 or place not in IN_WORK:
        sock = next((one for one in socks if one.place not in IN_WORK), socks[0])
        msg = say(
            "Sock {number} is {place}. Socks are put back out of one basket at a "
            "time; nothing was moved.",
            number=sock.number,
            place=sock.place_name,
        )
        raise MoveNotAllowedError(msg)
    step = step_before(place, steps_off())
    if step is None:
        msg = say("There is no step before this one.")
        raise MoveNotAllowedError(msg)
    act = record(ActKind.BACK, who, note=note)
    put_socks_back(act, socks, step.start)
    return act


@transaction.atomic
def block_socks(
    *,
    feet_mm: Mapping[int, int | None],
    who: Who,
    legs_mm: Mapping[int, int] | None = None,
    minutes: float | None = None,
) -> Act:
    """Block socks and note the foot and leg of those that were measured [mm].

    Raises:
        ProductionError: If a measure is no foot or leg of a sock.
        MoveNotAllowedError: If a sock is not waiting to be blocked.
    """
    if done := recorded(who.key):
        return done
    feet = {pk: foot for pk, foot in feet_mm.items() if foot is not None}
    legs = legs_mm or {}
    for length in feet.values():
        _refuse_no_length(length, "foot_mm")
    for length in legs.values():
        _refuse_no_length(length, "leg_mm")
    act = do_step(step="block", sock_ids=feet_mm, who=who, minutes=minutes)
    socks = lock_socks(feet_mm)
    mark_socks(act, [(s, SockMark.Field.FOOT, str(feet[s.pk])) for s in socks if s.pk in feet])
    mark_socks(act, [(s, SockMark.Field.LEG, str(legs[s.pk])) for s in socks if s.pk in legs])
    return act


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
        msg = say("Name the fault, so that its buyer can be told.")
        raise ProductionError(msg, field="fault")
    [sock] = lock_socks([sock.pk])
    _refuse_unless_loose(sock)
    if (sock.quality, sock.fault) == (quality, fault.strip()):
        msg = say("That is what the book says of {number} already.", number=sock.number)
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
def measure_sock(*, sock: Sock, foot_mm: int, who: Who, leg_mm: int | None = None) -> Act:
    """Note the measured foot of one sock and, if it was taken, its leg [mm], wherever it is.

    Raises:
        ProductionError: If a measure is no foot or leg of a sock.
        MoveNotAllowedError: If the sock was taken back and never made.
    """
    if done := recorded(who.key):
        return done
    _refuse_no_length(foot_mm, "foot_mm")
    if leg_mm is not None:
        _refuse_no_length(leg_mm, "leg_mm")
    [sock] = lock_socks([sock.pk])
    if sock.place == SockPlace.UNMADE:
        msg = say(
            "Sock {number} was taken back with its string; there is nothing to measure.",
            number=sock.number,
        )
        raise MoveNotAllowedError(msg)
    act = record(ActKind.MARK, who)
    legs = [] if leg_mm is None else [(sock, SockMark.Field.LEG, str(leg_mm))]
    mark_socks(act, [(sock, SockMark.Field.FOOT, str(foot_mm)), *legs])
    return act


def _refuse_empty(socks: Sequence[Sock]) -> None:
    if not socks:
        msg = say("Tick the socks first.")
        raise ProductionError(msg, field="socks")


def _refuse_no_length(length_mm: int, field: str) -> None:
    shortest, longest = LENGTHS_MM[field]
    if not shortest <= length_mm <= longest:
        figures = {"length": length_mm, "least": shortest, "most": longest}
        if field == "foot_mm":
            msg = say(
                "{length} mm is no foot of a sock; measure between {least} and {most} mm.",
                **figures,
            )
        else:
            msg = say(
                "{length} mm is no leg of a sock; measure between {least} and {most} mm.",
                **figures,
            )
        raise ProductionError(msg, field=field)


def _refuse_unless_loose(sock: Sock) -> None:
    if sock.place == SockPlace.IN_PAIR:
        msg = say("Sock {number} is in a pair. Split the pair first.", number=sock.number)
        raise MoveNotAllowedError(msg)
    if sock.place in {SockPlace.SCRAP, SockPlace.UNMADE}:
        msg = say(
            "Sock {number} is {place}. Undo that first, if it was a slip.",
            number=sock.number,
            place=sock.place_name,
        )
        raise MoveNotAllowedError(msg)
