"""What the yarn shelf is asked: how much is left, and for how many pairs."""

from dataclasses import dataclass, field
from decimal import Decimal

from django.db.models import Exists, Max, OuterRef, Prefetch, QuerySet, Sum

from patterns.models import PatternVersion
from production.models import Act, ActKind, DyeLot, String, Yarn, YarnMove, YarnUse

# Tension, joins and a dropped start cost a few rows; common practice is a twentieth.
MARGIN = 0.05
# A yarn this much thicker or thinner than the plan makes another sock, not this one.
TEX_SLACK = 0.25
LEDGER_LENGTH = 50
UNDOABLE = (ActKind.YARN_IN, ActKind.YARN_OUT, ActKind.YARN_WEIGHED)


@dataclass(frozen=True, slots=True)
class Enough:
    """How far a lot reaches for one version. `pairs` is None for another thickness."""

    version: PatternVersion
    pair_g: float
    pairs: int | None


@dataclass(frozen=True, slots=True)
class LotOnShelf:
    """One lot with what is left of it."""

    lot: DyeLot
    grams: Decimal
    metres: int
    enough: Enough | None

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


@dataclass(frozen=True, slots=True)
class Learned:
    """What weighings say of the grams that plans say.

    Attributes:
        planned_g: Grams that strings booked up to the last weighing.
        used_g: The same grams set right by the weighings.
    """

    planned_g: Decimal
    used_g: Decimal

    @property
    def ratio(self) -> float:
        """Grams used for each gram planned."""
        return float(self.used_g / self.planned_g)

    @property
    def percent(self) -> int:
        """Grams used in 100 planned."""
        return round(100 * self.ratio)


def newest_versions() -> QuerySet[PatternVersion]:
    """Return the newest version of every pattern, smallest foot first."""
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


def pairs_within(grams: float, *, sock_g: float, reserve_g: float) -> int:
    """Return the whole pairs that a lot still gives.

    Args:
        grams: On hand [g].
        sock_g: Planned for one sock [g].
        reserve_g: Kept back for mending [g].
    """
    return max(0, int((grams - reserve_g) / (2 * sock_g * (1 + MARGIN))))


def enough_for(
    version: PatternVersion, *, yarn: Yarn, grams: Decimal, reserve_g: float, ratio: float = 1.0
) -> Enough:
    """Say how many pairs of a version a lot still gives; `ratio` as learned by weighing."""
    sock_g = version.grams * ratio
    pair_g = 2 * sock_g * (1 + MARGIN)
    if abs(yarn.tex - version.tex) > TEX_SLACK * version.tex:
        return Enough(version, pair_g, None)
    pairs = pairs_within(float(grams), sock_g=sock_g, reserve_g=reserve_g)
    return Enough(version, pair_g, pairs)


def yarn_shelf(*, reserve_g: float, with_used_up: bool = False) -> list[YarnOnShelf]:
    """Return every yarn with its lots; used-up lots only when asked for."""
    usual = usual_version()
    lots = DyeLot.objects.with_grams().annotate(last=Max("moves__pk")).order_by("-pk")
    yarns = Yarn.objects.order_by("name", "colour").prefetch_related(Prefetch("lots", lots))
    return [_shelve(yarn, usual, reserve_g, with_used_up=with_used_up) for yarn in yarns]


def _shelve(
    yarn: Yarn, usual: PatternVersion | None, reserve_g: float, *, with_used_up: bool
) -> YarnOnShelf:
    lots = list(yarn.lots.all())
    kept = [lot for lot in lots if with_used_up or lot.grams or lot.last is None]  # type: ignore[attr-defined]
    return YarnOnShelf(
        yarn=yarn,
        lots=[on_shelf(lot, yarn, usual, reserve_g=reserve_g) for lot in kept],
        used_up=len(lots) - len(kept),
    )


def on_shelf(
    lot: DyeLot, yarn: Yarn, usual: PatternVersion | None, *, reserve_g: float
) -> LotOnShelf:
    """Return what is left of a lot that was read with its grams."""
    grams: Decimal = lot.grams  # type: ignore[attr-defined]
    metres = max(0, int(float(grams) * 1000 / yarn.tex))
    enough = usual and enough_for(usual, yarn=yarn, grams=grams, reserve_g=reserve_g)
    return LotOnShelf(lot=lot, grams=grams, metres=metres, enough=enough)


def enough_by_version(
    *, lot: DyeLot, grams: Decimal, reserve_g: float, ratio: float = 1.0
) -> list[Enough]:
    """Return how far a lot reaches for the newest version of each pattern it suits."""
    rows = (
        enough_for(version, yarn=lot.yarn, grams=grams, reserve_g=reserve_g, ratio=ratio)
        for version in newest_versions()
    )
    return [row for row in rows if row.pairs is not None]


def ledger(*, lot: DyeLot, before: int | None = None) -> list[LedgerLine]:
    """Return the newest bookings of a lot, or those before the booking `before`."""
    moves = YarnMove.objects.filter(lot=lot)
    if before is not None:
        moves = moves.filter(pk__lt=before)
    on_hand = moves.aggregate(total=Sum("grams"))["total"] or Decimal(0)
    newest = moves.select_related("act__by", "act__string", "act__undone_by").order_by("-pk")
    lines = []
    for move in newest[:LEDGER_LENGTH]:
        lines.append(LedgerLine(move, on_hand, may_undo=_may_undo(move.act)))
        on_hand -= move.grams
    return lines


def strings_of(lot: DyeLot, *, limit: int = 20) -> list[String]:
    """Return the newest strings that took yarn of a lot."""
    numbers = (
        YarnMove.objects.filter(lot=lot, act__string__isnull=False)
        .order_by("-act__string__number")
        .values_list("act__string__number", flat=True)
        .distinct()[:limit]
    )
    return list(
        String.objects.filter(number__in=list(numbers)).select_related("act").order_by("-number")
    )


def learned_grams(lot: DyeLot) -> Learned | None:
    """Compare the grams planned with the grams gone by the lot's last weighing."""
    moves = YarnMove.objects.filter(lot=lot)
    last = moves.filter(use=YarnUse.WEIGHED, act__undone_by__isnull=True).exclude(
        act__kind=ActKind.UNDO
    )
    newest = last.aggregate(last=Max("pk"))["last"]
    if newest is None:
        return None
    sums = _sums_by_use(moves.filter(pk__lte=newest))
    planned = -sums.get(YarnUse.KNITTED, Decimal(0))
    used = planned - sums.get(YarnUse.WEIGHED, Decimal(0))
    return Learned(planned_g=planned, used_g=used) if planned > 0 and used > 0 else None


def _sums_by_use(moves: QuerySet[YarnMove]) -> dict[str, Decimal]:
    return dict(moves.order_by().values_list("use").annotate(total=Sum("grams")))


def _may_undo(act: Act) -> bool:
    return act.kind in UNDOABLE and not act.is_undone
