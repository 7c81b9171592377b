"""Logging a string: the moment socks come into the book."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from django.db import transaction
from django.db.models import Max

from patterns.models import PatternVersion
from production.core.places import SockPlace
from production.errors import ProductionError
from production.models import (
    Act,
    ActKind,
    DyeLot,
    Quality,
    RunYarn,
    Sock,
    SockMark,
    SockMove,
    String,
    StringRun,
    YarnRole,
)
from production.services.acts import Who, mark_socks, record, recorded
from production.services.yarn import knit_yarn

MOST_SOCKS = 200  # a string longer than this is a slip of the finger
TURN_SECTIONS = ("heel", "toe")


@dataclass(frozen=True, slots=True)
class Run:
    """What she knitted in a row: a version, how many, from which lot.

    `turn_lot` knits heel and toe when they are of another yarn; `strand_lot` is a strand
    added there, `strand_g` grams of it in one sock.
    """

    version: PatternVersion
    count: int
    lot: DyeLot
    turn_lot: DyeLot | None = None
    strand_lot: DyeLot | None = None
    strand_g: float = 0.0
    faults: Mapping[int, str] = field(default_factory=dict)

    def yarns(self) -> list[tuple[DyeLot, YarnRole, str, float]]:
        """Return lot, role, place and grams in one sock for each yarn of the run."""
        turn_g = sum(
            part["grams"] for part in self.version.sections if part["name"] in TURN_SECTIONS
        )
        parts = [(self.lot, YarnRole.BASE, "", self.version.grams)]
        if self.turn_lot is not None and self.turn_lot != self.lot:
            parts = [
                (self.lot, YarnRole.BASE, "", self.version.grams - turn_g),
                (self.turn_lot, YarnRole.SECTION, "heel and toe", turn_g),
            ]
        if self.strand_lot is not None and self.strand_g > 0:
            parts.append((self.strand_lot, YarnRole.ADDED, "toe and heel", self.strand_g))
        return parts


@transaction.atomic
def log_string(
    *, runs: Sequence[Run], who: Who, minutes: float | None = None, note: str = ""
) -> String:
    """Write a string into the book: its socks get numbers and wait to be cut.

    A string that was knitted is a fact, so a lot that the book thinks too small does not
    stop it; the lot then shows below zero and asks to be weighed.

    Raises:
        ProductionError: If a run has no sock, there are too many, or a fault names a
            position that is not in its run.
    """
    if done := recorded(who.key):
        return done.string
    _check_runs(runs)

    act = record(ActKind.STRING, who, note=note, minutes=minutes)
    last = String.objects.aggregate(last=Max("number"))["last"] or 0
    string = String.objects.create(number=last + 1, act=act)
    position = 1
    for run in runs:
        _log_run(act, string, run, position)
        position += run.count
    return string


def _log_run(act: Act, string: String, run: Run, first: int) -> None:
    row = StringRun.objects.create(
        string=string, first_position=first, count=run.count, version=run.version
    )
    for lot, role, place, grams in run.yarns():
        RunYarn.objects.create(run=row, lot=lot, role=role, place=place, grams=grams)
        knit_yarn(act, lot, grams * run.count)
    socks = Sock.objects.bulk_create(
        Sock(
            string=string,
            position=first + offset,
            run=row,
            version=run.version,
            lot=run.lot,
            place=SockPlace.TO_CUT,
            since=act.at,
        )
        for offset in range(run.count)
    )
    SockMove.objects.bulk_create(
        SockMove(act=act, sock=sock, start="", end=SockPlace.TO_CUT) for sock in socks
    )
    for place, fault in run.faults.items():
        sock = socks[place - 1]
        mark_socks(
            act,
            [
                (sock, SockMark.Field.FAULT, fault),
                (sock, SockMark.Field.QUALITY, Quality.SECOND),
            ],
        )


def _check_runs(runs: Sequence[Run]) -> None:
    total = sum(run.count for run in runs)
    if not runs or any(run.count < 1 for run in runs):
        msg = "A string holds at least one sock."
        raise ProductionError(msg, field="count")
    if total > MOST_SOCKS:
        msg = f"{total} socks are more than one string holds here; log at most {MOST_SOCKS}."
        raise ProductionError(msg, field="count")
    for run in runs:
        for place in run.faults:
            if not 1 <= place <= run.count:
                msg = f"There is no sock {place} among these {run.count}."
                raise ProductionError(msg, field="faults")
