"""Yarn coming in, being weighed, going out."""

from decimal import Decimal

from django.db import transaction

from production.errors import ProductionError
from production.models import Act, ActKind, DyeLot, YarnMove, YarnUse
from production.services.acts import Who, move_yarn, record, recorded

OUT_USES = (YarnUse.SWATCH, YarnUse.WASTE, YarnUse.WRITTEN_OFF, YarnUse.RETURNED)


def grams_on_hand(lot: DyeLot) -> Decimal:
    """Return what the book says is left of a lot [g]."""
    return DyeLot.objects.with_grams().get(pk=lot.pk).grams  # type: ignore[attr-defined]


@transaction.atomic
def receive_yarn(*, lot: DyeLot, gross_g: Decimal, packages: int, who: Who, note: str = "") -> Act:
    """Book yarn in: what the scale showed less the empty packages.

    Raises:
        ProductionError: If nothing is left after the tare.
    """
    if done := recorded(who.key):
        return done
    tare = lot.tare_g * packages
    net = gross_g - tare
    if net <= 0:
        msg = (
            f"{gross_g} g on the scale less {tare} g of empty packages leaves no yarn. "
            "Weigh again, or mend the tare of the lot."
        )
        raise ProductionError(msg, field="gross_g")
    act = record(ActKind.YARN_IN, who, note=note)
    move_yarn(act, lot, net, YarnUse.RECEIVED, gross_g=gross_g, tare_g=tare)
    return act


@transaction.atomic
def take_yarn(*, lot: DyeLot, grams: Decimal, use: YarnUse, who: Who, note: str = "") -> Act:
    """Book yarn out for anything but a string: swatch, waste, written off, returned.

    Raises:
        ProductionError: If the grams are not positive or the use is not one of these.
    """
    if done := recorded(who.key):
        return done
    if grams <= 0:
        msg = f"{grams} g is nothing to take out. Give the grams as a number above 0."
        raise ProductionError(msg, field="grams")
    if use not in OUT_USES:
        msg = f"Yarn does not leave as “{use}”; choose swatch, waste, written off or returned."
        raise ProductionError(msg, field="use")
    act = record(ActKind.YARN_OUT, who, note=note)
    move_yarn(act, lot, -grams, use)
    return act


@transaction.atomic
def weigh_lot(*, lot: DyeLot, gross_g: Decimal, packages: int, who: Who, note: str = "") -> Act:
    """Set the book right by the scale; the difference is the act.

    Raises:
        ProductionError: If the scale shows less than the empty packages weigh.
    """
    if done := recorded(who.key):
        return done
    lot = DyeLot.objects.select_for_update(of=("self",)).get(pk=lot.pk)
    tare = lot.tare_g * packages
    net = gross_g - tare
    if net < 0:
        msg = f"{gross_g} g is less than the empty packages weigh ({tare} g)."
        raise ProductionError(msg, field="gross_g")
    difference = net - grams_on_hand(lot)
    act = record(ActKind.YARN_WEIGHED, who, note=note or f"{net} g on the scale")
    if difference:
        move_yarn(act, lot, difference, YarnUse.WEIGHED, gross_g=gross_g, tare_g=tare)
    return act


def knit_yarn(act: Act, lot: DyeLot, grams: float) -> YarnMove | None:
    """Book the grams that a run of a string took, to the tenth of a gram."""
    booked = Decimal(str(round(grams, 1)))
    return move_yarn(act, lot, -booked, YarnUse.KNITTED) if booked else None
