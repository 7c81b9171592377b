"""Yarns and their dye lots."""

from typing import Self

from django.core.validators import MinValueValidator
from django.db import models
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from production.core.care import PRESET_NAMES, PRESETS, CareSet


class SpunIn(models.TextChoices):
    """Where the yarn was spun, as far as an origin line asks."""

    HOME = "home", _("in the workshop's own country")
    ABROAD = "abroad", _("imported")
    UNKNOWN = "unknown", _("not known")


class PriceUnit(models.TextChoices):
    """The weight a price was given for."""

    HUNDRED = "100g", "100 g"
    FIFTY = "50g", "50 g"
    KILO = "kg", _("1 kg")
    OUNCE = "oz", _("1 oz")
    POUND = "lb", _("1 lb")

    @property
    def grams(self) -> float:
        """The weight [g]; a pound is 453.59237 g by its definition of 1959."""
        return {"100g": 100, "50g": 50, "kg": 1000, "oz": 453.59237 / 16, "lb": 453.59237}[self]


class Yarn(models.Model):
    """A yarn as its band describes it."""

    name = models.CharField(max_length=80)
    colour = models.CharField(max_length=60)
    content = models.JSONField(_("fibre content [%]"), default=dict)
    count_text = models.CharField(_("count as written"), max_length=60)
    tex = models.FloatField(_("count [tex]"))
    price_minor = models.PositiveIntegerField(_("price of 100 g [minor units]"), default=0)
    price_said_minor = models.PositiveIntegerField(
        _("price as she gave it [minor units]"), null=True, blank=True
    )
    price_unit = models.CharField(
        _("for which weight"), max_length=4, choices=PriceUnit.choices, default=PriceUnit.HUNDRED
    )
    spun_in = models.CharField(max_length=7, choices=SpunIn.choices, default=SpunIn.UNKNOWN)
    care = models.CharField(
        _("key of a care set in production.core.care"), max_length=20, blank=True
    )
    care_choices = models.JSONField(
        _("the choices of a care set of her own"), null=True, blank=True
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["name", "colour"], name="one_yarn_per_name_and_colour"),
            models.CheckConstraint(
                condition=models.Q(tex__gte=10, tex__lte=2000), name="yarn_between_10_and_2000_tex"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.colour}"

    @property
    def care_set(self) -> CareSet | None:
        """Her own care set, else the preset of that name, else None while nobody chose one."""
        if self.care_choices:
            return CareSet(
                **{**self.care_choices, "warnings": tuple(self.care_choices["warnings"])}
            )
        return PRESETS.get(self.care)

    @property
    def care_name(self) -> str:
        """What its care is called on a page."""
        return PRESET_NAMES.get(self.care, self.care)

    @property
    def care_lacks_basis(self) -> bool:
        """Whether its care is a starting point, which rests on nobody's band or washed sample."""
        return not self.care_choices and self.care in PRESETS

    @property
    def price_as_given_minor(self) -> int:
        """The price for the weight it was given for [minor units]."""
        return self.price_minor if self.price_said_minor is None else self.price_said_minor


class DyeLotQuerySet(models.QuerySet["DyeLot"]):
    """Questions about dye lots."""

    def with_yarn(self) -> Self:
        """Fetch the yarn beside each lot."""
        return self.select_related("yarn")


class DyeLot(models.Model):
    """Yarn of one colour from one vat. Both socks of a pair come from one lot.

    `grams` repeats what its yarn moves add up to; nobody types it.
    """

    yarn = models.ForeignKey(Yarn, on_delete=models.PROTECT, related_name="lots")
    code = models.CharField(_("lot number"), max_length=40)
    tare_g = models.DecimalField(
        _("empty cone or ball core [g]"),
        max_digits=7,
        decimal_places=1,
        default=0,
        validators=[MinValueValidator(0)],
    )
    tare_spread_g = models.DecimalField(
        _("how far off a guessed empty weight may be [g]"),
        max_digits=7,
        decimal_places=1,
        default=0,
        validators=[MinValueValidator(0)],
    )
    bought_on = models.DateField(null=True, blank=True)
    dark = models.BooleanField(_("dark or bright, may bleed in its first wash"), default=False)
    grams = models.DecimalField(
        _("on hand, the sum of its moves [g]"), max_digits=9, decimal_places=1, default=0
    )

    objects = DyeLotQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["yarn", "code"], name="one_lot_per_yarn_and_code"),
            models.CheckConstraint(
                condition=models.Q(tare_g__gte=0), name="a_package_weighs_something"
            ),
            models.CheckConstraint(
                condition=models.Q(tare_spread_g__gte=0), name="a_guess_is_off_by_0_or_more"
            ),
        ]

    def __str__(self) -> str:
        return str(say("{yarn}, lot {code}", yarn=self.yarn, code=self.code))

    def get_absolute_url(self) -> str:
        """The page of the lot."""
        return reverse("production:lot_detail", args=[self.pk])
