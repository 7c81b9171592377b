"""Yarn coming in, being weighed, going out."""

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction

from production.errors import ProductionError
from production.models import Act, ActKind, DyeLot, Yarn, YarnMove, YarnUse
from production.services.acts import Who, move_yarn, record, recorded

OUT_USES = (YarnUse.SWATCH, YarnUse.WASTE, YarnUse.WRITTEN_OFF, YarnUse.RETURNED)
TENTH = Decimal("0.1")
# Wool holds 14 to 18 % of its dry weight in water at 65 % humidity and less in a dry
# room: 1000 g at 16 % weigh 948 g at 10 %, with no yarn gone.
MOISTURE_SHARE = Decimal("0.05")


@dataclass(frozen=True, slots=True)
class NewLot:
    """A dye lot as it comes in; with `gross_g` it was weighed at once."""

    code: str
    tare_g: Decimal = Decimal(0)
    gross_g: Decimal | None = None
    packages: int = 0
    bought_on: dt.date | None = None


@dataclass(frozen=True, slots=True)
class Weighing:
    """What the scale says of a lot beside what the book says, empty packages taken off."""

    net_g: Decimal
    book_g: Decimal

    @property
    def difference_g(self) -> Decimal:
        """More (+) or less (-) than the book says [g]."""
        return self.net_g - self.book_g

    @property
    def is_moisture(self) -> bool:
        """Whether damp or dry air alone explains the difference."""
        return bool(self.difference_g) and abs(self.difference_g) <= self.book_g * MOISTURE_SHARE


def grams_on_hand(lot: DyeLot) -> Decimal:
    """Return what the book says is left of a lot [g]."""
    grams: Decimal = DyeLot.objects.with_grams().get(pk=lot.pk).grams  # type: ignore[attr-defined]
    return grams.quantize(TENTH)  # SQLite adds decimals up as floats


@transaction.atomic
def add_yarn(*, yarn: Yarn, lot: NewLot, who: Who) -> DyeLot:
    """Enter a yarn with its first dye lot and, if it was weighed, its grams.

    Raises:
        ProductionError: If the yarn is in the book already, or the weights leave nothing.
    """
    if done := recorded(who.key):
        return done.yarn_moves.get().lot
    if Yarn.objects.filter(name__iexact=yarn.name, colour__iexact=yarn.colour).exists():
        msg = f"{yarn} is in the book already. Add this lot to it instead."
        raise ProductionError(msg, field="name")
    yarn.save(force_insert=True)
    return add_lot(yarn=yarn, lot=lot, who=who)


@transaction.atomic
def change_yarn(*, yarn: Yarn) -> Yarn:
    """Keep changed facts of a yarn. What was printed or booked before stays as it was.

    Raises:
        ProductionError: If another yarn has that name and colour.
    """
    others = Yarn.objects.filter(name__iexact=yarn.name, colour__iexact=yarn.colour)
    if others.exclude(pk=yarn.pk).exists():
        msg = f"Another yarn is {yarn} already."
        raise ProductionError(msg, field="name")
    yarn.save(force_update=True)
    return yarn


@transaction.atomic
def change_lot(*, lot: DyeLot, facts: NewLot) -> DyeLot:
    """Keep a changed number, empty weight or day of a lot; its bookings stay.

    Raises:
        ProductionError: If the yarn has another lot of that number.
    """
    others = DyeLot.objects.filter(yarn_id=lot.yarn_id, code__iexact=facts.code)
    if others.exclude(pk=lot.pk).exists():
        msg = f"Another lot of this yarn is {facts.code} already."
        raise ProductionError(msg, field="code")
    lot.code, lot.tare_g, lot.bought_on = facts.code, facts.tare_g, facts.bought_on
    lot.save(force_update=True)
    return lot


@transaction.atomic
def add_lot(*, yarn: Yarn, lot: NewLot, who: Who) -> DyeLot:
    """Enter a dye lot of a known yarn and, if it was weighed, its grams.

    Raises:
        ProductionError: If the yarn has that lot already, or the weights leave nothing.
    """
    if done := recorded(who.key):
        return done.yarn_moves.get().lot
    if DyeLot.objects.filter(yarn=yarn, code__iexact=lot.code).exists():
        msg = f"Lot {lot.code} of {yarn} is in the book already. Receive the yarn on its page."
        raise ProductionError(msg, field="code")
    row = DyeLot.objects.create(
        yarn=yarn, code=lot.code, tare_g=lot.tare_g, bought_on=lot.bought_on
    )
    if lot.gross_g is not None:
        receive_yarn(lot=row, gross_g=lot.gross_g, packages=lot.packages, who=who)
    return row


def read_scale(*, lot: DyeLot, gross_g: Decimal, packages: int) -> Weighing:
    """Compare the scale with the book before anything is booked."""
    net = gross_g - lot.tare_g * packages
    return Weighing(net_g=net, book_g=grams_on_hand(lot))


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
    agrees = "" if difference else "the scale and the book agree"
    act = record(ActKind.YARN_WEIGHED, who, note=note or agrees)
    if difference:
        move_yarn(act, lot, difference, YarnUse.WEIGHED, gross_g=gross_g, tare_g=tare)
    return act


def knit_yarn(act: Act, lot: DyeLot, grams: float) -> YarnMove | None:
    """Book the grams that a run of a string took, to the tenth of a gram."""
    booked = Decimal(str(round(grams, 1)))
    return move_yarn(act, lot, -booked, YarnUse.KNITTED) if booked else None
