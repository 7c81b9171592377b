"""Strings, and every single sock with its one place."""

from typing import Self

from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from patterns.core.sections import section_title
from patterns.core.words import say
from patterns.models import PatternVersion
from production.core.places import IN_WORK, SOCK_PLACE_NAMES, SockPlace
from production.models.acts import SOCK_PLACES, Act
from production.models.yarn import DyeLot

OPENING_STRING = 0  # stands for all that was knitted before the book began


class Quality(models.TextChoices):
    """How good a sock or a pair is."""

    FIRST = "first", _("first")
    SECOND = "second", _("second")
    SCRAP = "scrap", _("scrap")


class YarnRole(models.TextChoices):
    """What a yarn does in the sock; the label rules ask."""

    BASE = "base", _("leg and foot")
    SECTION = "section", _("a whole section")
    ADDED = "added", _("added strand")
    ELASTIC = "elastic", _("elastic")
    ORNAMENT = "ornament", _("ornament")


class String(models.Model):
    """Socks knitted one after another, waste yarn between."""

    number = models.PositiveIntegerField(unique=True)
    act = models.OneToOneField(Act, on_delete=models.PROTECT, related_name="string")

    def __str__(self) -> str:
        if self.number == OPENING_STRING:
            return str(say("Opening stock"))
        return str(say("String {number}", number=self.number))

    def get_absolute_url(self) -> str:
        """The page of the string."""
        return reverse("production:string_detail", args=[self.number])


class StringRun(models.Model):
    """Neighbouring socks of one string that are alike: one version, one lot."""

    string = models.ForeignKey(String, on_delete=models.PROTECT, related_name="runs")
    first_position = models.PositiveSmallIntegerField()
    count = models.PositiveSmallIntegerField()
    version = models.ForeignKey(PatternVersion, on_delete=models.PROTECT, related_name="+")
    resumed_by = models.ForeignKey(
        Act,
        verbose_name=_("the later act that added it to a string still on the machine"),
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="resumed_runs",
    )
    goes_on = models.BooleanField(_("the string stayed on the machine after it"), default=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["string", "first_position"], name="runs_of_a_string_start_apart"
            ),
            models.CheckConstraint(condition=Q(count__gte=1), name="a_run_holds_a_sock"),
        ]
        # Few of all runs: what is still on the machine is asked on every page of the bench.
        indexes = [
            models.Index(fields=["string"], condition=Q(goes_on=True), name="run_on_machine")
        ]

    def __str__(self) -> str:
        return str(
            say(
                "{string}: {count} from {first_position}",
                string=self.string,
                count=self.count,
                first_position=self.first_position,
            )
        )


class RunYarn(models.Model):
    """Which lot went into each sock of a run, as what, and how many grams."""

    run = models.ForeignKey(StringRun, on_delete=models.PROTECT, related_name="yarns")
    lot = models.ForeignKey(DyeLot, on_delete=models.PROTECT, related_name="uses")
    role = models.CharField(max_length=8, choices=YarnRole.choices, default=YarnRole.BASE)
    place = models.CharField(_("where in the sock"), max_length=40, blank=True)
    grams = models.FloatField(_("planned for one sock [g]"))

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(grams__gt=0), name="yarn_in_a_sock_weighs_something"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.grams:g} g {self.lot} ({self.role})"

    @property
    def place_name(self) -> str:
        """Where in the sock, in words; without a place what the yarn does."""
        return section_title(self.place) if self.place else self.get_role_display()


class SockQuerySet(models.QuerySet["Sock"]):
    """Questions the bench asks about socks."""

    def in_work(self) -> Self:
        """Keep socks that wait in some basket."""
        return self.filter(place__in=IN_WORK)

    def waiting(self, place: SockPlace) -> Self:
        """Keep socks of one basket, the longest waiting first."""
        return self.filter(place=place).order_by("since", "string__number", "position")

    def with_kind(self) -> Self:
        """Fetch what names a sock: string, pattern, lot."""
        return self.select_related("string", "version__pattern__design", "lot__yarn", "pair")


class Sock(models.Model):
    """One piece. `place`, `pair` and the noted figures repeat what the acts say."""

    string = models.ForeignKey(String, on_delete=models.PROTECT, related_name="socks")
    position = models.PositiveSmallIntegerField()
    run = models.ForeignKey(StringRun, on_delete=models.PROTECT, related_name="socks")
    version = models.ForeignKey(PatternVersion, on_delete=models.PROTECT, related_name="socks")
    lot = models.ForeignKey(DyeLot, on_delete=models.PROTECT, related_name="socks")
    place = models.CharField(max_length=8, choices=SOCK_PLACES)
    since = models.DateTimeField(_("in this place since"))
    pair = models.ForeignKey(
        "production.Pair", on_delete=models.PROTECT, null=True, blank=True, related_name="socks"
    )
    side = models.PositiveSmallIntegerField(_("first or second of the pair"), null=True, blank=True)
    quality = models.CharField(max_length=6, choices=Quality.choices, default=Quality.FIRST)
    fault = models.CharField(max_length=120, blank=True)
    foot_mm = models.PositiveSmallIntegerField(_("measured foot [mm]"), null=True, blank=True)
    leg_mm = models.PositiveSmallIntegerField(_("measured leg [mm]"), null=True, blank=True)

    objects = SockQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["string", "position"], name="one_sock_per_position_of_a_string"
            ),
            models.UniqueConstraint(fields=["pair", "side"], name="two_sides_to_a_pair"),
            models.CheckConstraint(
                condition=Q(pair__isnull=True, side__isnull=True)
                | Q(pair__isnull=False, side__in=[1, 2]),
                name="a_pair_is_two_socks",
            ),
            models.CheckConstraint(
                condition=Q(place="in_pair", pair__isnull=False)
                | (~Q(place="in_pair") & Q(pair__isnull=True)),
                name="a_sock_is_in_a_pair_or_in_a_basket",
            ),
            models.CheckConstraint(
                condition=Q(place__in=[place.value for place in SockPlace]),
                name="a_sock_is_in_a_known_place",
            ),
        ]
        indexes = [models.Index(fields=["place", "since"], name="sock_basket")]

    def __str__(self) -> str:
        return self.number

    def get_absolute_url(self) -> str:
        """The story of the sock."""
        return reverse("production:sock_detail", args=[self.string.number, self.position])

    @property
    def number(self) -> str:
        """The sock's own number, e.g. `212-03`."""
        return f"{self.string.number}-{self.position:02d}"

    @property
    def place_name(self) -> str:
        """Where it is, in words."""
        return SOCK_PLACE_NAMES[SockPlace(self.place)]
