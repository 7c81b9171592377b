"""The workshop's own settings: one row."""

from typing import Self

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _


class LengthUnit(models.TextChoices):
    """Units in which lengths are shown; either may be typed."""

    INCH = "in", _("inches")
    CENTIMETRE = "cm", _("centimetres")


class MassUnit(models.TextChoices):
    """Units in which yarn is weighed; either may be typed."""

    GRAM = "g", _("grams")
    OUNCE = "oz", _("ounces")


class YarnUnit(models.TextChoices):
    """Units in which yarn is measured off; either may be typed."""

    METRE = "m", _("metres")
    YARD = "yd", _("yards")


class LabelRules(models.TextChoices):
    """Whose rules the tags follow."""

    US = "us", _("United States")
    EU = "eu", _("European Union")
    UK = "uk", _("Great Britain")


class WomenScale(models.TextChoices):
    """Which of the two US women's shoe scales she reads."""

    RETAIL = "us_women", _("men’s size plus 1½ (most shops)")
    ATHLETIC = "us_women_athletic", _("men’s size plus 1 (athletic shoes)")


class YouthScale(models.TextChoices):
    """How she numbers the US sizes after child 13."""

    LADDER = "us_youth", _("youth 1 follows child 13")
    AS_MEN = "us_youth_as_men", _("numbered like men’s")


class CounterInTurns(models.TextChoices):
    """What her row counter does in heel and toe."""

    PASS = "pass", _("counts every pass, there and back")
    ROUND = "round", _("counts one for there and back")
    LIFTED = "lifted", _("is lifted and stands still")


class CounterRestarts(models.TextChoices):
    """When she sets the row counter to 0."""

    SOCK = "sock", _("for each sock")
    SECTION = "section", _("for each section")
    STRING = "string", _("once, for the whole string")


class CarrierRests(models.TextChoices):
    """Where the yarn carrier stands when a round is full."""

    UNSAID = "", _("not said")
    LEFT = "left", _("at the left")
    RIGHT = "right", _("at the right")
    FRONT = "front", _("in front")
    BACK = "back", _("at the back")


class HeelHalf(models.TextChoices):
    """Which half of the needles knits the heel."""

    UNSAID = "", _("not said")
    FRONT = "front", _("the front half")
    BACK = "back", _("the back half")


class ToeHalf(models.TextChoices):
    """Which half of the needles carries the toe."""

    SAME = "same", _("the heel’s half: the seam lies on top of the toes")
    OTHER = "other", _("the other half: the seam lies under the toes")


class Language(models.TextChoices):
    """Languages that every page speaks, each by its own name."""

    ENGLISH = "en", "English"
    GERMAN = "de", "Deutsch"


