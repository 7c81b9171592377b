"""Loads: socks that were washed together."""

from django.db import models
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from production.models.acts import Act


class Load(models.Model):
    """One wash. Its socks are those that its act moved; what agreed in it stands as said then."""

    number = models.PositiveIntegerField(unique=True)
    wash = models.OneToOneField(Act, on_delete=models.PROTECT, related_name="load")
    name = models.CharField(_("what all of it bore"), max_length=120)

    def __str__(self) -> str:
        return str(say("Load {number}", number=self.number))

    def get_absolute_url(self) -> str:
        """The page of the load."""
        return reverse("production:load_detail", args=[self.number])
