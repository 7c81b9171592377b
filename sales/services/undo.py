"""Taking an act back, with what it meant for sales, days and the tray."""

from django.db import transaction

from patterns.core.words import say
from production.errors import CannotUndoError
from production.models import Act, ActKind
from production.services.acts import Who, take_turn
from production.services.acts import undo_act as undo_moves
from sales.models import (
    DayAct,
    DayState,
    HandOver,
    MarketDay,
    Order,
    OrderState,
    PhoneAct,
    SaleLine,
    SortOut,
    TakenBack,
)
from sales.services.deposits import undo_deposit
from sales.services.tapped import give_back, tapped_again


@transaction.atomic
def undo_act(*, act_id: int, who: Who) -> Act:
    """Take back any act of the book, with what it meant for sales and days.

    Raises:
        CannotUndoError: If something has moved on since, or the act opened or closed a
            market day that has other acts after it.
    """
    take_turn()
    act = Act.objects.get(pk=act_id)
    _undo_cures(act, who)
    tapped = tapped_again(act) if act.kind == ActKind.SALE else []
    reverse = undo_moves(act_id=act_id, by=who.by, at=who.at)
    if act.kind in (ActKind.OPEN_DAY, ActKind.CLOSE_DAY):
        _undo_day_state(act)
    elif act.kind == ActKind.RETURN:
        back = TakenBack.objects.get(act=act)
        SaleLine.objects.filter(pk=back.line_id).update(holds=True)
        SortOut.objects.filter(act=act, settled_by__isnull=True).update(settled_by=reverse)
    elif act.kind == ActKind.SALE:
        SaleLine.objects.filter(sale__act=act).update(holds=False)
        give_back(tapped)
        SortOut.objects.filter(act=act, settled_by__isnull=True).update(settled_by=reverse)
        _reopen_order(act)
    elif act.kind == ActKind.DEPOSIT:
        undo_deposit(act)
    elif act.kind == ActKind.SORTED:
        _open_tray_again(act)
    return reverse


def _undo_cures(act: Act, who: Who) -> None:
    """Take back first what gave a line of this sale another pair from the tray."""
    cures = Act.objects.standing().filter(
        pk__in=SortOut.objects.filter(act=act).values("settled_by"),
        kind=ActKind.SORTED,
        pair_moves__isnull=False,
    )
    for cure in cures.distinct():
        undo_act(act_id=cure.pk, who=who)


def _open_tray_again(act: Act) -> None:
    items = SortOut.objects.filter(settled_by=act)
    moved = act.pair_moves.values("pair")
    SaleLine.objects.filter(pk__in=items.values("line"), pair__in=moved).update(pair=None)
    items.update(settled_by=None)
    PhoneAct.objects.filter(settled_by=act).update(settled_by=None)


def _undo_day_state(act: Act) -> None:
    entry = DayAct.objects.select_related("day").get(act=act)
    later = DayAct.objects.filter(
        day=entry.day, act_id__gt=act.pk, act__undone_by__isnull=True
    ).exists()
    if later:
        msg = say("The day went on after that. Undo what came later first.")
        raise CannotUndoError(msg)
    if act.kind == ActKind.CLOSE_DAY:
        other = MarketDay.objects.filter(state=DayState.OPEN).with_market().first()
        if other:
            msg = say("{other} is open now. Close it before this day is opened again.", other=other)
            raise CannotUndoError(msg)
    state = DayState.PLANNED if act.kind == ActKind.OPEN_DAY else DayState.OPEN
    MarketDay.objects.filter(pk=entry.day_id).update(state=state)


def _reopen_order(act: Act) -> None:
    """Make an order ready again whose hand-over was this sale."""
    Order.objects.filter(
        state=OrderState.HANDED_OVER, pk__in=HandOver.objects.filter(sale__act=act).values("order")
    ).update(state=OrderState.READY)
