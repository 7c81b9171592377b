"""How she likes her tags, and long prints on their way."""

import uuid
from typing import Self

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say


class TagHabits(models.Model):
    """What her tags say and how they were last printed: one row."""

    class PriceSays(models.TextChoices):
        """What the printed price is about."""

        PLAIN = "", _("the price as it is set, with no word about tax")
        WITH = "with", _("the price as it is set, tax included")
        PLUS = "plus", _("the price as it is set, plus tax")
        ADDED = "added", _("the price with the tax added to it")

    class MakerSays(models.TextChoices):
        """How the maker is named."""

        NAME = "name", _("the name on labels and the town")
        NUMBER = "number", _("the registered number")

    class Language(models.TextChoices):
        """Languages that fibre words can be repeated in."""

        NONE = "", _("none")
        GERMAN = "de", _("German")
        FRENCH = "fr", _("French")
        SPANISH = "es", _("Spanish")
        DUTCH = "nl", _("Dutch")

    size_systems = models.JSONField(_("size systems"), default=list, blank=True)
    price_says = models.CharField(
        _("price"), max_length=5, choices=PriceSays.choices, default=PriceSays.PLAIN, blank=True
    )
    tax_percent = models.DecimalField(_("tax [%]"), max_digits=6, decimal_places=3, default=0)
    maker_says = models.CharField(
        _("maker"), max_length=6, choices=MakerSays.choices, default=MakerSays.NAME
    )
    registered_number = models.CharField(max_length=40, blank=True)
    hand_cranked = models.BooleanField(_("say that a hand-cranked machine made it"), default=True)
    second_language = models.CharField(
        max_length=2, choices=Language.choices, default=Language.NONE, blank=True
    )
    second_text = models.CharField(_("words of her own"), max_length=300, blank=True)
    sheet = models.CharField(_("sheet last printed on"), max_length=20, blank=True)
    sides = models.CharField(_("how it was last printed"), max_length=5, default="one")
    stub = models.BooleanField(default=True)
    shifts = models.JSONField(_("correction of the printer for each sheet [0.1 mm]"), default=dict)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="there_is_one_way_of_tags"),
            models.CheckConstraint(
                condition=models.Q(tax_percent__gte=0, tax_percent__lte=50),
                name="a_tax_on_a_tag_is_0_to_50_percent",
            ),
        ]

    def __str__(self) -> str:
        return "how tags are printed"

    @classmethod
    def current(cls) -> Self:
        """Return her habits, or an unsaved row with the usual ones."""
        return cls.objects.first() or cls(pk=1)


class LongPrint(models.Model):
    """A print of many tags, made sheet by sheet so that it can be watched and stopped."""

    key = models.UUIDField(default=uuid.uuid4, unique=True)
    asked_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    texts = models.JSONField(_("words of each tag"))
    layout = models.JSONField(_("how they are laid out"))
    chunks = models.PositiveIntegerField(_("chunks in all"))

    def __str__(self) -> str:
        return str(say("print of {count} tags", count=len(self.texts)))


class LongPrintPart(models.Model):
    """Some finished sheets of a long print."""

    print = models.ForeignKey(LongPrint, on_delete=models.CASCADE, related_name="parts")
    number = models.PositiveIntegerField(_("chunk, from 0"))
    pdf = models.BinaryField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["print", "number"], name="a_chunk_is_printed_once"),
        ]

    def __str__(self) -> str:
        return str(say("part {number} of {print}", number=self.number, print=self.print))
