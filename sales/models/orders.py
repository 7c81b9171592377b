"""Socks made to measure for a named customer."""

from typing import Self

from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from patterns.models import PatternVersion
from production.models import Act, DyeLot, Pair, StringRun
from production.models.acts import InkModel
from sales.models.markets import MarketDay
from sales.models.stall import Payment, Sale


class OrderState(models.TextChoices):
    """How far an order has come."""

    OPEN = "open", _("to make")
    READY = "ready", _("ready to hand over")
    HANDED_OVER = "done", _("handed over")
    CANCELLED = "off", _("cancelled")


class OrderQuerySet(models.QuerySet["Order"]):
    """Questions about orders."""

    def due(self) -> Self:
        """Keep orders that are not handed over, the nearest promise first."""
        return self.filter(state__in=[OrderState.OPEN, OrderState.READY]).order_by(
            "promised_on", "pk"
        )

    def listed(self, *more: str) -> Self:
        """Read of an order, its pair and `more` what one line of a list says, and no more."""
        fields = ("customer", "wish", "promised_on", "state", "pair__number", *more)
        beside = {path.rpartition("__")[0] for path in fields if "__" in path}
        return self.select_related(*sorted(beside)).only(*fields)


class Order(models.Model):
    """A pair asked for by somebody, with a promised date and a deposit."""

    customer = models.CharField(max_length=80)
    contact = models.CharField(max_length=120, blank=True)
    wish = models.CharField(_("foot, size and colour in words"), max_length=200)
    foot_length_mm = models.FloatField(_("foot [mm]"), null=True, blank=True)
    shoe = models.CharField(_("shoe size as said"), max_length=40, blank=True)
    version = models.ForeignKey(
        PatternVersion, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    lot = models.ForeignKey(
        DyeLot, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    yarn_g = models.FloatField(_("yarn kept back for it [g]"), null=True, blank=True)
    run = models.ForeignKey(
        StringRun, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    taken_on = models.DateField()
    promised_on = models.DateField()
    price_minor = models.PositiveIntegerField()
    deposit_minor = models.PositiveIntegerField(_("paid so far"), default=0)
    key = models.UUIDField(_("sender's own id"), null=True, blank=True, unique=True, editable=False)
    state = models.CharField(max_length=5, choices=OrderState.choices, default=OrderState.OPEN)
    pair = models.OneToOneField(
        Pair, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    objects = OrderQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(promised_on__gte=F("taken_on")), name="a_promise_lies_ahead"
            ),
            models.CheckConstraint(
                condition=Q(deposit_minor__lte=F("price_minor")),
                name="a_deposit_is_part_of_the_price",
            ),
            models.CheckConstraint(
                condition=Q(yarn_g__isnull=True) | Q(yarn_g__gt=0),
                name="yarn_kept_back_weighs_something",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.customer}: {self.wish}"

    def get_absolute_url(self) -> str:
        """The page of the order."""
        return reverse("sales:order_detail", args=[self.pk])

    @property
    def state_name(self) -> Promise:
        """How far it has come, in words."""
        return OrderState(self.state).label

    @property
    def balance_minor(self) -> int:
        """What is still to pay at hand-over."""
        return self.price_minor - self.deposit_minor


class Deposit(InkModel):
    """Money taken for an order before it is handed over; below nothing it was paid back."""

    act = models.OneToOneField(Act, on_delete=models.PROTECT, related_name="+")
    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="deposits")
    day = models.ForeignKey(
        MarketDay, on_delete=models.PROTECT, null=True, blank=True, related_name="deposits"
    )
    amount_minor = models.IntegerField()
    paid_by = models.CharField(max_length=5, choices=Payment.choices)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(amount_minor=0), name="a_deposit_is_some_money"),
        ]

    def __str__(self) -> str:
        return say(
            "{amount_minor} for order {order_id}",
            amount_minor=self.amount_minor,
            order_id=self.order_id,
        )


class HandOver(InkModel):
    """The sale that ended an order, and how much of it had been paid before."""

    class How(models.TextChoices):
        """How the pair reached the customer."""

        STALL = "stall", _("at the stall")
        POST = "post", _("posted")
        HOME = "home", _("fetched from the workshop")

    sale = models.OneToOneField(Sale, on_delete=models.PROTECT, related_name="hand_over")
    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="hand_overs")
    deposit_minor = models.PositiveIntegerField(_("paid before"), default=0)
    how = models.CharField(max_length=5, choices=How.choices)
    tax_percent = models.DecimalField(
        _("tax inside the price, typed away from a market [%]"),
        max_digits=6,
        decimal_places=3,
        null=True,
        blank=True,
    )

    def __str__(self) -> str:
        return say("order {order_id} {how}", order_id=self.order_id, how=self.get_how_display())
