"""A sign-in for one stall on one day, which its owner can end."""

from typing import Self

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from sales.models.markets import DayState, MarketDay


class StallPassQuerySet(models.QuerySet["StallPass"]):
    """Questions about passes."""

    def valid(self) -> Self:
        """Keep passes that nobody ended and whose day is not over."""
        return self.filter(ended_at__isnull=True, day__state__in=[DayState.PLANNED, DayState.OPEN])


class StallPass(models.Model):
    """A link for the till of one market day. Only a digest of its secret is kept."""

    day = models.ForeignKey(MarketDay, on_delete=models.PROTECT, related_name="passes")
    name = models.CharField(_("who holds the phone"), max_length=40)
    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    digest = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    objects = StallPassQuerySet.as_manager()

    def __str__(self) -> str:
        return f"{self.name}, {self.day}"
