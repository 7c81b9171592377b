"""Places to sell and the dated days there."""

import datetime as dt
from decimal import Decimal
from typing import Self

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from patterns.models import Design
from production.models import Act
from production.models.acts import InkModel


class TaxFigures(models.Model):
    """What is taxed at a market and how. Typed by her; no rate is built in."""

    tax_percent = models.DecimalField(
        _("sales tax there [%]"),
        max_digits=6,
        decimal_places=3,
        default=0,
        validators=[MinValueValidator(0), MaxValueValidator(50)],
    )
    socks_taxed = models.BooleanField(_("socks are taxed there"), default=True)
    tax_included = models.BooleanField(_("prices include the tax"), default=True)

    class Meta:
        abstract = True

    @property
    def percent_on_socks(self) -> Decimal:
        """What is due on a pair of socks [%]."""
        return self.tax_percent if self.socks_taxed else Decimal(0)


class Market(TaxFigures):
    """A place that recurs, or a fair. Its tax figures hold until the first dated rule."""

    name = models.CharField(max_length=80, unique=True)
    place = models.CharField(max_length=120, blank=True)
    opens = models.TimeField(default=dt.time(9))
    closes = models.TimeField(default=dt.time(14))
    fee_minor = models.PositiveIntegerField(_("fee of a day"), default=0)
    factor = models.FloatField(
        _("how busy against a normal day"), default=1.0, validators=[MinValueValidator(0.05)]
    )
    places_on_table = models.PositiveSmallIntegerField(_("pairs the table holds"), default=60)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(tax_percent__gte=0, tax_percent__lte=50),
                name="a_tax_is_0_to_50_percent",
            ),
            models.CheckConstraint(
                condition=Q(opens__lt=F("closes")), name="a_market_opens_before_it_closes"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class TaxRule(TaxFigures):
    """Another tax at a market from a date on. What was sold before keeps its own."""

    market = models.ForeignKey(Market, on_delete=models.PROTECT, related_name="tax_rules")
    since = models.DateField(_("holds from"))

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["market", "since"], name="one_tax_rule_a_date"),
            models.CheckConstraint(
                condition=Q(tax_percent__gte=0, tax_percent__lte=50),
                name="a_later_tax_is_0_to_50_percent",
            ),
        ]

    def __str__(self) -> str:
        return say(
            "{market}: {tax_percent} % from {since}",
            market=self.market,
            tax_percent=self.tax_percent,
            since=self.since,
        )


class DayState(models.TextChoices):
    """How far a market day has come."""

    PLANNED = "planned", _("planned")
    OPEN = "open", _("open")
    CLOSED = "closed", _("closed")
    CANCELLED = "off", _("cancelled")


class MarketDayQuerySet(models.QuerySet["MarketDay"]):
    """Questions about market days."""

    def upcoming(self) -> Self:
        """Keep days that are planned or open, the nearest first."""
        return self.filter(state__in=[DayState.PLANNED, DayState.OPEN]).order_by("date", "pk")

    def with_market(self) -> Self:
        """Fetch the market beside each day."""
        return self.select_related("market")


