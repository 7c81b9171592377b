"""The tray of what stall and book disagree on: both stories, and what puts each right."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction
from django.db.models import QuerySet

from patterns.core.words import say
from production.core.places import PairPlace
from production.models import Act, ActKind, Pair
from production.services.acts import Who, lock_pairs, move_pairs, record, recorded
from sales.errors import SalesError
from sales.models import PhoneAct, SaleLine, SortOut
from sales.services.undo import undo_act

STANDS, ANOTHER, ENTERED_TWICE = "stands", "another", "entered-twice"
LABELS = {
    STANDS: say("It stands as sold"),
    ANOTHER: say("It was another pair of the kind"),
    ENTERED_TWICE: say("One sale, entered twice: take this one back"),
}
NEWEST = 100


@dataclass(frozen=True, slots=True)
class Case:
    """One disagreement: what the stall said, what else the book has, what would cure it."""

    item: SortOut
    other: SaleLine | None
    cures: tuple[tuple[str, str], ...]


def cases_of(items: Sequence[SortOut]) -> list[Case]:
    """Return the items with the sale that the book had before, and their cures."""
    labels = {item.line.claimed for item in items if item.line and item.line.claimed}
    numbers = [int(label[1:]) for label in labels if label[1:].isascii() and label[1:].isdigit()]
    lines = SaleLine.objects.filter(pair__number__in=numbers, holds=True).select_related(
        "pair", "sale__act__by", "sale__day__market"
    )
    held = {line.pair.label: line for line in lines if line.pair}
    return [_case(item, held) for item in items]


def kept_acts() -> list[PhoneAct]:
    """Return the acts of phones that the book could not record, the oldest first."""
    rows = PhoneAct.objects.filter(settled_by__isnull=True).exclude(state=PhoneAct.State.DONE)
    return list(rows.select_related("by", "day__market").order_by("pk")[:NEWEST])


@transaction.atomic
def cure(*, item: SortOut, name: str, who: Who) -> Act:
    """Put a disagreement right in one of its ways.

    Raises:
        SalesError: If it was settled before, or no such cure fits it.
        CannotUndoError: If the sale to take back has moved on.
    """
    if done := recorded(who.key):
        return done
    item = SortOut.objects.select_for_update(of=("self",)).get(pk=item.pk)
    if item.settled_by_id:
        msg = say("That was settled already.")
        raise SalesError(msg)
    if name not in dict(_cures(item)):
        msg = say("That does not fit this case. Say in words what it was.")
        raise SalesError(msg)
    if name == ENTERED_TWICE:
        return undo_act(act_id=item.act_id, who=who)
    act = record(ActKind.SORTED, who, note=str(LABELS[name]))
    if name == ANOTHER:
        _give_another(act, item)
    SortOut.objects.filter(pk=item.pk).update(settled_by=act)
    return act


def _give_another(act: Act, item: SortOut) -> None:
    line = item.line
    # "stall" sorts behind "shelf", and what was on the table went first.
    pair = _alike(line).order_by("-place", "number").first() if line else None
    if line is None or pair is None:
        msg = say(
            "The book has no other pair of this kind. Count the shelf and the stall box first."
        )
        raise SalesError(msg)
    move_pairs(act, lock_pairs([pair.pk]), PairPlace.SOLD)
    SaleLine.objects.filter(pk=line.pk).update(pair=pair)


def _alike(line: SaleLine) -> QuerySet[Pair]:
    return Pair.objects.filter(
        pattern=line.pattern_id,
        quality=line.quality,
        place__in=[PairPlace.STALL, PairPlace.SHELF],
    )


def _case(item: SortOut, held: dict[str, SaleLine]) -> Case:
    other = held.get(item.line.claimed) if item.line else None
    if other and item.line and other.pk == item.line.pk:
        other = None
    return Case(item, other, _cures(item))


def _cures(item: SortOut) -> tuple[tuple[str, str], ...]:
    names = [STANDS]
    line = item.line
    if line and line.holds and line.pair_id is None and line.pattern_id:
        names.append(ANOTHER)
    if line and item.kind == SortOut.Kind.SOLD_TWICE:
        names.append(ENTERED_TWICE)
    return tuple((name, LABELS[name]) for name in names)
