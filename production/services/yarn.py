"""Yarn coming in, being weighed, going out."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction
from django.db.models import Max, OuterRef, Subquery, Sum
from django.db.models.functions import Coalesce, Round

from patterns.core.words import say
from production.errors import ProductionError
from production.models import (
    Act,
    ActKind,
    DyeLot,
    Package,
    PackageWeight,
    Weighing,
    Yarn,
    YarnMove,
    YarnUse,
)
from production.services.acts import Who, move_yarn, record, recorded

OUT_USES = (YarnUse.SWATCH, YarnUse.WASTE, YarnUse.WRITTEN_OFF, YarnUse.RETURNED)
TENTH = Decimal("0.1")
# Wool holds 14 to 18 % of its dry weight in water at 65 % humidity and less in a dry
# room: 1000 g at 16 % weigh 948 g at 10 %, with no yarn gone.
MOISTURE_SHARE = Decimal("0.05")


@dataclass(frozen=True, slots=True)
class NewLot:
    """A dye lot as it comes in; with `gross_g` or `weights_g` it was weighed at once.

    `weights_g` is what each package showed by itself; `tare_spread_g` how far off a guessed
    empty weight may be.
    """

    code: str
    tare_g: Decimal = Decimal(0)
    tare_spread_g: Decimal = Decimal(0)
    gross_g: Decimal | None = None
    packages: int = 0
    weights_g: tuple[Decimal, ...] = ()
    bought_on: dt.date | None = None


@dataclass(frozen=True, slots=True)
class Reading:
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
    return DyeLot.objects.values_list("grams", flat=True).get(pk=lot.pk)


def add_up_lots() -> int:
    """Write beside each lot what its moves add up to; return how many lots there are.

    For rows that were written in bulk: an act adds its own grams to its lot by itself.
    """
    moves = YarnMove.objects.filter(lot=OuterRef("pk")).order_by().values("lot")
    booked = Coalesce(Subquery(moves.annotate(sum=Sum("grams")).values("sum")), Decimal(0))
    return DyeLot.objects.update(grams=Round(booked, precision=1))


@transaction.atomic
def add_yarn(*, yarn: Yarn, lot: NewLot, who: Who) -> DyeLot:
    """Enter a yarn with its first dye lot and, if it was weighed, its grams.

    Raises:
        ProductionError: If the yarn is in the book already, or the weights leave nothing.
    """
    if done := recorded(who.key):
        return done.yarn_moves.get().lot
    if Yarn.objects.filter(name__iexact=yarn.name, colour__iexact=yarn.colour).exists():
        msg = say("{yarn} is in the book already. Add this lot to it instead.", yarn=yarn)
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
        msg = say("Another yarn is {yarn} already.", yarn=yarn)
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
        msg = say("Another lot of this yarn is {code} already.", code=facts.code)
        raise ProductionError(msg, field="code")
    lot.code, lot.bought_on = facts.code, facts.bought_on
    lot.tare_g, lot.tare_spread_g = facts.tare_g, facts.tare_spread_g
    lot.save(update_fields=["code", "bought_on", "tare_g", "tare_spread_g"])
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
        msg = say(
            "Lot {code} of {yarn} is in the book already. Receive the yarn on its page.",
            code=lot.code,
            yarn=yarn,
        )
        raise ProductionError(msg, field="code")
    row = DyeLot.objects.create(
        yarn=yarn,
        code=lot.code,
        tare_g=lot.tare_g,
        tare_spread_g=lot.tare_spread_g,
        bought_on=lot.bought_on,
    )
    if lot.weights_g:
        receive_packages(lot=row, weights_g=lot.weights_g, who=who)
    elif lot.gross_g is not None:
        receive_yarn(lot=row, gross_g=lot.gross_g, packages=lot.packages, who=who)
    return row


def read_scale(*, lot: DyeLot, gross_g: Decimal, packages: int) -> Reading:
    """Compare the scale with the book before anything is booked."""
    net = gross_g - lot.tare_g * packages
    return Reading(net_g=net, book_g=grams_on_hand(lot))


@transaction.atomic
def receive_yarn(*, lot: DyeLot, gross_g: Decimal, packages: int, who: Who, note: str = "") -> Act:
    """Book yarn in: what the scale showed of all packages less the empty ones.

    Raises:
        ProductionError: If nothing is left after the tare.
    """
    if done := recorded(who.key):
        return done
    act = _book_in(lot, gross_g, packages, who, note)
    new = new_packages(act, lot, packages)
    if packages == 1:
        PackageWeight.objects.create(act=act, package=new[0], gross_g=gross_g)
    return act


@transaction.atomic
def receive_packages(*, lot: DyeLot, weights_g: Sequence[Decimal], who: Who, note: str = "") -> Act:
    """Book yarn in, each cone, ball or skein weighed by itself.

    Raises:
        ProductionError: If there is none, or one weighs no more than an empty one.
    """
    if done := recorded(who.key):
        return done
    light = [gross for gross in weights_g if gross <= lot.tare_g]
    if light or not weights_g:
        msg = say(
            "{gross_g:mass} is not more than an empty package weighs ({tare:mass}). Weigh again, "
            "or mend the tare of the lot.",
            gross_g=light[0] if light else 0,
            tare=lot.tare_g,
        )
        raise ProductionError(msg, field="gross_g")
    act = _book_in(lot, sum(weights_g, Decimal(0)), len(weights_g), who, note)
    new = new_packages(act, lot, len(weights_g))
    for package, gross in zip(new, weights_g, strict=True):
        PackageWeight.objects.create(act=act, package=package, gross_g=gross)
    return act


def new_packages(act: Act, lot: DyeLot, count: int, *, has_core: bool = True) -> list[Package]:
    """Give packages that came in by `act` the next numbers of their lot."""
    last = Package.objects.filter(lot=lot).aggregate(last=Max("number"))["last"] or 0
    return Package.objects.bulk_create(
        Package(act=act, lot=lot, number=last + step, has_core=has_core)
        for step in range(1, count + 1)
    )


def _book_in(lot: DyeLot, gross_g: Decimal, packages: int, who: Who, note: str) -> Act:
    tare = lot.tare_g * packages
    net = gross_g - tare
    if net <= 0:
        msg = say(
            "{gross_g:mass} on the scale less {tare:mass} of empty packages leaves no yarn. "
            "Weigh again, or mend the tare of the lot.",
            gross_g=gross_g,
            tare=tare,
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
        msg = say("{grams:mass} is nothing to take out. Give a weight above 0.", grams=grams)
        raise ProductionError(msg, field="grams")
    if use not in OUT_USES:
        msg = say(
            "Yarn does not leave as “{use}”; choose swatch, waste, written off or returned.",
            use=use,
        )
        raise ProductionError(msg, field="use")
    act = record(ActKind.YARN_OUT, who, note=note)
    move_yarn(act, lot, -grams, use)
    return act


@transaction.atomic
def weigh_lot(
    *,
    lot: DyeLot,
    gross_g: Decimal,
    packages: int,
    who: Who,
    note: str = "",
    moisture_stays: bool = False,
) -> Act:
    """Set the book right by the scale; the difference is the act.

    With `moisture_stays` a difference that damp or dry air explains is kept beside the book
    and not booked.

    Raises:
        ProductionError: If the scale shows less than the empty packages weigh.
    """
    if done := recorded(who.key):
        return done
    tare = lot.tare_g * packages
    if gross_g < tare:
        msg = say(
            "{gross_g:mass} is less than the empty packages weigh ({tare:mass}).",
            gross_g=gross_g,
            tare=tare,
        )
        raise ProductionError(msg, field="gross_g")
    act = record(ActKind.YARN_WEIGHED, who, note=note)
    if packages == 1:
        alone = Package.objects.standing().filter(lot=lot)[:2]
        if len(alone) == 1:
            PackageWeight.objects.create(act=act, package=alone[0], gross_g=gross_g)
    book_weighing(act, lot, gross_g=gross_g, tare_g=tare, moisture_stays=moisture_stays)
    return act


def book_weighing(
    act: Act, lot: DyeLot, *, gross_g: Decimal, tare_g: Decimal, moisture_stays: bool
) -> None:
    """Hang a weighing of the whole lot on its act, and book the difference unless it stays."""
    lot = DyeLot.objects.select_for_update(of=("self",)).get(pk=lot.pk)
    reading = Reading(net_g=gross_g - tare_g, book_g=grams_on_hand(lot))
    booked = not (moisture_stays and reading.is_moisture)
    Weighing.objects.create(
        act=act, lot=lot, net_g=reading.net_g, book_g=reading.book_g, booked=booked
    )
    if booked and reading.difference_g:
        move_yarn(act, lot, reading.difference_g, YarnUse.WEIGHED, gross_g=gross_g, tare_g=tare_g)


def knit_yarn(act: Act, lot: DyeLot, grams: float) -> YarnMove | None:
    """Book the grams that a run of a string took, to the tenth of a gram."""
    booked = Decimal(str(round(grams, 1)))
    return move_yarn(act, lot, -booked, YarnUse.KNITTED) if booked else None
