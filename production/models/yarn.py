"""Yarns and their dye lots."""

from decimal import Decimal
from typing import Self

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Sum
from django.db.models.functions import Coalesce
from django.urls import reverse


class SpunIn(models.TextChoices):
    """Where the yarn was spun, as far as an origin line asks."""

    HOME = "home", "in the workshop's own country"
    ABROAD = "abroad", "imported"
    UNKNOWN = "unknown", "not known"


class Yarn(models.Model):
    """A yarn as its band describes it."""

    name = models.CharField(max_length=80)
    colour = models.CharField(max_length=60)
    content = models.JSONField("fibre content [%]", default=dict)
    count_text = models.CharField("count as written", max_length=60)
    tex = models.FloatField("count [tex]")
    price_minor = models.PositiveIntegerField("price of 100 g [minor units]", default=0)
    spun_in = models.CharField(max_length=7, choices=SpunIn.choices, default=SpunIn.UNKNOWN)
    care = models.CharField("key of a care set in production.core.care", max_length=20, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["name", "colour"], name="one_yarn_per_name_and_colour"),
            models.CheckConstraint(
                condition=models.Q(tex__gte=10, tex__lte=2000), name="yarn_between_10_and_2000_tex"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.colour}"


class DyeLotQuerySet(models.QuerySet["DyeLot"]):
    """Questions about dye lots."""

    def with_grams(self) -> Self:
        """Annotate `grams`, what the book says is on hand [g]."""
        return self.annotate(
            grams=Coalesce(Sum("moves__grams"), Decimal(0), output_field=models.DecimalField())
        )

    def with_yarn(self) -> Self:
        """Fetch the yarn beside each lot."""
        return self.select_related("yarn")


class DyeLot(models.Model):
    """Yarn of one colour from one vat. Both socks of a pair come from one lot."""

    yarn = models.ForeignKey(Yarn, on_delete=models.PROTECT, related_name="lots")
    code = models.CharField("lot number", max_length=40)
    tare_g = models.DecimalField(
        "empty cone or ball core [g]",
        max_digits=7,
        decimal_places=1,
        default=0,
        validators=[MinValueValidator(0)],
    )
    bought_on = models.DateField(null=True, blank=True)
    dark = models.BooleanField("dark or bright, may bleed in its first wash", default=False)

    objects = DyeLotQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["yarn", "code"], name="one_lot_per_yarn_and_code"),
            models.CheckConstraint(
                condition=models.Q(tare_g__gte=0), name="a_package_weighs_something"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.yarn}, lot {self.code}"

    def get_absolute_url(self) -> str:
        """The page of the lot."""
        return reverse("production:lot_detail", args=[self.pk])
