"""What happened at the stall: sales, requests, counts and what needs sorting out."""

from typing import Self

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from patterns.models import Pattern
from production.models import Act, Pair, Quality, Yarn
from production.models.acts import InkModel
from sales.models.markets import MarketDay


class Payment(models.TextChoices):
    """How a buyer paid."""

    CASH = "cash", _("cash")
    CARD = "card", _("card")
    OTHER = "other", _("other")


class SaleQuerySet(models.QuerySet["Sale"]):
    """Questions about sales."""

    def standing(self) -> Self:
        """Keep sales that were not undone."""
        return self.filter(act__undone_by__isnull=True)


class Sale(models.Model):
    """One buyer's purchase."""

    act = models.OneToOneField(Act, on_delete=models.PROTECT, related_name="+")
    day = models.ForeignKey(
        MarketDay, on_delete=models.PROTECT, null=True, blank=True, related_name="sales"
    )
    paid_by = models.CharField(max_length=5, choices=Payment.choices)
    timed = models.BooleanField(_("recorded as it happened"), default=True)
    total_minor = models.PositiveIntegerField(_("taken, tax inside"))
    tax_minor = models.PositiveIntegerField(_("tax inside the total"), default=0)
    tax_included = models.BooleanField(_("line prices include the tax"), default=True)

    objects = SaleQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(tax_minor__lte=F("total_minor")), name="tax_is_part_of_the_total"
            ),
        ]

    def __str__(self) -> str:
        return say("sale of {total_minor}", total_minor=self.total_minor)


class SaleLine(models.Model):
    """One pair of a sale.

    Without `pair` the book could not tell which; `claimed` is what was said at the stall.
    `holds` turns false when the sale is undone or the pair is brought back, so that the
    database lets the pair be sold again, and never twice before.
    """

    sale = models.ForeignKey(Sale, on_delete=models.PROTECT, related_name="lines")
    pair = models.ForeignKey(
        Pair, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    pattern = models.ForeignKey(
        Pattern, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    quality = models.CharField(max_length=6, choices=Quality.choices, default=Quality.FIRST)
    claimed = models.CharField(max_length=40, blank=True)
    list_minor = models.PositiveIntegerField(_("price on the tag"), null=True, blank=True)
    price_minor = models.PositiveIntegerField(_("price taken"))
    reason = models.CharField(_("why another price"), max_length=120, blank=True)
    holds = models.BooleanField(default=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["pair"],
                condition=Q(holds=True, pair__isnull=False),
                name="a_pair_is_sold_once_unless_returned",
            ),
            models.CheckConstraint(
                condition=Q(price_minor__gte=0), name="a_line_is_never_below_nothing"
            ),
        ]
        indexes = [models.Index(fields=["pattern", "sale"], name="line_by_kind")]

    def __str__(self) -> str:
        return say(
            "{figure} for {price_minor}",
            figure=self.claimed or self.pair,
            price_minor=self.price_minor,
        )


class TakenBack(InkModel):
    """A pair that a buyer brought back, and what was paid out.

    Without `line` the book knows no sale of it; `claimed` is the number that was read. The
    money is out of the tin all the same.
    """

    act = models.OneToOneField(Act, on_delete=models.PROTECT, related_name="+")
    line = models.ForeignKey(
        SaleLine, on_delete=models.PROTECT, null=True, blank=True, related_name="returns"
    )
    claimed = models.CharField(max_length=40, blank=True)
    day = models.ForeignKey(
        MarketDay, on_delete=models.PROTECT, null=True, blank=True, related_name="taken_back"
    )
    refund_minor = models.PositiveIntegerField()
    paid_by = models.CharField(max_length=5, choices=Payment.choices)

    def __str__(self) -> str:
        return say(
            "{figure} back for {refund_minor}",
            figure=self.line or self.claimed,
            refund_minor=self.refund_minor,
        )


class Ask(InkModel):
    """A request that the table could not meet."""

    act = models.OneToOneField(Act, on_delete=models.PROTECT, related_name="+")
    day = models.ForeignKey(MarketDay, on_delete=models.PROTECT, related_name="asks")
    pattern = models.ForeignKey(
        Pattern, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    yarn = models.ForeignKey(
        Yarn, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    words = models.CharField(_("in the buyer's words"), max_length=120, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(pattern__isnull=False) | ~Q(words=""), name="an_ask_asks_for_something"
            ),
        ]

    def __str__(self) -> str:
        if self.words or self.yarn is None:
            return self.words or str(self.pattern)
        return str(
            say("{kind} in {colour}", kind=self.pattern, colour=self.yarn.colour or self.yarn)
        )


class CountLine(InkModel):
    """One kind at a count: what the book expected and what was there."""

    act = models.ForeignKey(Act, on_delete=models.PROTECT, related_name="+")
    pattern = models.ForeignKey(Pattern, on_delete=models.PROTECT, related_name="+")
    quality = models.CharField(max_length=6, choices=Quality.choices)
    expected = models.PositiveSmallIntegerField()
    counted = models.PositiveSmallIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["act", "pattern", "quality"], name="a_count_names_a_kind_once"
            ),
        ]

    def __str__(self) -> str:
        return str(
            say(
                "{kind} {quality}: {counted} of {expected}",
                kind=self.pattern,
                quality=self.get_quality_display(),
                counted=self.counted,
                expected=self.expected,
            )
        )


class CountSeen(InkModel):
    """A pair whose number was read at a count."""

    act = models.ForeignKey(Act, on_delete=models.PROTECT, related_name="+")
    pair = models.ForeignKey(Pair, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["act", "pair"], name="a_count_sees_a_pair_once"),
        ]

    def __str__(self) -> str:
        return f"{self.pair} at {self.act}"


class SortOut(models.Model):
    """A disagreement between the stall and the book, kept until a person settles it."""

    class Kind(models.TextChoices):
        """What disagreed."""

        SOLD_TWICE = "twice", _("sold twice")
        NOT_PACKED = "unpacked", _("sold but not packed")
        UNKNOWN = "unknown", _("number not in the book")
        NONE_LEFT = "none", _("none of this kind was left")
        BACK = "back", _("brought back, not as the book has it")
        DAY = "day", _("sold on a day that was not open")

    act = models.ForeignKey(Act, on_delete=models.PROTECT, related_name="+")
    line = models.ForeignKey(
        SaleLine, on_delete=models.PROTECT, null=True, blank=True, related_name="to_sort_out"
    )
    kind = models.CharField(max_length=8, choices=Kind.choices)
    story = models.CharField(max_length=300)
    settled_by = models.ForeignKey(
        Act, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    def __str__(self) -> str:
        return self.story
