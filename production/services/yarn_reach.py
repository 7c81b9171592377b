"""Whether the yarn reaches: before a pattern is started, and for what is to be made."""

import datetime as dt
from collections import defaultdict
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import OuterRef, Subquery

from patterns.core.words import say
from patterns.models import Pattern, PatternVersion
from production.core import reach as math
from production.models import DyeLot, Package, RunYarn, Yarn
from production.services.strings import TURN_SECTIONS
from production.services.yarn_learning import Learned, learned_of
from production.services.yarn_queries import TEX_SLACK, spreads_of


@dataclass(frozen=True, slots=True)
class LotReach:
    """One lot beside the pairs that are to be started from it."""

    lot: DyeLot
    grams: Decimal
    metres: int
    sock_g: float
    learned: Learned
    reach: math.Reach

    @property
    def after_reserve_m(self) -> int:
        """Metres left once the wanted pairs are knitted and the reserve is kept."""
        return max(0, int(self.reach.left_g * 1000 / self.lot.yarn.tex))


@dataclass(frozen=True, slots=True)
class Wanted:
    """Pairs that somebody plans to have made by a day."""

    version: PatternVersion
    pairs: int
    on: dt.date


@dataclass(frozen=True, slots=True)
class LowYarn:
    """A yarn that the plan asks for, with the lots that are left of it."""

    yarn: Yarn
    low: math.RunsLow
    lots: int

    @property
    def buy_100g(self) -> int:
        """Balls or hundreds of grams to buy so that the plan can be knitted."""
        return -int(-self.low.short_g // 100)


def lots_for(
    version: PatternVersion, *, pairs: int, reserve_g: float, lot: DyeLot | None = None
) -> list[LotReach]:
    """Return how far each lot of the right thickness reaches for pairs of a version.

    Args:
        version: What is to be knitted.
        pairs: How many.
        reserve_g: Kept back of each lot [g].
        lot: Only this one, if given.
    """
    slack = TEX_SLACK * version.tex
    lots = DyeLot.objects.with_yarn().filter(
        yarn__tex__gte=version.tex - slack, yarn__tex__lte=version.tex + slack
    )
    by_yarn: dict[Yarn, list[DyeLot]] = defaultdict(list)
    for row in lots.order_by("yarn__name", "yarn__colour", "-pk"):
        if row.grams > 0:
            by_yarn[row.yarn].append(row)
    spreads = spreads_of(Package.objects.filter(lot__tare_spread_g__gt=0))
    found = []
    for yarn, own in by_yarn.items():
        if lot is not None and lot.yarn_id != yarn.pk:
            continue
        learned = learned_of(yarn)
        for row in own:
            if lot is None or row.pk == lot.pk:
                spread = spreads.get(row.pk, Decimal(0))
                found.append(_reach_of(row, own, version, pairs, reserve_g, learned, spread))
    return sorted(found, key=lambda one: (not one.reach.is_enough, str(one.lot.yarn), one.lot.pk))


def running_low(wanted: Sequence[Wanted], *, reserve_g: float) -> list[LowYarn]:
    """Return the yarns that a plan asks for, the one that runs out first at the top.

    A pattern takes the yarns it was knitted of last; one that was never knitted is passed over.

    Args:
        wanted: Pairs to be made and by when, from whoever plans.
        reserve_g: Kept back of each lot [g].
    """
    recipes = _recipes({one.version.pattern_id for one in wanted})
    yarns: dict[Hashable, Yarn] = {}
    needs: list[math.Need] = []
    for one in wanted:
        for use in recipes.get(one.version.pattern_id, ()):
            yarns[use.lot.yarn_id] = use.lot.yarn
            grams = 2 * use.grams * one.pairs * (1 + math.MARGIN)
            needs.append(math.Need(use.lot.yarn_id, grams, one.on))
    on_hand: dict[Hashable, float] = defaultdict(float)
    lots: dict[int, int] = defaultdict(int)
    # Named so, the lots used up over the years are passed over by the index.
    left = DyeLot.objects.filter(grams__gt=0, yarn_id__in=yarns).values_list("yarn_id", "grams")
    for yarn_id, grams in left:
        usable = float(grams) - reserve_g
        if usable > 0:
            on_hand[yarn_id] += usable
            lots[yarn_id] += 1
    return [
        LowYarn(yarns[row.yarn], row, lots.get(yarns[row.yarn].pk, 0))
        for row in math.running_low(on_hand, needs)
    ]


def _recipes(patterns: Iterable[int]) -> dict[int, list[RunYarn]]:
    """Return, by pattern, the yarns of the run knitted last."""
    own = RunYarn.objects.filter(run__version__pattern=OuterRef("pk")).order_by("-run_id")
    last = Pattern.objects.filter(pk__in=patterns).values(last=Subquery(own.values("run")[:1]))
    found: dict[int, list[RunYarn]] = defaultdict(list)
    rows = RunYarn.objects.filter(run__in=last).select_related("lot__yarn", "run__version")
    for row in rows.order_by("pk"):
        found[row.run.version.pattern_id].append(row)
    return found


def _reach_of(
    lot: DyeLot,
    own: Sequence[DyeLot],
    version: PatternVersion,
    pairs: int,
    reserve_g: float,
    learned: Learned,
    spread: Decimal,
) -> LotReach:
    ratio = learned.ratio_for(version)
    turn_g = sum(one["grams"] for one in version.sections if one["name"] in TURN_SECTIONS)
    grams = lot.grams
    other = next((one for one in own if one.pk != lot.pk), None)
    reached = math.reach(
        float(grams - spread),
        sock_g=version.grams * ratio,
        turn_g=turn_g * ratio,
        reserve_g=reserve_g,
        wanted_pairs=pairs,
        other_lot=say("lot {code}", code=other.code) if other else "",
    )
    metres = max(0, int(float(grams) * 1000 / lot.yarn.tex))
    return LotReach(lot, grams, metres, version.grams * ratio, learned, reached)


def waste_yarn_m(version: PatternVersion, *, pairs: int, rounds: int) -> float:
    """Return the waste yarn of one string with so many pairs of a version [m]."""
    return math.waste_yarn_m(
        socks=2 * pairs, rounds=rounds, needles=version.needles, loop_cm=version.loop_cm
    )
