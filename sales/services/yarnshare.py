"""Which lot a planned pair is knitted from, and how many pairs the yarn allows."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from patterns.models import PatternVersion
from production.models import DyeLot, RunYarn
from production.services.yarn_learning import UNTAUGHT, Learned, learned_of_yarns
from production.services.yarn_queries import MARGIN, TEX_SLACK

RUNS_A_KIND = 15


@dataclass(slots=True)
class Skein:
    """What is left to plan with of a lot [g]."""

    lot: DyeLot
    grams: float
    learned: Learned = UNTAUGHT

    def pair_grams(self, version: PatternVersion) -> float:
        """Return the grams a pair takes, with joins and what weighings taught [g]."""
        return 2 * version.grams * self.learned.ratio_for(version) * (1 + MARGIN)

    def pairs_of(self, version: PatternVersion) -> int:
        """Return the whole pairs it still gives."""
        return max(0, int(self.grams / self.pair_grams(version) + 1e-9))

    def suits(self, version: PatternVersion) -> bool:
        """Whether the yarn is about as thick as the plan wants."""
        return abs(self.lot.yarn.tex - version.tex) <= TEX_SLACK * version.tex


@dataclass(slots=True)
class YarnShelf:
    """Every lot with yarn, and which of them a kind was knitted from before."""

    skeins: list[Skein]
    used: dict[int, list[int]] = field(default_factory=dict)

    def choices(self, version: PatternVersion) -> list[Skein]:
        """Return the lots that suit, those last used for the kind first, then the fullest."""
        before = self.used.get(version.pattern_id, [])
        fit = [skein for skein in self.skeins if skein.suits(version)]
        return sorted(
            fit,
            key=lambda s: (
                before.index(s.lot.pk) if s.lot.pk in before else len(before),
                -s.grams,
                s.lot.pk,
            ),
        )

    def pairs_of(self, version: PatternVersion) -> int:
        """Return the pairs of one kind that all lots together allow."""
        return sum(skein.pairs_of(version) for skein in self.choices(version))

    def take(
        self, version: PatternVersion, pairs: int, lot_id: int | None = None
    ) -> list[tuple[DyeLot, int]]:
        """Take yarn for pairs and return how many from which lot; they may be fewer."""
        taken = []
        for skein in self.choices(version):
            if pairs <= 0 or (lot_id is not None and skein.lot.pk != lot_id):
                continue
            count = min(pairs, skein.pairs_of(version))
            if count:
                skein.grams -= count * skein.pair_grams(version)
                taken.append((skein.lot, count))
                pairs -= count
        return taken

    def copy(self) -> "YarnShelf":
        """Return a shelf to try a plan on."""
        return YarnShelf([Skein(s.lot, s.grams, s.learned) for s in self.skeins], self.used)


def yarn_to_plan(*, reserve_g: float, pattern_ids: Iterable[int]) -> YarnShelf:
    """Return the yarn in the book less what is kept back for mending [g]."""
    lots: Sequence[DyeLot] = list(DyeLot.objects.with_yarn().filter(grams__gt=0))
    learned = learned_of_yarns(lot.yarn_id for lot in lots)
    skeins = [
        Skein(lot, float(lot.grams) - reserve_g, learned.get(lot.yarn_id, UNTAUGHT)) for lot in lots
    ]
    used: dict[int, list[int]] = defaultdict(list)
    kinds = set(pattern_ids)
    rows = (
        RunYarn.objects.filter(run__version__pattern__in=kinds, role="base")
        .order_by("-run_id")
        .values_list("run__version__pattern_id", "lot_id")[: RUNS_A_KIND * len(kinds)]
    )
    for pattern_id, lot_id in rows:
        if lot_id not in used[pattern_id]:
            used[pattern_id].append(lot_id)
    return YarnShelf([skein for skein in skeins if skein.grams > 0], dict(used))
