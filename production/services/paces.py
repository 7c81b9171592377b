"""How fast she works: minutes of each step, learned from her own acts."""

from dataclasses import dataclass
from functools import cache

from django.db.models import Case, Func, IntegerField, OuterRef, Subquery, When

from patterns.core.words import say
from production.core.flow import ENOUGH, learned_minutes
from production.core.places import MATE_MINUTES, STEPS, TAG_MINUTES
from production.models import Act, ActKind, PairMove, SockMove
from production.services.kept import Standing, standing_of
from socktrade.questions import Question

RECENT_ACTS = 2000  # older acts say little about how fast she works today
TAGS_OF_A_PAIR = 2  # the default minutes are for one sock


@dataclass(frozen=True, slots=True)
class Pace:
    """Hand time of one piece at one step [min], and whether it is her own."""

    minutes: float
    jobs: int

    @property
    def learned(self) -> bool:
        """Whether enough acts with minutes stand behind it."""
        return self.jobs >= ENOUGH


def standing_of_bench() -> Standing:
    """Return how far the history has come that the bench is reckoned from."""
    return standing_of(SockMove, PairMove, Act)


def learned_paces(standing: Standing | None = None) -> dict[str, Pace]:
    """Return the minutes of one piece at each step: her own once there are enough [min].

    A piece is a sock, and a pair for the tag.

    Args:
        standing: How far the history has come, where it was asked already.
    """
    if standing is None:
        return _paces()
    return standing.kept(("paces",), _paces, weight=1)


def _paces() -> dict[str, Pace]:
    defaults = {step.key: step.minutes for step in STEPS}
    defaults["mate"] = MATE_MINUTES
    defaults["tag"] = TAG_MINUTES * TAGS_OF_A_PAIR
    times: dict[str, list[float]] = {key: [] for key in defaults}
    for kind, minutes, pieces in _timed_acts():
        if pieces:
            times[kind].append(minutes / pieces)
    return {
        key: Pace(learned_minutes(times[key], default), len(times[key]))
        for key, default in defaults.items()
    }


@cache
def _timed_acts() -> Question[tuple[str, float, int]]:
    """Return the question for kind, minutes and pieces of the recent acts with minutes."""
    last = Subquery(Act.objects.order_by("-pk").values("pk")[:1])
    timed = Act.objects.standing().filter(pk__gt=last - RECENT_ACTS, minutes__gt=0)
    pairs = When(kind=ActKind.TAG, then=_moved_of(PairMove))
    moved = timed.filter(kind__in=[*(step.key for step in STEPS), "mate", "tag"])
    pieces = moved.annotate(pieces=Case(pairs, default=_moved_of(SockMove)))
    return Question(pieces.values_list("kind", "minutes", "pieces"))


def _moved_of(moves: type[SockMove | PairMove]) -> Subquery:
    """Return how many socks or pairs an act moved, read beside the act."""
    # Counted without a group for each act, which would cost more than the counting.
    rows = Func(template="COUNT(*)", output_field=IntegerField())
    return Subquery(moves.objects.filter(act=OuterRef("pk")).order_by().values(n=rows))


def hours_and_minutes(minutes: int) -> str:
    """Return minutes the way a person says them, e.g. `1 h 45 min`."""
    hours, rest = divmod(minutes, 60)
    if not hours:
        return say("{minutes} min", minutes=rest)
    if not rest:
        return say("{hours} h", hours=hours)
    return say("{hours} h {minutes} min", hours=hours, minutes=rest)
