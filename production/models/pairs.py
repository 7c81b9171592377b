"""Pairs, their prices and the tags printed for them."""

from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from patterns.models import Pattern, PatternVersion
from production.core.places import PAIR_PLACE_NAMES, PairPlace
from production.models.acts import PAIR_PLACES, Act
from production.models.socks import Quality
from production.models.yarn import DyeLot


class PairQuerySet(models.QuerySet["Pair"]):
    """Questions about finished pairs."""

    def on_shelf(self) -> Self:
        """Keep pairs that are at home, tagged."""
        return self.filter(place=PairPlace.SHELF)

    def in_stall_box(self) -> Self:
        """Keep pairs that are packed for a market day."""
        return self.filter(place=PairPlace.STALL)

    def to_tag(self) -> Self:
        """Keep pairs that wait for a tag, oldest first."""
        return self.filter(place=PairPlace.TO_TAG).order_by("number")

    def with_kind(self) -> Self:
        """Fetch what names a pair: pattern, design, yarn."""
        return self.select_related("version__pattern__design", "lot__yarn")


class Pair(models.Model):
    """Two mated socks under one short number."""

    number = models.PositiveIntegerField(unique=True)
    version = models.ForeignKey(PatternVersion, on_delete=models.PROTECT, related_name="pairs")
    pattern = models.ForeignKey(Pattern, on_delete=models.PROTECT, related_name="pairs")
    lot = models.ForeignKey(DyeLot, on_delete=models.PROTECT, related_name="pairs")
    quality = models.CharField(
        max_length=6,
        choices=[c for c in Quality.choices if c[0] != Quality.SCRAP],
        default=Quality.FIRST,
    )
    place = models.CharField(max_length=8, choices=PAIR_PLACES)
    since = models.DateTimeField(_("in this place since"))
    price_minor = models.PositiveIntegerField(_("price on its tag"), null=True, blank=True)

    objects = PairQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(place__in=[place.value for place in PairPlace]),
                name="a_pair_is_in_a_known_place",
            ),
            models.CheckConstraint(
                condition=Q(price_minor__isnull=True) | Q(price_minor__gte=0),
                name="a_price_is_never_negative",
            ),
        ]
        indexes = [models.Index(fields=["place", "pattern"], name="pair_place_kind")]

    def __str__(self) -> str:
        return self.label

    def get_absolute_url(self) -> str:
        """The story of the pair."""
        return reverse("production:pair_detail", args=[self.number])

    @property
    def label(self) -> str:
        """The number as it stands on the tag, e.g. `P1042`."""
        return f"P{self.number}"

    @property
    def place_name(self) -> str:
        """Where it is, in words."""
        return PAIR_PLACE_NAMES[PairPlace(self.place)]


class Price(models.Model):
    """What a pattern costs from a day on; the newest row holds, the older are its history."""

    pattern = models.ForeignKey(Pattern, on_delete=models.PROTECT, related_name="prices")
    first_minor = models.PositiveIntegerField(_("price of a first"))
    second_minor = models.PositiveIntegerField(_("price of a second"))
    since = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(first_minor__gte=0, second_minor__gte=0),
                name="prices_are_never_negative",
            ),
        ]
        indexes = [models.Index(fields=["pattern", "-since", "-id"], name="newest_price_first")]

    def __str__(self) -> str:
        return f"{self.pattern}: {self.first_minor} / {self.second_minor}"

    def of_quality(self, quality: str) -> int:
        """Return the price of a pair of this quality [minor units]."""
        return self.first_minor if quality == Quality.FIRST else self.second_minor


class Fold(models.TextChoices):
    """How a label is folded before it hangs on a sock."""

    NONE = "", _("not folded")
    BOOK = "book", _("like a book: the fold runs from top to bottom")
    TENT = "tent", _("like a tent: the fold runs from side to side")


class TagSheet(models.Model):
    """A label sheet she measured: where its labels sit on the page."""

    name = models.CharField(max_length=60, unique=True)
    page_width_mm = models.FloatField()
    page_height_mm = models.FloatField()
    columns = models.PositiveSmallIntegerField()
    rows = models.PositiveSmallIntegerField()
    margin_left_mm = models.FloatField()
    margin_top_mm = models.FloatField()
    label_width_mm = models.FloatField()
    label_height_mm = models.FloatField()
    gap_x_mm = models.FloatField(default=0)
    gap_y_mm = models.FloatField(default=0)
    corner_mm = models.FloatField(_("radius of its corners"), default=0)
    hole_mm = models.FloatField(_("width of its hole"), default=0)
    hole_x_mm = models.FloatField(_("label edge to the middle of the hole, left"), default=0)
    hole_y_mm = models.FloatField(_("label edge to the middle of the hole, top"), default=0)
    fold = models.CharField(max_length=5, choices=Fold.choices, default=Fold.NONE, blank=True)

    def __str__(self) -> str:
        return self.name


class TagText(models.Model):
    """The words of one printed tag, kept as printed."""

    act = models.ForeignKey(Act, on_delete=models.PROTECT, related_name="tag_texts")
    pair = models.ForeignKey(Pair, on_delete=models.PROTECT, related_name="tag_texts")
    text = models.JSONField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["act", "pair"], name="an_act_tags_a_pair_once"),
        ]

    def __str__(self) -> str:
        return str(say("tag of {pair}", pair=self.pair))
