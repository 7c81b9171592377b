"""What a pair of each kind costs: yarn as booked and weighed, minutes as logged, her own wage."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Count, Exists, OuterRef, Sum

from patterns.models import Pattern, PatternVersion
from production.models import Act, ActKind, RunYarn, StringRun, Yarn
from production.services.basket_queries import learned_paces
from production.services.steps import steps_off
from production.services.yarn_learning import UNTAUGHT, learned_of_yarns
from production.services.yarn_queries import newest_versions
from sales.core.pricing import PairCost, overhead_per_pair, pair_cost
from sales.models import SaleLine
from sales.services.dayspan import moments_of
from socktrade.models import Workshop

# Enough for an average of each kind; what is older says less of how she knits today.
RUNS_A_KIND = 15
NEWEST_STRINGS = 300
PAIR = 2
PER_PAIR = ("tag",)
YEAR = dt.timedelta(days=365)


@dataclass(frozen=True, slots=True)
class KindCost:
    """What one pair of a kind takes.

    Attributes:
        pattern: What it is.
        version: Its newest version, or None while it was never planned.
        grams: Yarn in a pair, by the book and its weighings [g].
        yarn_minor_per_100_g: What that yarn cost [minor units/100 g].
        machine_minutes: At the machine for a pair [min].
        finish_minutes: All other hands on it [min].
        cost: The same in money [minor units].
        yarn_booked: Whether strings stand behind the grams, not the plan alone.
        minutes_logged: Whether her own minutes stand behind the machine time.
    """

    pattern: Pattern
    version: PatternVersion | None
    grams: float
    yarn_minor_per_100_g: Decimal
    machine_minutes: float
    finish_minutes: float
    cost: PairCost
    yarn_booked: bool
    minutes_logged: bool

    @property
    def minutes(self) -> float:
        """All minutes of a pair [min]."""
        return self.machine_minutes + self.finish_minutes

    @property
    def material_minor(self) -> int:
        """Yarn and packing of a pair [minor units]."""
        return round(self.cost.yarn + self.cost.packaging)


def kind_costs(
    patterns: Iterable[Pattern], *, workshop: Workshop, today: dt.date
) -> dict[int, KindCost]:
    """Return by pattern id what a pair takes and costs.

    Args:
        patterns: Kinds to reckon.
        workshop: Whose wage, packing and fixed costs.
        today: The fixed costs are spread over the pairs sold in the year before it.
    """
    wanted = {pattern.pk: pattern for pattern in patterns}
    versions = newest_versions().filter(pattern__in=wanted)
    newest = {version.pattern_id: version for version in versions}
    booked = _booked(wanted)
    logged = _machine_minutes(wanted)
    finish = finish_minutes()
    usual_price = _usual_price()
    overhead = overhead_per_pair(workshop.overhead_minor, max(1, pairs_of_year(today)))
    found = {}
    for pk, pattern in wanted.items():
        version = newest.get(pk)
        grams, price = booked.get(pk, (_planned_grams(version), usual_price))
        machine = logged.get(pk, version.machine_minutes if version else 0.0)
        found[pk] = KindCost(
            pattern=pattern,
            version=version,
            grams=grams,
            yarn_minor_per_100_g=price,
            machine_minutes=machine,
            finish_minutes=finish,
            cost=pair_cost(
                grams=Decimal(str(round(grams, 2))),
                yarn_per_100_g=price,
                minutes=Decimal(str(round(machine + finish, 2))),
                wage_per_hour=workshop.wage_minor,
                packaging=workshop.packaging_minor,
                waste=Decimal(workshop.yarn_waste_percent) / 100,
                overhead=overhead,
            ),
            yarn_booked=pk in booked,
            minutes_logged=pk in logged,
        )
    return found


def finish_minutes() -> float:
    """Return the hand time of a pair from the cut to its tag, at her own pace [min]."""
    off = steps_off()
    return sum(
        pace.minutes * (1 if key in PER_PAIR else PAIR)
        for key, pace in learned_paces().items()
        if key not in off
    )


def pairs_of_year(today: dt.date) -> int:
    """Return the pairs sold in the year before a day [pairs]."""
    start, end = moments_of(today - YEAR + dt.timedelta(days=1), today)
    return SaleLine.objects.filter(
        sale__act__at__gte=start, sale__act__at__lt=end, holds=True
    ).count()


def _booked(patterns: Mapping[int, Pattern]) -> dict[int, tuple[float, Decimal]]:
    """Return by pattern id the grams of a pair and their price, from its newest strings."""
    # Asked so, the newest strings are walked until there are enough, and the rest is not read.
    wanted = PatternVersion.objects.filter(pk=OuterRef("run__version"), pattern__in=patterns)
    rows = list(
        RunYarn.objects.filter(Exists(wanted), run__string__act__undone_by__isnull=True)
        .order_by("-run_id")
        .values_list(
            "run__version__pattern_id", "run__version_id", "run_id", "run__count",
            "lot__yarn_id", "grams", "lot__yarn__price_minor",
        )[: RUNS_A_KIND * len(patterns)]
    )  # fmt: skip
    learned = learned_of_yarns(row[4] for row in rows)
    socks: dict[int, dict[int, int]] = defaultdict(dict)
    grams: dict[int, float] = defaultdict(float)
    money: dict[int, float] = defaultdict(float)
    for pattern_id, version_id, run_id, count, yarn_id, sock_g, price in rows:
        socks[pattern_id][run_id] = count
        weight = count * sock_g * learned.get(yarn_id, UNTAUGHT).ratio_of(version_id)
        grams[pattern_id] += weight
        money[pattern_id] += weight * price
    return {
        pk: (
            PAIR * grams[pk] / sum(socks[pk].values()),
            Decimal(str(round(money[pk] / grams[pk], 2))),
        )
        for pk in grams
        if grams[pk] > 0
    }


def _machine_minutes(patterns: Mapping[int, Pattern]) -> dict[int, float]:
    """Return by pattern id the logged machine minutes of a pair, from strings of it alone."""
    newest = (
        Act.objects.standing()
        .filter(kind=ActKind.STRING, minutes__gt=0, string__isnull=False)
        .order_by("-pk")
        .values_list("string__pk", "minutes")[:NEWEST_STRINGS]
    )
    minutes = dict(newest)
    runs = (
        StringRun.objects.filter(string__in=list(minutes))
        .order_by()
        .values_list("string_id", "version__pattern_id")
        .annotate(socks=Sum("count"), kinds=Count("pk"))
    )
    kinds_of: dict[int, dict[int, int]] = defaultdict(dict)
    for string_id, pattern_id, socks, _ in runs:
        kinds_of[string_id][pattern_id] = socks
    spent: dict[int, list[float]] = defaultdict(lambda: [0.0, 0.0])
    for string_id, kinds in kinds_of.items():
        if len(kinds) == 1:
            [(pattern_id, socks)] = kinds.items()
            spent[pattern_id][0] += minutes[string_id]
            spent[pattern_id][1] += socks
    return {
        pk: PAIR * total / socks for pk, (total, socks) in spent.items() if socks and pk in patterns
    }


def _planned_grams(version: PatternVersion | None) -> float:
    return PAIR * version.grams if version else 0.0


def _usual_price() -> Decimal:
    """Return the middle price of the yarns in the book, for kinds never knitted yet."""
    prices: Sequence[int] = sorted(
        Yarn.objects.filter(price_minor__gt=0).values_list("price_minor", flat=True)
    )
    return Decimal(prices[len(prices) // 2]) if prices else Decimal(0)
