"""Cones, balls and skeins of a lot, and every time they lay on the scale."""

from decimal import Decimal
from typing import Self

from django.db import models
from django.db.models import OuterRef, Subquery
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from production.models.acts import Act, InkModel, InkQuerySet
from production.models.yarn import DyeLot


class StandingQuerySet(InkQuerySet):
    """Rows that hang on an act."""

    def standing(self) -> Self:
        """Keep rows whose act was not undone."""
        return self.filter(act__undone_by__isnull=True)


class PackageQuerySet(StandingQuerySet):
    """Questions about packages."""

    def with_last_weight(self) -> Self:
        """Annotate `last_gross_g`, what each showed when it last lay on the scale alone [g]."""
        last = PackageWeight.objects.standing().filter(package=OuterRef("pk")).order_by("-pk")
        return self.annotate(last_gross_g=Subquery(last.values("gross_g")[:1]))


class Package(InkModel):
    """One cone, ball or skein of a lot, received or wound off by its act."""

    act = models.ForeignKey(Act, on_delete=models.PROTECT, related_name="packages")
    lot = models.ForeignKey(DyeLot, on_delete=models.PROTECT, related_name="packages")
    number = models.PositiveSmallIntegerField(_("written on it"))
    has_core = models.BooleanField(_("wound on a cone or core"), default=True)

    objects = PackageQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["lot", "number"], name="packages_of_a_lot_have_their_own_numbers"
            ),
        ]

    def __str__(self) -> str:
        if self.has_core:
            return str(say("cone {number}", number=self.number))
        return str(say("ball {number}", number=self.number))


class PackageWeight(InkModel):
    """What the scale showed of one package by itself."""

    act = models.ForeignKey(Act, on_delete=models.PROTECT, related_name="package_weights")
    package = models.ForeignKey(Package, on_delete=models.PROTECT, related_name="weights")
    gross_g = models.DecimalField(_("what the scale showed [g]"), max_digits=9, decimal_places=1)

    objects = StandingQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["act", "package"], name="an_act_weighs_a_package_once"),
            models.CheckConstraint(
                condition=models.Q(gross_g__gte=0), name="a_package_never_weighs_less_than_0"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.package}: {self.gross_g} g"


class Weighing(InkModel):
    """A lot on the scale beside what the book said; booked, or only shown as damp or dry air."""

    act = models.OneToOneField(Act, on_delete=models.PROTECT, related_name="weighing")
    lot = models.ForeignKey(DyeLot, on_delete=models.PROTECT, related_name="weighings")
    net_g = models.DecimalField(_("yarn by the scale [g]"), max_digits=9, decimal_places=1)
    book_g = models.DecimalField(_("yarn by the book [g]"), max_digits=9, decimal_places=1)
    booked = models.BooleanField(default=True)

    objects = StandingQuerySet.as_manager()

    def __str__(self) -> str:
        return str(
            say(
                "{lot}: {net_g:mass} on the scale, {book_g:mass} in the book",
                lot=self.lot,
                net_g=self.net_g,
                book_g=self.book_g,
            )
        )

    @property
    def difference_g(self) -> Decimal:
        """More (+) or less (-) than the book said [g]."""
        return self.net_g - self.book_g
