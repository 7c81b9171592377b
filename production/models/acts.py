"""Acts and their moves: inserted, never changed, never removed."""

from typing import Any, NoReturn, Self

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from production.core.places import PairPlace, SockPlace

SOCK_PLACES = [(place.value, place.value) for place in SockPlace]
PAIR_PLACES = [(place.value, place.value) for place in PairPlace]


class WrittenInInkError(TypeError):
    """Somebody tried to change or remove what was recorded."""


class InkQuerySet(models.QuerySet):  # type: ignore[type-arg]
    """A queryset of rows that are only ever added."""

    def update(self, **_kwargs: Any) -> NoReturn:
        """Refuse: a correction is another act."""
        msg = say(
            "{name} rows are never changed; record another act instead.", name=self.model.__name__
        )
        raise WrittenInInkError(msg)

    def bulk_update(self, *_args: Any, **_kwargs: Any) -> NoReturn:
        """Refuse: a correction is another act."""
        self.update()

    def delete(self) -> NoReturn:
        """Refuse: undo is a reverse act."""
        msg = say("{name} rows are never removed; undo the act instead.", name=self.model.__name__)
        raise WrittenInInkError(msg)


class InkModel(models.Model):
    """A row that is added once and then stands."""

    objects = InkQuerySet.as_manager()

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Insert the row; refuse to write it a second time."""
        if not self._state.adding:
            InkQuerySet(type(self)).update()
        super().save(*args, **{**kwargs, "force_insert": True})

    def delete(self, *_args: Any, **_kwargs: Any) -> NoReturn:
        """Refuse: undo is a reverse act."""
        InkQuerySet(type(self)).delete()


class ActKind(models.TextChoices):
    """What a person did."""

    YARN_IN = "yarn_in", _("yarn received")
    YARN_OUT = "yarn_out", _("yarn taken out")
    YARN_WEIGHED = "weighed", _("yarn weighed")
    YARN_WOUND = "wound", _("yarn wound off")
    STRING = "string", _("string logged")
    OPENING = "opening", _("stock from before the book")
    CUT = "cut", _("cut apart")
    SEAM = "seam", _("toes seamed")
    WASH = "wash", _("washed")
    DRY = "dry", _("taken in dry")
    BLOCK = "block", _("blocked")
    BACK = "back", _("put back a step")
    MARK = "mark", _("noted on a sock")
    SCRAP = "scrap", _("scrapped")
    MATE = "mate", _("mated")
    SPLIT = "split", _("pair split")
    TAG = "tag", _("tagged")
    PACK = "pack", _("packed for a market day")
    UNPACK = "unpack", _("taken out of the stall box")
    HOME = "home", _("came home from market")
    SALE = "sale", _("sold")
    RETURN = "return", _("brought back by a buyer")
    ASK = "ask", _("asked for")
    DEPOSIT = "deposit", _("money taken for an order")
    COUNT = "count", _("counted")
    LOST = "lost", _("not found at the count")
    FOUND = "found", _("found again")
    OPEN_DAY = "open_day", _("market day opened")
    CLOSE_DAY = "close_day", _("market day closed")
    CASH = "cash", _("cash counted")
    SORTED = "sorted", _("sorted out")
    UNDO = "undo", _("undone")


class ActQuerySet(InkQuerySet):
    """Questions about acts."""

    def standing(self) -> Self:
        """Keep acts that are not undone and are not an undo themselves."""
        return self.filter(undone_by__isnull=True).exclude(kind=ActKind.UNDO)

    def newest_first(self) -> Self:
        """Order by when they were recorded, last first."""
        return self.order_by("-pk")


class Act(InkModel):
    """Something that a person did: who, when, what. Its moves hang on it."""

    kind = models.CharField(max_length=10, choices=ActKind.choices)
    at = models.DateTimeField(_("when it happened"), db_index=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=300, blank=True)
    minutes = models.FloatField(_("hand time [min]"), null=True, blank=True)
    key = models.UUIDField(
        _("the sender's own id of the act; a second sending is the same act"),
        null=True,
        blank=True,
        unique=True,
    )
    undoes = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="undone_by"
    )

    objects = ActQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(minutes__isnull=True) | models.Q(minutes__gte=0),
                name="minutes_are_never_negative",
            ),
            models.CheckConstraint(
                condition=models.Q(kind="undo", undoes__isnull=False)
                | (~models.Q(kind="undo") & models.Q(undoes__isnull=True)),
                name="only_an_undo_undoes",
            ),
        ]
        # The last undo is found without a walk through the acts that are none.
        indexes = [
            models.Index(
                fields=["id"], condition=models.Q(undoes__isnull=False), name="acts_that_undo"
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.at:%Y-%m-%d %H:%M}"

    @property
    def is_undone(self) -> bool:
        """Whether a later act took this one back."""
        return hasattr(self, "undone_by")


class SockMove(InkModel):
    """One sock from one place to another; into and out of a pair it names the pair."""

    act = models.ForeignKey(Act, on_delete=models.PROTECT, related_name="sock_moves")
    sock = models.ForeignKey("production.Sock", on_delete=models.PROTECT, related_name="moves")
    start = models.CharField(max_length=8, choices=SOCK_PLACES, blank=True)
    end = models.CharField(max_length=8, choices=SOCK_PLACES)
    pair = models.ForeignKey(
        "production.Pair", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["act", "sock"], name="an_act_moves_a_sock_once"),
            models.CheckConstraint(
                condition=~models.Q(start=models.F("end")), name="a_sock_moves_somewhere_else"
            ),
            models.CheckConstraint(
                condition=~models.Q(end="in_pair") | models.Q(pair__isnull=False),
                name="a_sock_goes_into_a_named_pair",
            ),
        ]
        # What was finished last is found without reading all moves before it.
        indexes = [
            models.Index(fields=["act"], condition=models.Q(end="in_pair"), name="sock_finished")
        ]

    def __str__(self) -> str:
        return f"{self.sock_id}: {self.start or 'machine'} -> {self.end}"


class PairMove(InkModel):
    """One pair from one place to another."""

    act = models.ForeignKey(Act, on_delete=models.PROTECT, related_name="pair_moves")
    pair = models.ForeignKey("production.Pair", on_delete=models.PROTECT, related_name="moves")
    start = models.CharField(max_length=8, choices=PAIR_PLACES, blank=True)
    end = models.CharField(max_length=8, choices=PAIR_PLACES)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["act", "pair"], name="an_act_moves_a_pair_once"),
            models.CheckConstraint(
                condition=~models.Q(start=models.F("end")), name="a_pair_moves_somewhere_else"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.pair_id}: {self.start or 'made'} -> {self.end}"


class SockMark(InkModel):
    """What was noted on one sock: its quality, its fault or its measured lengths."""

    class Field(models.TextChoices):
        """Which figure of the sock was noted."""

        QUALITY = "quality", _("quality")
        FAULT = "fault", _("fault")
        FOOT = "foot_mm", _("measured foot [mm]")
        LEG = "leg_mm", _("measured leg [mm]")

    act = models.ForeignKey(Act, on_delete=models.PROTECT, related_name="sock_marks")
    sock = models.ForeignKey("production.Sock", on_delete=models.PROTECT, related_name="marks")
    field = models.CharField(max_length=8, choices=Field.choices)
    was = models.CharField(max_length=120, blank=True)
    became = models.CharField(max_length=120, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["act", "sock", "field"], name="an_act_notes_a_figure_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.sock_id} {self.field}: {self.was!r} -> {self.became!r}"


class YarnUse(models.TextChoices):
    """Why grams came or went."""

    RECEIVED = "received", _("received")
    KNITTED = "knitted", _("knitted")
    SWATCH = "swatch", _("swatch")
    WASTE = "waste", _("waste")
    WEIGHED = "weighed", _("corrected by weighing")
    WRITTEN_OFF = "off", _("written off")
    RETURNED = "returned", _("returned")


class YarnMove(InkModel):
    """Grams of one dye lot, in (+) or out (-). Their sum is on hand; the lot repeats it."""

    act = models.ForeignKey(Act, on_delete=models.PROTECT, related_name="yarn_moves")
    lot = models.ForeignKey("production.DyeLot", on_delete=models.PROTECT, related_name="moves")
    grams = models.DecimalField(max_digits=9, decimal_places=1)
    use = models.CharField(max_length=8, choices=YarnUse.choices)
    gross_g = models.DecimalField(
        _("what the scale showed [g]"), max_digits=9, decimal_places=1, null=True, blank=True
    )
    tare_g = models.DecimalField(
        _("empty package [g]"), max_digits=7, decimal_places=1, null=True, blank=True
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~models.Q(grams=0), name="a_yarn_move_moves_some_yarn"
            ),
            models.CheckConstraint(
                condition=(models.Q(gross_g__isnull=True) | models.Q(gross_g__gte=0))
                & (models.Q(tare_g__isnull=True) | models.Q(tare_g__gte=0)),
                name="a_scale_never_shows_less_than_nothing",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.lot_id}: {self.grams:+} g {self.use}"
