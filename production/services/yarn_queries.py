"""What the yarn shelf is asked: how much is left, and for how many pairs."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache
from itertools import islice

from django.db.models import Count, Exists, OuterRef, Prefetch, Q, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from patterns.core.sections import section_title
from patterns.core.words import say, say_list
from patterns.models import PatternVersion
from production.core.grams import Lesson
from production.core.reach import MARGIN, pairs_within
from production.models import (
    Act,
    ActKind,
    DyeLot,
    Package,
    RunYarn,
    String,
    Weighing,
    Yarn,
    YarnMove,
    YarnRole,
    YarnUse,
)
from production.models.scale import PackageQuerySet
from production.services.yarn_learning import Learned
from socktrade.questions import Question

# A yarn this much thicker or thinner than the plan makes another sock, not this one.
TEX_SLACK = 0.25
LEDGER_LENGTH = 50
UNDOABLE = (ActKind.YARN_IN, ActKind.YARN_OUT, ActKind.YARN_WEIGHED)
WEIGHINGS_SHOWN = 10
TENTH = Decimal("0.1")
BOOKED = Exists(YarnMove.objects.filter(lot=OuterRef("pk")))  # whether grams ever came or went
KEPT = ~Q(grams=0) | ~BOOKED  # lots that are not used up


@dataclass(frozen=True, slots=True)
class Enough:
    """How far a lot reaches for one version. `pairs` is None for another thickness.

    `pair_g` is what a pair takes with the margin; `lesson` what weighings say of it.
    """

    version: PatternVersion
    pair_g: float
    pairs: int | None
    lesson: Lesson | None = None

    @property
    def learned_g(self) -> float | None:
        """Grams of one sock as the weighings say [g]."""
        return self.version.grams * self.lesson.ratio if self.lesson else None


@dataclass(frozen=True, slots=True)
class LotOnShelf:
    """One lot with what is left of it."""

    lot: DyeLot
    grams: Decimal
    metres: int
    enough: Enough | None
    spread_g: Decimal = Decimal(0)

    @property
    def least_g(self) -> Decimal:
        """Grams if the guessed empty weight is at its heaviest [g]."""
        return self.grams - self.spread_g

    @property
    def most_g(self) -> Decimal:
        """Grams if the guessed empty weight is at its lightest [g]."""
        return self.grams + self.spread_g

    def makes_below(self, pairs: int) -> bool:
        """Whether it makes fewer pairs than these of the usual sock."""
        made = self.enough.pairs if self.enough else None
        return made is not None and made < pairs

    @property
    def is_short(self) -> bool:
        """Whether the book says that more was knitted than came in."""
        return self.grams < 0


@dataclass(frozen=True, slots=True)
class YarnOnShelf:
    """One yarn and its lots, newest lot first."""

    yarn: Yarn
    lots: list[LotOnShelf] = field(default_factory=list)
    used_up: int = 0


@dataclass(frozen=True, slots=True)
class LedgerLine:
    """One booking of a lot, with what the book had after it [g]."""

    move: YarnMove
    on_hand: Decimal
    may_undo: bool
    details: tuple[str, ...] = ()


def newest_versions() -> QuerySet[PatternVersion]:
    """Return the newest version of every pattern, smallest foot first."""
    return _newest_versions().all()


@cache
def _newest_versions() -> QuerySet[PatternVersion]:
    """Return the question itself, made once for all askers; it is never answered as it is."""
    later = PatternVersion.objects.filter(
        pattern=OuterRef("pattern"), number__gt=OuterRef("number")
    )
    return (
        PatternVersion.objects.filter(~Exists(later))
        .select_related("pattern__design")
        .order_by("pattern__design__name", "pattern__foot_length_mm")
    )


def usual_version() -> PatternVersion | None:
    """Return the version made last, by which the shelf counts pairs."""
    return PatternVersion.objects.select_related("pattern__design").order_by("-made_at").first()


def enough_for(
    version: PatternVersion,
    *,
    yarn: Yarn,
    grams: Decimal,
    reserve_g: float,
    lesson: Lesson | None = None,
) -> Enough:
    """Say how many pairs of a version a lot still gives, set right by what was learned."""
    sock_g = version.grams * (lesson.ratio if lesson else 1.0)
    pair_g = 2 * sock_g * (1 + MARGIN)
    if abs(yarn.tex - version.tex) > TEX_SLACK * version.tex:
        return Enough(version, pair_g, None, lesson)
    pairs = pairs_within(float(grams), sock_g=sock_g, reserve_g=reserve_g)
    return Enough(version, pair_g, pairs, lesson)


def yarn_shelf(*, reserve_g: float, with_used_up: bool = False) -> list[YarnOnShelf]:
    """Return every yarn with its lots; used-up lots only when asked for."""
    usual = usual_version()
    lots = DyeLot.objects.order_by("-pk")
    kept = lots if with_used_up else lots.filter(KEPT)
    every = DyeLot.objects.filter(yarn=OuterRef("pk")).order_by().values("yarn")
    count = Coalesce(Subquery(every.annotate(n=Count("pk")).values("n")), 0)
    yarns = Yarn.objects.annotate(every=count).order_by("name", "colour")
    spreads = spreads_of(Package.objects.filter(lot__tare_spread_g__gt=0))
    found = []
    for yarn in yarns.prefetch_related(Prefetch("lots", kept)):
        rows = [
            on_shelf(lot, yarn, usual, reserve_g=reserve_g, spreads=spreads)
            for lot in yarn.lots.all()
        ]
        found.append(YarnOnShelf(yarn=yarn, lots=rows, used_up=yarn.every - len(rows)))  # type: ignore[attr-defined]
    return found


def lots_running_low(*, reserve_g: float, below: int, limit: int) -> list[LotOnShelf]:
    """Return the newest lot of each yarn that is short or makes too few pairs.

    Args:
        reserve_g: Kept back of each lot [g].
        below: Pairs of the usual sock that are enough [pairs].
        limit: How many lots at most.
    """
    usual = _usual_weight().first()
    newest: dict[int, DyeLot] = {}
    for lot in _kept_lots():
        newest.setdefault(lot.yarn_id, lot)
    guessed = [lot.pk for lot in newest.values() if lot.tare_spread_g > 0]
    spreads = spreads_of(Package.objects.filter(lot__in=guessed)) if guessed else {}
    rows = (
        on_shelf(lot, lot.yarn, usual, reserve_g=reserve_g, spreads=spreads)
        for lot in newest.values()
    )
    return list(islice((row for row in rows if row.is_short or row.makes_below(below)), limit))


@cache
def _kept_lots() -> Question[DyeLot]:
    """Return the question for lots that are not used up, made once for all askers."""
    named = ("yarn", "yarn__name", "yarn__colour", "yarn__tex")
    lots = DyeLot.objects.with_yarn().filter(KEPT).only("code", "grams", "tare_spread_g", *named)
    return Question(lots.order_by("yarn__name", "yarn__colour", "-pk"))


@cache
def _usual_weight() -> Question[PatternVersion]:
    """Return the question for what the version made last weighs, made once."""
    return Question(PatternVersion.objects.only("tex", "grams").order_by("-made_at")[:1])


def spreads_of(packages: PackageQuerySet) -> dict[int, Decimal]:
    """Return by lot how far off its grams may be while its tare is a guess [g]."""
    found: dict[int, Decimal] = {}
    rows = packages.standing().filter(has_core=True).with_last_weight().select_related("lot")
    for row in rows:
        gross = row.last_gross_g  # type: ignore[attr-defined]
        if gross is None or gross > row.lot.tare_g:
            found[row.lot_id] = found.get(row.lot_id, Decimal(0)) + row.lot.tare_spread_g
    return found


def on_shelf(
    lot: DyeLot,
    yarn: Yarn,
    usual: PatternVersion | None,
    *,
    reserve_g: float,
    spreads: Mapping[int, Decimal],
) -> LotOnShelf:
    """Return what is left of a lot.

    Pairs are counted from the least a guessed empty weight leaves: half a pair helps nobody.
    """
    grams = lot.grams
    spread = spreads.get(lot.pk, Decimal(0))
    metres = max(0, int(float(grams) * 1000 / yarn.tex))
    enough = usual and enough_for(usual, yarn=yarn, grams=grams - spread, reserve_g=reserve_g)
    return LotOnShelf(lot=lot, grams=grams, metres=metres, enough=enough, spread_g=spread)


def enough_by_version(
    *, lot: DyeLot, grams: Decimal, reserve_g: float, learned: Learned
) -> list[Enough]:
    """Return how far a lot reaches for the newest version of each pattern it suits."""
    rows = (
        enough_for(
            version,
            yarn=lot.yarn,
            grams=grams,
            reserve_g=reserve_g,
            lesson=learned.lesson_for(version),
        )
        for version in newest_versions()
    )
    return [row for row in rows if row.pairs is not None]


def ledger(*, lot: DyeLot, before: int | None = None) -> list[LedgerLine]:
    """Return the newest bookings of a lot, or those before the booking `before`."""
    moves = YarnMove.objects.filter(lot=lot)
    if before is not None:
        moves = moves.filter(pk__lt=before)
    on_hand = (moves.aggregate(total=Sum("grams"))["total"] or Decimal(0)).quantize(TENTH)
    newest = moves.select_related("act__by", "act__string", "act__undone_by").order_by("-pk")
    lines, shown = [], list(newest[:LEDGER_LENGTH])
    knitted = _knitted_as(lot, [move.act_id for move in shown if move.use == YarnUse.KNITTED])
    for move in shown:
        details = knitted.get((move.act_id, -move.grams), ())
        lines.append(LedgerLine(move, on_hand, _may_undo(move.act), tuple(details)))
        on_hand -= move.grams
    return lines


def _knitted_as(lot: DyeLot, acts: list[int]) -> dict[tuple[int, Decimal], list[str]]:
    """Return, by act and grams, what the yarn did in the socks: role, place and sections."""
    found: dict[tuple[int, Decimal], list[str]] = {}
    rows = (
        RunYarn.objects.filter(lot=lot)
        .annotate(act=Coalesce("run__resumed_by_id", "run__string__act_id"))
        .filter(act__in=acts)
        .select_related("run__version__pattern__design")
    )
    for row in rows:
        booked = Decimal(str(round(row.grams * row.run.count, 1)))
        found.setdefault((row.act, booked), []).append(_said(row))  # type: ignore[attr-defined]
    return found


def _said(row: RunYarn) -> str:
    text = say(
        "{count} × {grams:mass1}, {place}: {version}",
        count=row.run.count,
        grams=float(row.grams),
        place=row.place_name,
        version=row.run.version,
    )
    if row.role != YarnRole.BASE or row.grams < row.run.version.grams:
        return text
    parts = [
        say("{part} {grams:mass1}", part=section_title(part["name"]), grams=float(part["grams"]))
        for part in row.run.version.sections
        if "grams" in part
    ]
    return say("{text} ({parts})", text=text, parts=say_list(parts)) if parts else text


def weighings_of(lot: DyeLot) -> list[Weighing]:
    """Return the newest weighings of a lot, booked or only shown."""
    rows = Weighing.objects.standing().filter(lot=lot).select_related("act").order_by("-act_id")
    return list(rows[:WEIGHINGS_SHOWN])


def strings_of(lot: DyeLot, *, limit: int = 20) -> list[String]:
    """Return the newest strings that took yarn of a lot, also when they were gone on with."""
    strings = String.objects.filter(runs__yarns__lot=lot).distinct()
    return list(strings.select_related("act").order_by("-number")[:limit])


def _may_undo(act: Act) -> bool:
    return act.kind in UNDOABLE and not act.is_undone
