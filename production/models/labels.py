"""What the maker decided about care and labels, with her grounds."""

from typing import Any, Self

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from patterns.models import Pattern
from production.core.care import CHOICES, CareSet
from production.models.yarn import Yarn


class Care(models.Model):
    """A care set of her own: a choice for every question, and what they rest on."""

    name = models.CharField(max_length=20, unique=True)
    wash = models.CharField(max_length=16)
    temperature = models.CharField(max_length=16)
    cycle = models.CharField(max_length=16)
    bleach = models.CharField(max_length=16)
    dry = models.CharField(max_length=16)
    iron = models.CharField(max_length=16)
    dry_clean = models.CharField(_("dry-cleaning"), max_length=16, default="unsaid")
    warnings = models.JSONField(default=list, blank=True)
    basis = models.CharField(_("what it rests on"), max_length=200)
    basis_on = models.DateField(_("since"))

    def __str__(self) -> str:
        return self.name

    def choices(self) -> dict[str, Any]:
        """Return the choices as a yarn keeps them."""
        return {**{name: getattr(self, name) for name in CHOICES}, "warnings": self.warnings}

    @property
    def care_set(self) -> CareSet:
        """The set as the arithmetic takes it."""
        return CareSet(**{**self.choices(), "warnings": tuple(self.warnings)})


class LabelChoiceQuerySet(models.QuerySet["LabelChoice"]):
    """Questions about choices."""

    def holding(self) -> Self:
        """Keep choices that were not dropped."""
        return self.filter(dropped_at__isnull=True)


class LabelChoice(models.Model):
    """One thing that the rules leave to the maker, decided for a pattern, a yarn or both."""

    class Kind(models.TextChoices):
        """What was decided."""

        FUNCTIONAL = "functional", _("name a fibre under 5 % for its job")
        EXCLUDE = "exclude", _("leave out")
        BY_SECTION = "by_section", _("state each section on a line of its own")
        HAIR_AS_WOOL = "hair_as_wool", _("call hair wool")
        COUNT_ADDED = "count_added", _("count the added strand in the totals")
        UNKNOWN = "unknown", _("call unknown yarn what it is")
        CARE_PLACE = "care_place", _("where the care words go")

    kind = models.CharField(max_length=12, choices=Kind.choices)
    value = models.CharField(_("which fibre, role or ground"), max_length=40, blank=True)
    pattern = models.ForeignKey(
        Pattern, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    yarn = models.ForeignKey(
        Yarn, on_delete=models.PROTECT, null=True, blank=True, related_name="label_choices"
    )
    reason = models.CharField(max_length=200)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    dropped_at = models.DateTimeField(null=True, blank=True)

    objects = LabelChoiceQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(pattern__isnull=False) | Q(yarn__isnull=False),
                name="a_choice_is_for_a_pattern_or_a_yarn",
            ),
            models.CheckConstraint(condition=~Q(reason=""), name="a_choice_has_a_reason"),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.value}".strip()
