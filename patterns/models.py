"""Cylinders, swatches, designs, patterns and their versions."""

from typing import Any, Self

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from patterns.core.gauge import Gauge, loop_from_round_cm, loop_length_cm
from patterns.core.notices import Notice, notice_kept
from patterns.core.sections import section_title
from patterns.core.words import say


class Cylinder(models.Model):
    """A needle bed she owns."""

    needles = models.PositiveSmallIntegerField(unique=True)
    diameter_mm = models.FloatField(_("diameter [mm]"), null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(needles__gte=12, needles__lte=200),
                name="a_cylinder_has_12_to_200_needles",
            ),
        ]

    def __str__(self) -> str:
        return say("{needles} needles", needles=self.needles)


class GaugeState(models.TextChoices):
    """Whether a swatch was measured before or after washing; never mixed."""

    WASHED = "washed", _("washed and dried")
    RAW = "raw", _("raw, off the machine")


class Fabric(models.TextChoices):
    """What a swatch is knitted in; rib has a gauge of its own."""

    PLAIN = "plain", _("plain")
    MOCK_RIB = "mock_rib", _("mock rib, every third needle out")
    RIB_1_1 = "rib_1_1", _("rib 1 x 1")
    RIB_2_1 = "rib_2_1", _("rib 2 x 1")
    RIB_3_1 = "rib_3_1", _("rib 3 x 1")


class TopKind(models.TextChoices):
    """How a sock starts; the short names are those of the arithmetic."""

    PLAIN = "plain", _("plain, rolling edge")
    HUNG_HEM = "hung_hem", _("hung hem")
    PICOT_HEM = "picot_hem", _("picot hem")
    MOCK_RIB = "mock_rib", _("mock rib, every third needle out")
    RIB_1_1 = "rib_1_1", _("rib 1 x 1")
    RIB_2_1 = "rib_2_1", _("rib 2 x 1")
    RIB_3_1 = "rib_3_1", _("rib 3 x 1")


class SwatchQuerySet(models.QuerySet["Swatch"]):
    """Questions about swatches."""

    def washed(self) -> Self:
        """Keep those measured washed."""
        return self.filter(state=GaugeState.WASHED)

    def plain(self) -> Self:
        """Keep those of plain fabric, which a sock is planned with."""
        return self.filter(fabric=Fabric.PLAIN)

    def rib(self) -> Self:
        """Keep those of rib and mock rib, which a cuff is planned with."""
        return self.exclude(fabric=Fabric.PLAIN)


