"""Cones, balls and skeins of a lot, weighed one by one and wound off."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction

from patterns.core.words import say
from production.errors import ProductionError
from production.models import Act, ActKind, DyeLot, Package, PackageWeight
from production.services.acts import Who, record, recorded
from production.services.yarn import Reading, book_weighing, grams_on_hand, new_packages

MOST_SHOWN = 60


@dataclass(frozen=True, slots=True)
class OnScale:
    """One package with what it showed last."""

    package: Package
    gross_g: Decimal | None
    tare_g: Decimal
    spread_g: Decimal

    @property
    def net_g(self) -> Decimal | None:
        """Yarn on it by its last weight [g]."""
        return None if self.gross_g is None else max(Decimal(0), self.gross_g - self.tare_g)

    @property
    def least_g(self) -> Decimal | None:
        """Yarn on it if the guessed tare is at its heaviest [g]."""
        return None if self.net_g is None else max(Decimal(0), self.net_g - self.spread_g)

    @property
    def most_g(self) -> Decimal | None:
        """Yarn on it if the guessed tare is at its lightest [g]."""
        return None if self.net_g is None else self.net_g + self.spread_g

    @property
    def is_empty(self) -> bool:
        """Whether it lay on the scale with nothing on it."""
        return self.net_g == 0


def packages_of(lot: DyeLot) -> list[OnScale]:
    """Return the packages of a lot by number, empty ones too."""
    rows = Package.objects.standing().filter(lot=lot).with_last_weight().order_by("number")
    return [_on_scale(row, lot) for row in rows[:MOST_SHOWN]]


def spread_of(packages: list[OnScale]) -> Decimal:
    """Return how far off the grams of a lot may be while its tare is a guess [g]."""
    return sum((one.spread_g for one in packages if not one.is_empty), Decimal(0))


def read_packages(*, lot: DyeLot, weights_g: Mapping[int, Decimal]) -> Reading:
    """Compare packages on the scale with the book before anything is booked.

    Args:
        lot: Whose packages they are.
        weights_g: Number of a package to what it showed [g]; the rest count as last weighed.

    Raises:
        ProductionError: If a package that is not named was never weighed by itself, none is
            named, or one weighs less than it does empty.
    """
    gross, tare = _together(packages_of(lot), weights_g)
    return Reading(net_g=gross - tare, book_g=grams_on_hand(lot))


@transaction.atomic
def weigh_packages(
    *,
    lot: DyeLot,
    weights_g: Mapping[int, Decimal],
    who: Who,
    note: str = "",
    moisture_stays: bool = False,
) -> Act:
    """Set the book right by packages weighed one by one.

    Raises:
        ProductionError: As for `read_packages`.
    """
    if done := recorded(who.key):
        return done
    packages = packages_of(lot)
    gross, tare = _together(packages, weights_g)
    act = record(ActKind.YARN_WEIGHED, who, note=note)
    for one in packages:
        shown = weights_g.get(one.package.number)
        if shown is not None:
            PackageWeight.objects.create(act=act, package=one.package, gross_g=shown)
    book_weighing(act, lot, gross_g=gross, tare_g=tare, moisture_stays=moisture_stays)
    return act


@transaction.atomic
def wind_off(*, lot: DyeLot, number: int, grams: Decimal, who: Who, note: str = "") -> Act:
    """Wind a ball without a core off a package. The lot keeps its grams.

    Raises:
        ProductionError: If there is no such package, it was never weighed by itself, or it has
            not that much on it.
    """
    if done := recorded(who.key):
        return done
    source = next((one for one in packages_of(lot) if one.package.number == number), None)
    if source is None:
        msg = say("{lot} has no package {number}.", lot=lot, number=number)
        raise ProductionError(msg, field="number")
    if source.net_g is None or source.gross_g is None:
        msg = say(
            "The {package} was never weighed by itself. Weigh it first.", package=source.package
        )
        raise ProductionError(msg, field="number")
    if not 0 < grams <= source.net_g:
        msg = say(
            "{grams:mass} cannot be wound off: {was:mass} were on it at the last weighing.",
            grams=grams,
            was=source.net_g,
        )
        raise ProductionError(msg, field="grams")
    act = record(ActKind.YARN_WOUND, who, note=note)
    [ball] = new_packages(act, lot, 1, has_core=False)
    PackageWeight.objects.create(act=act, package=source.package, gross_g=source.gross_g - grams)
    PackageWeight.objects.create(act=act, package=ball, gross_g=grams)
    return act


def _on_scale(row: Package, lot: DyeLot) -> OnScale:
    core = (lot.tare_g, lot.tare_spread_g) if row.has_core else (Decimal(0), Decimal(0))
    return OnScale(row, row.last_gross_g, *core)  # type: ignore[attr-defined]


def _together(packages: list[OnScale], weights_g: Mapping[int, Decimal]) -> tuple[Decimal, Decimal]:
    """Return gross and tare of all packages, those not on the scale as last weighed [g]."""
    if not weights_g:
        msg = say("No weight was given. Write what the scale showed beside at least one package.")
        raise ProductionError(msg)
    gross = tare = Decimal(0)
    for one in packages:
        shown = weights_g.get(one.package.number, one.gross_g)
        if shown is None:
            msg = say(
                "The {package} was never weighed by itself. Weigh it too this time.",
                package=one.package,
            )
            raise ProductionError(msg, field=f"weight_{one.package.number}")
        if shown < one.tare_g - one.spread_g:
            msg = say(
                "{shown:mass} is less than it weighs empty ({tare_g:mass}).",
                shown=shown,
                tare_g=one.tare_g,
            )
            raise ProductionError(msg, field=f"weight_{one.package.number}")
        gross, tare = gross + shown, tare + min(one.tare_g, shown)
    return gross, tare
