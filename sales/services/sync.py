"""Taking in what phones send: each act once, in any order, and none lost.

A phone sends an act again until it was answered, so the same act arrives twice, late, or
after the act that takes it back. Its key decides: what was recorded under a key stays.
"""

import datetime as dt
import json
import logging
import uuid
from collections.abc import Sequence
from dataclasses import dataclass

from django.contrib.auth.models import User
from django.db import IntegrityError, OperationalError, transaction

from patterns.core.words import say
from production.errors import ProductionError
from production.models import Act, ActKind
from production.services.acts import Who, record, take_turn
from sales.core.tillacts import (
    KEYS,
    SaidPurchase,
    SaidUndo,
    body_of,
    key_of,
    moment_of,
    read_act,
    storable,
)
from sales.errors import SalesError
from sales.models import MarketDay, PhoneAct
from sales.services.told import record_told, undo_told
from socktrade.roles import Role, role_of

logger = logging.getLogger(__name__)

MOST_ACTS = 200
State = PhoneAct.State
NO_SUCH_DAY = say("The book has no market day like it.")


@dataclass(frozen=True, slots=True)
class Parcel:
    """Acts as one phone sent them, with what is known about the sending.

    A stall pass is `held_to_day`: it takes back nothing that another day's parcel told.
    """

    acts: Sequence[object]
    day_id: int
    device: str
    by: User
    at: dt.datetime
    sent_at_ms: object = None
    held_to_day: bool = False


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of one act, for the phone that waits for it."""

    key: str
    state: str
    words: str


def receive(parcel: Parcel) -> list[Answer]:
    """Record what a phone sent and answer each act; what is not understood is kept whole.

    Each act stands for itself: one that cannot be read holds up none behind it.
    """
    day = MarketDay.objects.with_market().filter(pk=parcel.day_id).first()
    return [_receive(raw, parcel, day) for raw in parcel.acts[:MOST_ACTS]]


@transaction.atomic
def try_again(*, row: PhoneAct, who: Who) -> PhoneAct:
    """Record a kept act after all, for instance once its day exists or a price was put right.

    Raises:
        SalesError: If the book still cannot record it; the message says why.
    """
    row = PhoneAct.objects.select_for_update(of=("self",)).get(pk=row.pk)
    if row.state == State.DONE or row.settled_by_id:
        return row
    parcel = Parcel((), row.day_id or 0, row.device, row.by, row.received_at)
    try:
        _record(row, _raw_of(row), parcel, row.day)
    except (ValueError, ProductionError) as refusal:
        raise SalesError(str(refusal)) from refusal
    row.trouble = ""
    row.save(update_fields=["state", "act", "undoes", "trouble"])
    _take_back_early(row, who)
    return row


@transaction.atomic
def put_aside(*, row: PhoneAct, who: Who, note: str) -> PhoneAct:
    """Put a kept act to rest with a word on what it was; its words stay in the book.

    Raises:
        SalesError: If no word is given or it is not waiting any more.
    """
    row = PhoneAct.objects.select_for_update(of=("self",)).get(pk=row.pk)
    if not note.strip():
        msg = say("Say in a few words what it was.")
        raise SalesError(msg, field="note")
    if row.state == State.DONE or row.settled_by_id:
        msg = say("That was settled already.")
        raise SalesError(msg)
    row.settled_by = record(ActKind.SORTED, who, note=note.strip())
    row.save(update_fields=["settled_by"])
    return row


def _receive(raw: object, parcel: Parcel, day: MarketDay | None) -> Answer:
    key = key_of(raw)
    try:
        with transaction.atomic():
            take_turn()
            row = _known(key, raw) or _take_in(raw, parcel, day)
    except IntegrityError:
        # Two sendings of one act at the same moment: the other one was first.
        row = PhoneAct.objects.get(key=key)
    # The answer names the key that the phone waits for, whatever the row is filed under.
    return Answer(str(key), row.state, row.trouble)


def _known(key: uuid.UUID, raw: object) -> PhoneAct | None:
    row = PhoneAct.objects.filter(key=key).first()
    if row is None or row.body == body_of(raw):
        return row
    return PhoneAct.objects.filter(key=_second_key(key, raw)).first()


def _second_key(key: uuid.UUID, raw: object) -> uuid.UUID:
    return uuid.uuid5(KEYS, f"{key} {body_of(raw)}")


def _take_in(raw: object, parcel: Parcel, day: MarketDay | None) -> PhoneAct:
    key = key_of(raw)
    row = PhoneAct(
        key=key,
        device=parcel.device,
        day=day,
        body=body_of(raw),
        received_at=parcel.at,
        by=parcel.by,
        state=State.KEPT,
    )
    if PhoneAct.objects.filter(key=key).exists():
        row.key = _second_key(key, raw)
        row.trouble = str(say("The phone used the key of this act for another one before."))
    else:
        row.trouble = _trouble_with(row, raw, parcel, day)
    row.save()
    _take_back_early(row, Who(by=parcel.by, at=parcel.at))
    return row


def _trouble_with(row: PhoneAct, raw: object, parcel: Parcel, day: MarketDay | None) -> str:
    """Record the act; return why that was not possible, or nothing."""
    try:
        with transaction.atomic():
            _record(row, raw, parcel, day)
    except OperationalError:
        raise  # a busy or lost database: the phone keeps the act and sends it again
    except ValueError as problem:
        logger.warning("An act of a phone could not be read: %s: %s", row.key, problem)
        trouble = say("The book cannot read this act. Its words are kept: enter it by hand.")
    except (SalesError, ProductionError) as refusal:
        trouble = str(refusal)
    except Exception:
        logger.exception("An act of a phone could not be recorded: %s", row.key)
        trouble = say("The book tripped over this act. Its words are kept.")
    else:
        return ""
    row.state, row.act = State.KEPT, None
    return storable(str(trouble))[:300]


def _record(row: PhoneAct, raw: object, parcel: Parcel, day: MarketDay | None) -> None:
    said = read_act(raw)
    at, timed = moment_of(raw, sent_at_ms=parcel.sent_at_ms, received=parcel.at)
    if isinstance(said, SaidUndo):
        _undo(row, said, parcel, Who(by=parcel.by, at=at))
        return
    if day is None:
        number = parcel.day_id
        msg = say("The book has no market day {number}.", number=number) if number else NO_SUCH_DAY
        raise SalesError(msg)
    row.act = record_told(
        said=said, day=day, who=Who(by=parcel.by, at=at, key=row.key), timed=timed
    )
    row.state = State.DONE


def _undo(row: PhoneAct, said: SaidUndo, parcel: Parcel, who: Who) -> None:
    target = PhoneAct.objects.filter(key=said.key).first()
    if target is None:
        row.undoes, row.state = said.key, State.EARLY
        return
    if parcel.held_to_day and target.day_id != parcel.day_id:
        msg = say("It would take back what was done on another day than that of the pass.")
        raise SalesError(msg)
    row.undoes = said.key
    row.act = _undo_target(target, who)
    row.state = State.DONE


def _undo_target(target: PhoneAct, who: Who) -> Act | None:
    if target.state != State.DONE:
        if target.settled_by_id is None:
            target.settled_by = record(
                ActKind.SORTED, who, note=str(say("Taken back on the phone."))
            )
            target.save(update_fields=["settled_by"])
        return target.settled_by
    said = read_act(_raw_of(target))
    backs = len(said.back) if isinstance(said, SaidPurchase) else 0
    return undo_told(key=target.key, backs=backs, who=who)


def _take_back_early(row: PhoneAct, who: Who) -> None:
    """Take the act back at once whose undo arrived before it."""
    early = PhoneAct.objects.filter(undoes=row.key, state=State.EARLY).first()
    if early is None or (early.day_id != row.day_id and role_of(early.by) == Role.STALL):
        return
    early.act = _undo_target(row, who)
    early.state = State.DONE
    early.save(update_fields=["act", "state"])


def _raw_of(row: PhoneAct) -> object:
    try:
        return json.loads(row.body)
    except ValueError:
        return row.body