class Swatch(models.Model):
    """A measured tube: wales and courses on one cylinder at one stitch setting."""

    name = models.CharField(max_length=80, unique=True)
    yarn_name = models.CharField(_("yarn"), max_length=120, blank=True)
    cylinder = models.ForeignKey(Cylinder, on_delete=models.PROTECT, related_name="swatches")
    stitch_setting = models.DecimalField(
        _("stitch setting [turns from her mark]"), max_digits=5, decimal_places=2, default=0
    )
    state = models.CharField(max_length=6, choices=GaugeState.choices)
    wales_per_10cm = models.FloatField()
    courses_per_10cm = models.FloatField()
    measured_on = models.DateField()
    fabric = models.CharField(max_length=8, choices=Fabric.choices, default=Fabric.PLAIN)
    round_cm = models.FloatField(_("yarn unravelled from one round [cm]"), null=True, blank=True)
    hanging_mm = models.FloatField(_("length under weights [mm]"), null=True, blank=True)
    hanging_rows = models.PositiveSmallIntegerField(_("rows of that length"), null=True, blank=True)

    objects = SwatchQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(wales_per_10cm__gte=8, wales_per_10cm__lte=80),
                name="wales_between_8_and_80_per_10cm",
            ),
            models.CheckConstraint(
                condition=models.Q(courses_per_10cm__gte=8, courses_per_10cm__lte=120),
                name="courses_between_8_and_120_per_10cm",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def gauge(self) -> Gauge:
        """The swatch as the arithmetic takes it."""
        return Gauge(self.wales_per_10cm, self.courses_per_10cm, state=self.state)

    @property
    def measured_loop_cm(self) -> float | None:
        """Yarn in one stitch as unravelled [cm], None when it was not measured."""
        if self.round_cm is None:
            return None
        return loop_from_round_cm(self.round_cm, self.cylinder.needles)

    @property
    def loop_cm(self) -> float:
        """Yarn in one stitch [cm]: unravelled, or from the washed gauge."""
        return self.measured_loop_cm or loop_length_cm(self.gauge)

    @property
    def hang_factor(self) -> float | None:
        """How much longer the tube hung under weights than it washed, None if not measured."""
        if self.state != GaugeState.WASHED or not self.hanging_mm or not self.hanging_rows:
            return None
        return self.hanging_mm * self.courses_per_10cm / 100 / self.hanging_rows


class SizeGroup(models.TextChoices):
    """Whom a pattern is for; decides size systems and cautions on its tag."""

    BABY = "baby", _("Baby")
    CHILD = "child", _("Child")
    WOMEN = "women", _("Women")
    MEN = "men", _("Men")


class SizeSource(models.TextChoices):
    """Where a row of the size chart comes from."""

    MEMORY = "memory", _("published chart, from memory")
    RULE = "rule", _("shoe-size rule")
    OWN = "own", _("your own")


class SizeRow(models.Model):
    """A size she makes: a row of her own size chart."""

    name = models.CharField(_("size"), max_length=40, unique=True)
    group = models.CharField(_("for"), max_length=5, choices=SizeGroup.choices)
    foot_mm = models.FloatField(_("foot [mm]"))
    around_mm = models.FloatField(_("around the sock [mm]"), null=True, blank=True)
    height_mm = models.FloatField(_("height, floor to top [mm]"))
    source = models.CharField(
        max_length=6, choices=SizeSource.choices, default=SizeSource.OWN, editable=False
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(foot_mm__gte=60, foot_mm__lte=400),
                name="a_size_has_a_foot_of_60_to_400_mm",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Design(models.Model):
    """A kind of sock by its looks, in any size."""

    name = models.CharField(max_length=60, unique=True)

    def __str__(self) -> str:
        return self.name


class PatternQuerySet(models.QuerySet["Pattern"]):
    """Questions about patterns."""

    def by_size(self) -> Self:
        """Order from the smallest foot to the largest."""
        return self.order_by("foot_length_mm", "design__name")


class Pattern(models.Model):
    """One design in one size. What to knit stands in its versions."""

    design = models.ForeignKey(Design, on_delete=models.PROTECT, related_name="patterns")
    size_name = models.CharField(_("size"), max_length=40)
    group = models.CharField(max_length=5, choices=SizeGroup.choices)
    foot_length_mm = models.FloatField(_("foot it is made for [mm]"))

    objects = PatternQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["design", "size_name"], name="one_pattern_per_design_and_size"
            ),
            models.CheckConstraint(
                condition=models.Q(foot_length_mm__gte=60, foot_length_mm__lte=400),
                name="foot_between_60_and_400_mm",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.design} {self.size_name}"

    def get_absolute_url(self) -> str:
        """The page of the pattern."""
        return reverse("patterns:pattern_detail", args=[self.pk])


class PatternVersion(models.Model):
    """Row counts for one size on one cylinder at one gauge; written once, never changed."""

    pattern = models.ForeignKey(Pattern, on_delete=models.PROTECT, related_name="versions")
    number = models.PositiveSmallIntegerField()
    swatch = models.ForeignKey(
        Swatch, on_delete=models.PROTECT, null=True, blank=True, related_name="versions"
    )
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    ball_mm = models.FloatField(_("ball girth [mm]"))
    ball_guessed = models.BooleanField(default=False)
    height_mm = models.FloatField(_("height, floor to top [mm]"))
    ease_asked = models.FloatField(validators=[MinValueValidator(0), MaxValueValidator(0.25)])
    wales_per_10cm = models.FloatField()
    courses_per_10cm = models.FloatField()
    tex = models.FloatField(_("yarn count [tex]"))
    needles = models.PositiveSmallIntegerField()
    centre = models.PositiveSmallIntegerField(_("needles left at the turn"))
    toe_centre = models.PositiveSmallIntegerField(
        _("needles left at the toe, if others"), null=True, blank=True
    )
    deep_heel = models.PositiveSmallIntegerField(_("heel needles beyond half"), default=0)
    heel_factor = models.FloatField(default=1.0)
    toe_factor = models.FloatField(default=1.0)
    stitch_setting = models.DecimalField(
        _("setting, if another than the swatch's"), max_digits=5, decimal_places=2, null=True
    )
    top = models.CharField(max_length=9, choices=TopKind.choices, default=TopKind.PLAIN)
    hem_rows = models.PositiveSmallIntegerField(default=0)
    cuff_rows = models.PositiveSmallIntegerField(default=0)
    cuff_courses_per_10cm = models.FloatField(null=True, blank=True)
    cuff_swatch = models.ForeignKey(
        Swatch, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    leg_rows = models.PositiveSmallIntegerField()
    heel_rows = models.PositiveSmallIntegerField()
    foot_rows = models.PositiveSmallIntegerField()
    toe_rows = models.PositiveSmallIntegerField()
    circumference_mm = models.FloatField()
    sock_foot_mm = models.FloatField(_("washed sock foot [mm]"))
    loop_cm = models.FloatField(_("yarn per stitch [cm]"))
    metres = models.FloatField(_("yarn for one sock [m]"))
    grams = models.FloatField(_("yarn for one sock [g]"))
    machine_minutes = models.FloatField(_("machine time for a pair [min]"))
    seam_minutes = models.FloatField(_("seaming time for a pair [min]"))
    sections = models.JSONField(default=list)
    warnings = models.JSONField(default=list)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["pattern", "number"], name="version_numbers_are_unique"
            ),
            models.CheckConstraint(
                condition=models.Q(grams__gt=0), name="a_version_uses_some_yarn"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.pattern} v{self.number}"

    @property
    def notices(self) -> list[Notice]:
        """What there was to look at when it was planned."""
        return [notice_kept(kept) for kept in self.warnings]

    @property
    def grams_a_pair(self) -> float:
        """Yarn in two socks [g]."""
        return 2 * self.grams

    @property
    def metres_a_pair(self) -> float:
        """Yarn in two socks [m]."""
        return 2 * self.metres

    @property
    def parts(self) -> list[dict[str, Any]]:
        """Its sections, each with its word for reading as `title`."""
        return [{**part, "title": section_title(part["name"])} for part in self.sections]

    @property
    def total_rows(self) -> int:
        """Rows of one sock, hem not counted."""
        return self.leg_rows + self.heel_rows + self.foot_rows + self.toe_rows

    @property
    def gauge(self) -> Gauge:
        """The washed gauge it was planned at."""
        return Gauge(self.wales_per_10cm, self.courses_per_10cm)
