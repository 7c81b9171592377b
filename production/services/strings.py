"""Logging a string: the moment socks come into the book."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache

from django.db import transaction
from django.db.models import Exists, Max, OuterRef, Q, QuerySet

from patterns.core.words import say
from patterns.models import PatternVersion
from production.core.places import SockPlace, place_from
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
from production.services.acts import Who, mark_socks, next_number, record, recorded
from production.services.steps import steps_off
from production.services.yarn import knit_yarn
from socktrade.questions import Question

MOST_ON_MACHINES = 5  # more are not named on a page
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
    *,
    runs: Sequence[Run],
    who: Who,
    minutes: float | None = None,
    note: str = "",
    goes_on: bool = False,
) -> String:
    """Write a string into the book: its socks get numbers and wait to be cut.

    A string that was knitted is a fact, so a lot that the book thinks too small does not
    stop it; the lot then shows below zero and asks to be weighed. With `goes_on` it is
    still on the machine, and `resume_string` adds what is knitted to it later.

    Raises:
        ProductionError: If a run has no sock, there are too many, or a fault names a
            position that is not in its run.
    """
    if done := recorded(who.key):
        return done.string
    _check_runs(runs)

    act = record(ActKind.STRING, who, note=note, minutes=minutes)
    string = String.objects.create(number=next_number(String), act=act)
    _log_runs(act, string, runs, first=1, goes_on=goes_on)
    return string


@transaction.atomic
def resume_string(
    *,
    string: String,
    runs: Sequence[Run],
    who: Who,
    minutes: float | None = None,
    note: str = "",
    goes_on: bool = False,
) -> Act:
    """Add what was knitted later to a string that stayed on the machine.

    Its socks take the next places of the string. A place that was taken back stays empty.

    Raises:
        ProductionError: If the string is not on the machine any more, or a run is wrong as
            for `log_string`.
    """
    if done := recorded(who.key):
        return done
    string = String.objects.select_for_update(of=("self",)).get(pk=string.pk)
    if not last_on_machine().filter(string=string).exists():
        msg = say(
            "{string} came off the machine. Log these socks as a string of their own.",
            string=string,
        )
        raise ProductionError(msg)
    last = string.socks.aggregate(last=Max("position"))["last"]
    _check_runs(runs, already=last)
    act = record(ActKind.STRING, who, note=note, minutes=minutes)
    _log_runs(act, string, runs, first=last + 1, goes_on=goes_on, resumed=True)
    return act


def standing_runs() -> QuerySet[StringRun]:
    """Return the runs that were not taken back, the newest first."""
    # Said in two halves of an "or", SQLite would look for each through an index of its own.
    return StringRun.objects.filter(
        Q(resumed_by__isnull=False) | Q(string__act__undone_by__isnull=True),
        resumed_by__undone_by__isnull=True,
    ).order_by("-string__number", "-first_position")


def last_on_machine() -> QuerySet[StringRun]:
    """Return for each string that is still on the machine its last run, the newest first."""
    return _last_on_machine().all()


def strings_on_machine() -> list[String]:
    """Return the strings that are still on the machine, no more than a page names."""
    return [run.string for run in _on_machine()]


@cache
def _on_machine() -> Question[StringRun]:
    """Return the question for the last runs on the machine, made once."""
    return Question(last_on_machine().only("string", "string__number")[:MOST_ON_MACHINES])


@cache
def _last_on_machine() -> QuerySet[StringRun]:
    """Return the question itself, made once for all askers; it is never answered as it is."""
    later = standing_runs().filter(
        string=OuterRef("string"), first_position__gt=OuterRef("first_position")
    )
    return standing_runs().filter(~Exists(later), goes_on=True).select_related("string")


def _log_runs(
    act: Act,
    string: String,
    runs: Sequence[Run],
    *,
    first: int,
    goes_on: bool,
    resumed: bool = False,
) -> None:
    basket = place_from(SockPlace.TO_CUT, steps_off())
    for run in runs:
        row = StringRun.objects.create(
            string=string,
            first_position=first,
            count=run.count,
            version=run.version,
            resumed_by=act if resumed else None,
            goes_on=goes_on and run is runs[-1],
        )
        _log_run(act, row, run, basket)
        first += run.count


def _log_run(act: Act, row: StringRun, run: Run, basket: SockPlace) -> None:
    for lot, role, place, grams in run.yarns():
        RunYarn.objects.create(run=row, lot=lot, role=role, place=place, grams=grams)
        knit_yarn(act, lot, grams * run.count)
    socks = Sock.objects.bulk_create(
        Sock(
            string=row.string,
            position=row.first_position + offset,
            run=row,
            version=run.version,
            lot=run.lot,
            place=basket,
            since=act.at,
        )
        for offset in range(run.count)
    )
    SockMove.objects.bulk_create(
        SockMove(act=act, sock=sock, start="", end=basket) for sock in socks
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


def _check_runs(runs: Sequence[Run], *, already: int = 0) -> None:
    total = already + sum(run.count for run in runs)
    if not runs or any(run.count < 1 for run in runs):
        msg = say("A string holds at least one sock.")
        raise ProductionError(msg, field="count")
    if total > MOST_SOCKS:
        msg = say(
            "{total} socks are more than one string holds here; log at most {most}.",
            total=total,
            most=MOST_SOCKS,
        )
        raise ProductionError(msg, field="count")
    for run in runs:
        for place in run.faults:
            if not 1 <= place <= run.count:
                msg = say(
                    "There is no sock {place} among these {count}.", place=place, count=run.count
                )
                raise ProductionError(msg, field="faults")