class Workshop(models.Model):
    """What the maker told us once about her workshop."""

    name = models.CharField(_("workshop name"), max_length=80)
    town = models.CharField(max_length=80, blank=True)
    country = models.CharField(_("country of making"), max_length=60, default="USA")
    identity = models.CharField(
        _("name or number on labels"),
        max_length=80,
        blank=True,
        help_text=_("The name you do business under, or your registered number."),
    )
    length_unit = models.CharField(
        max_length=2, choices=LengthUnit.choices, default=LengthUnit.INCH
    )
    mass_unit = models.CharField(
        _("weight of yarn"), max_length=2, choices=MassUnit.choices, default=MassUnit.GRAM
    )
    yarn_unit = models.CharField(
        _("length of yarn"), max_length=2, choices=YarnUnit.choices, default=YarnUnit.METRE
    )
    currency = models.CharField(_("currency code"), max_length=3, default="USD")
    language = models.CharField(
        _("language"),
        max_length=7,
        choices=Language.choices,
        blank=True,
        help_text=_("Of these pages. What tags say follows the label rules."),
    )
    label_rules = models.CharField(max_length=2, choices=LabelRules.choices, default=LabelRules.US)
    hours_per_week = models.PositiveSmallIntegerField(
        _("hours at the bench in a week"), default=20, validators=[MinValueValidator(1)]
    )
    ask_share = models.FloatField(
        _("share of buyers who ask when their size is gone"),
        default=0.5,
        help_text=_("Out of 1. Used to read days on which a size ran out."),
    )
    mate_tolerance_mm = models.PositiveSmallIntegerField(
        _("largest length difference inside a pair [mm]"), default=5
    )
    mate_tolerance_rows = models.PositiveSmallIntegerField(
        _("largest difference inside a pair, in rows"), null=True, blank=True, default=2
    )
    skipped_steps = models.JSONField(_("finishing steps that are not done here"), default=list)
    full_load_socks = models.PositiveSmallIntegerField(
        _("socks in a full wash"), default=24, validators=[MinValueValidator(1)]
    )
    drying_days = models.PositiveSmallIntegerField(_("days from the wash to dry socks"), default=2)
    old_after_days = models.PositiveSmallIntegerField(
        _("days after which work counts as old"),
        default=21,
        help_text=_("Until eight jobs are finished; then your own times say it."),
        validators=[MinValueValidator(1)],
    )
    waste_rounds = models.PositiveSmallIntegerField(
        _("waste yarn rounds between socks"), default=15
    )
    lot_reserve_g = models.PositiveSmallIntegerField(
        _("yarn of a lot kept back for mending"), default=10
    )
    us_women_scale = models.CharField(
        _("US women’s sizes"), max_length=20, choices=WomenScale.choices, default=WomenScale.RETAIL
    )
    us_youth_scale = models.CharField(
        _("US youth sizes"), max_length=20, choices=YouthScale.choices, default=YouthScale.LADDER
    )
    machine_told = models.BooleanField(_("she said how her machine counts"), default=False)
    counter_in_turns = models.CharField(
        _("in heel and toe your row counter"),
        max_length=6,
        choices=CounterInTurns.choices,
        default=CounterInTurns.PASS,
    )
    counter_restarts = models.CharField(
        _("you set the row counter to 0"),
        max_length=7,
        choices=CounterRestarts.choices,
        default=CounterRestarts.SOCK,
    )
    carrier_rests = models.CharField(
        _("when a round is full the yarn carrier stands"),
        max_length=5,
        choices=CarrierRests.choices,
        blank=True,
    )
    heel_half = models.CharField(
        _("the heel is knitted on"), max_length=5, choices=HeelHalf.choices, blank=True
    )
    toe_half = models.CharField(
        _("the toe is knitted on"), max_length=5, choices=ToeHalf.choices, default=ToeHalf.SAME
    )
    turn_note = models.CharField(_("your own note for heel and toe"), max_length=120, blank=True)
    heel_factor = models.FloatField(_("length a heel gives, as a share of its passes"), default=1.0)
    toe_factor = models.FloatField(_("length a toe gives, as a share of its passes"), default=1.0)
    tax_per_line = models.BooleanField(
        _("round the tax on each pair instead of once a purchase"),
        default=False,
        help_text=_("Holds from the next day you open. Ask your tax office which way it wants."),
    )
    wage_minor = models.PositiveIntegerField(_("worth of an hour of her own work"), default=1500)
    packaging_minor = models.PositiveIntegerField(_("tag, band and bag of a pair"), default=0)
    yarn_waste_percent = models.PositiveSmallIntegerField(
        _("yarn lost beside a pair [% of its grams]"),
        default=5,
        validators=[MaxValueValidator(100)],
    )
    fee_percent = models.DecimalField(
        _("card fee [% of the price]"),
        max_digits=5,
        decimal_places=3,
        default=0,
        validators=[MinValueValidator(0), MaxValueValidator(50)],
    )
    fee_each_minor = models.PositiveIntegerField(_("card fee, fixed part of a sale"), default=0)
    overhead_minor = models.PositiveIntegerField(_("fixed costs of a year"), default=0)
    day_cost_minor = models.PositiveIntegerField(_("fuel and the like, a market day"), default=0)
    memory_percent = models.PositiveSmallIntegerField(
        _("evidence kept from one market day to the next [%]"),
        default=100,
        validators=[MinValueValidator(50), MaxValueValidator(100)],
    )
    season_ends_on = models.DateField(_("last market day of the season"), null=True, blank=True)
    carried_percent = models.PositiveSmallIntegerField(
        _("worth of a pair left over at the end [% of its yarn]"),
        default=50,
        validators=[MaxValueValidator(100)],
    )
    calendar_token = models.CharField(
        _("secret part of the calendar's address"), max_length=64, blank=True, editable=False
    )
    care_symbols = models.BooleanField(
        _("care drawings beside the care words"),
        default=False,
        help_text=_("Under the United States rules only. The words are printed in any case."),
    )

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="there_is_one_workshop"),
            models.CheckConstraint(
                condition=models.Q(ask_share__gte=0, ask_share__lte=1),
                name="ask_share_is_a_share",
            ),
            models.CheckConstraint(
                condition=models.Q(heel_factor__gte=0.3, heel_factor__lte=1.3)
                & models.Q(toe_factor__gte=0.3, toe_factor__lte=1.3),
                name="heel_and_toe_give_between_0_3_and_1_3",
            ),
            models.CheckConstraint(
                condition=models.Q(memory_percent__gte=50, memory_percent__lte=100),
                name="half_the_evidence_is_kept_at_least",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @classmethod
    def current(cls) -> Self:
        """Return the workshop, or an unsaved one with the defaults before set-up."""
        return cls.objects.first() or cls(pk=1, name="Socktrade")


class Member(models.Model):
    """What a person other than the owner may do here."""

    class Role(models.TextChoices):
        """Roles that the owner gives; her own is kept with her sign-in."""

        HELPER = "helper", _("helper")
        STALL = "stall", _("stall only")

    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="member"
    )
    role = models.CharField(max_length=6, choices=Role.choices)

    def __str__(self) -> str:
        return f"{self.user} ({self.role})"


class SignedIn(models.Model):
    """One browser that is signed in, so that the owner can see and end it."""

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="signed_in"
    )
    session_key = models.CharField(max_length=40, unique=True)
    since = models.DateTimeField()
    browser = models.CharField(max_length=200, blank=True)

    def __str__(self) -> str:
        return f"{self.user} since {self.since:%Y-%m-%d}"
