"""What the phones at the stall sent, word for word."""

from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from production.models import Act
from sales.models.markets import MarketDay


class PhoneActQuerySet(models.QuerySet["PhoneAct"]):
    """Questions about what was sent."""

    def to_sort_out(self) -> Self:
        """Keep what the book could not record and nobody has put aside, the oldest first."""
        return self.filter(state=PhoneAct.State.KEPT, settled_by__isnull=True).order_by("pk")


class PhoneAct(models.Model):
    """One act as a phone sent it. Its key makes a second sending the same act.

    `body` is kept whole whatever became of it, so that nothing said at a stall is lost even
    where the book understood none of it.
    """

    class State(models.TextChoices):
        """What became of it."""

        DONE = "done", _("recorded")
        EARLY = "early", _("waits for the act that it takes back")
        KEPT = "kept", _("kept to sort out")

    key = models.UUIDField(unique=True)
    device = models.CharField(max_length=40, blank=True)
    day = models.ForeignKey(
        MarketDay, on_delete=models.PROTECT, null=True, blank=True, related_name="phone_acts"
    )
    body = models.TextField()
    received_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    state = models.CharField(max_length=5, choices=State.choices)
    undoes = models.UUIDField(_("key of the act that it takes back"), null=True, blank=True)
    trouble = models.CharField(_("why it was not recorded"), max_length=300, blank=True)
    act = models.ForeignKey(Act, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    settled_by = models.ForeignKey(
        Act, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    objects = PhoneActQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~Q(state="kept") | ~Q(trouble=""), name="what_is_kept_says_why"
            ),
        ]
        indexes = [
            models.Index(
                fields=["undoes"], condition=Q(state="early"), name="early_undo_by_its_act"
            ),
            models.Index(fields=["state"], condition=Q(state="kept"), name="kept_phone_acts"),
        ]

    def __str__(self) -> str:
        return f"{self.key} {self.state}"