class MarketDay(models.Model):
    """One dated day at a market."""

    market = models.ForeignKey(Market, on_delete=models.PROTECT, related_name="days")
    date = models.DateField(db_index=True)
    opens = models.TimeField()
    closes = models.TimeField()
    factor = models.FloatField(_("how busy it was expected"), default=1.0)
    state = models.CharField(max_length=7, choices=DayState.choices, default=DayState.PLANNED)
    float_minor = models.PositiveIntegerField(_("money in the tin at the start"), default=0)
    fee_minor = models.PositiveIntegerField(_("fee of the day"), default=0)
    tax_percent = models.DecimalField(
        _("tax on socks that day [%]"), max_digits=6, decimal_places=3, default=0
    )
    tax_included = models.BooleanField(_("prices include the tax"), default=True)
    tax_per_line = models.BooleanField(_("tax is rounded on each line"), default=False)
    requests_noted = models.BooleanField(_("what was asked for was noted"), default=True)
    weather = models.CharField(max_length=60, blank=True)
    note = models.CharField(max_length=300, blank=True)

    objects = MarketDayQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["market", "date"], name="one_day_a_date_at_a_market"),
            models.CheckConstraint(
                condition=Q(opens__lt=F("closes")), name="a_day_opens_before_it_closes"
            ),
            models.CheckConstraint(condition=Q(factor__gt=0), name="a_day_has_some_buyers"),
            models.CheckConstraint(
                condition=Q(tax_percent__gte=0, tax_percent__lte=50),
                name="a_day_is_taxed_0_to_50_percent",
            ),
        ]

    def __str__(self) -> str:
        return str(say("{market}, {date:dated}", market=self.market, date=self.date))

    def get_absolute_url(self) -> str:
        """The page of the day."""
        return reverse("sales:day_detail", args=[self.pk])

    def share_of_day(self, moment: dt.datetime) -> float | None:
        """Return how much of the opening hours had passed at a moment, 0 to 1.

        None outside the hours: a sale typed in at home says nothing about the time of day.
        """
        local = timezone.localtime(moment)
        if local.date() != self.date:
            return None
        start, end = _minutes(self.opens), _minutes(self.closes)
        share = (_minutes(local.time()) - start) / (end - start)
        return share if 0 <= share <= 1 else None


class DayAct(InkModel):
    """An act that belongs to a market day."""

    act = models.OneToOneField(Act, on_delete=models.PROTECT, related_name="+")
    day = models.ForeignKey(MarketDay, on_delete=models.PROTECT, related_name="day_acts")

    def __str__(self) -> str:
        return f"{self.act_id} at {self.day_id}"


class CashCount(InkModel):
    """What was in the tin when it was counted, against what the book expected."""

    act = models.OneToOneField(Act, on_delete=models.PROTECT, related_name="+")
    day = models.ForeignKey(MarketDay, on_delete=models.PROTECT, related_name="cash_counts")
    counted_minor = models.PositiveIntegerField()
    expected_minor = models.IntegerField()
    card_counted_minor = models.PositiveIntegerField(_("by the card reader"), null=True, blank=True)
    card_expected_minor = models.IntegerField(null=True, blank=True)

    def __str__(self) -> str:
        return say(
            "{counted_minor} counted, {expected_minor} expected",
            counted_minor=self.counted_minor,
            expected_minor=self.expected_minor,
        )


class CountCure(InkModel):
    """What became of a difference between the count at closing and the book."""

    class How(models.TextChoices):
        """What it was."""

        SOLD = "sold", _("sold, not noted")
        LOST = "lost", _("lost")
        FOUND = "here", _("on the table without being packed")
        SLIP = "slip", _("of a purchase that was a slip")

    act = models.OneToOneField(Act, on_delete=models.PROTECT, related_name="+")
    line = models.ForeignKey("sales.CountLine", on_delete=models.PROTECT, related_name="cures")
    how = models.CharField(max_length=4, choices=How.choices)
    pairs = models.PositiveSmallIntegerField()

    def __str__(self) -> str:
        return f"{self.pairs} {self.how}"

    @property
    def settles(self) -> int:
        """Pairs of the gap it settles; below nothing where too many were counted [pairs]."""
        too_many = self.how in (self.How.FOUND, self.How.SLIP)
        return -self.pairs if too_many else self.pairs


class Change(InkModel):
    """A change that moves neither socks nor money: who, when, what, in words."""

    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    words = models.CharField(max_length=300)
    market = models.ForeignKey(
        Market, on_delete=models.PROTECT, null=True, blank=True, related_name="changes"
    )
    day = models.ForeignKey(
        MarketDay, on_delete=models.PROTECT, null=True, blank=True, related_name="changes"
    )
    order = models.ForeignKey(
        "sales.Order", on_delete=models.PROTECT, null=True, blank=True, related_name="changes"
    )

    def __str__(self) -> str:
        return self.words


class DesignSeason(models.Model):
    """The last day on which a design sells, for kinds that end before the season does."""

    design = models.OneToOneField(Design, on_delete=models.PROTECT, related_name="+")
    ends_on = models.DateField(_("sells until"))

    def __str__(self) -> str:
        return say("{design} until {ends_on}", design=self.design, ends_on=self.ends_on)


def _minutes(time: dt.time) -> float:
    return time.hour * 60 + time.minute + time.second / 60
