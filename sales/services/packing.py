"""What to bring to a market day: demand against room and shelf, with the reasons."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Count, QuerySet

from patterns.core.words import say
from patterns.models import Pattern
from production.models import Pair, Quality
from production.services.pairs import current_prices
from sales.core.demand import Prediction, predict
from sales.core.packing import PackLine, pack, pack_lines
from sales.core.reasons import prediction_reason, rate_reason
from sales.errors import SalesError
from sales.models import MarketDay, Order
from sales.services.boxes import box_of
from sales.services.report import KindHistory, WhatSells, closed_days, what_sells
from sales.services.table import number_in

# A market of two years ago says little about this one, and the page stays as quick in the
# twentieth season as in the first.
DAYS_READ_BACK = 730
# Carrying a pair there and back for nothing: a guess of a hundredth of its price.
CARRYING_SHARE = 0.01
LEAST_ASK_SHARE = 0.01
WORTH_NAMING = 0.5
LEVEL = 0.9
MOST_NUMBERS = 200


@dataclass(frozen=True, slots=True)
class KindPlan:
    """One pattern in the proposal.

    Attributes:
        pattern: What it is.
        pairs: Pairs of it on the shelf, firsts before seconds, the oldest first.
        packed: Pairs of it in the stall box already [pairs].
        bring: How many of `pairs` are proposed [pairs].
        mean: Pairs expected to be wanted [pairs].
        reasons: Sentences behind the number.
        guess: Whether nothing but a guess stands behind it.
    """

    pattern: Pattern
    pairs: tuple[Pair, ...]
    packed: int
    bring: int
    mean: float
    reasons: tuple[str, ...]
    guess: bool

    @property
    def proposed(self) -> frozenset[int]:
        """Ids of the pairs that are proposed."""
        return frozenset(pair.pk for pair in self.pairs[: self.bring])

    @property
    def short(self) -> int:
        """Pairs expected to be wanted beyond what there is [pairs]."""
        return max(0, round(self.mean) - self.packed - len(self.pairs))


@dataclass(frozen=True, slots=True)
class PackPlan:
    """The proposal for a day.

    Attributes:
        kinds: Every pattern that is on the shelf, in the box or wanted.
        places: Pairs the table holds [pairs].
        packed: Pairs in the stall box already [pairs].
        days_read: Market days the demand was read from.
    """

    kinds: tuple[KindPlan, ...]
    places: int
    packed: int
    days_read: int

    @property
    def bring(self) -> int:
        """Pairs proposed [pairs]."""
        return sum(kind.bring for kind in self.kinds)

    @property
    def on_shelf(self) -> int:
        """Pairs that could be packed [pairs]."""
        return sum(len(kind.pairs) for kind in self.kinds)

    @property
    def room(self) -> int:
        """Pairs that still fit on the table [pairs]."""
        return max(0, self.places - self.packed)

    @property
    def everything_fits(self) -> bool:
        """Whether the table has room for all there is, so that there is little to choose."""
        return 0 < self.on_shelf <= self.room


@dataclass(frozen=True, slots=True)
class _BesidesPacked:
    """Demand for one more pair when some are in the box already."""

    demand: Prediction
    packed: int

    def at_least(self, k: int) -> float:
        return self.demand.at_least(self.packed + k)


def propose(*, day: MarketDay, ask_share: float, memory: float = 1.0) -> PackPlan:
    """Return what to bring to a day of what is on the shelf, and why.

    Args:
        day: The day to pack for, its market beside it.
        ask_share: Share of buyers who ask when their size is missing, 0 to 1.
        memory: Share of the evidence kept from one market day to the next, above 0 to 1.
    """
    shelf: dict[int, list[Pair]] = defaultdict(list)
    for pair in free_pairs().select_related("pattern__design", "lot__yarn"):
        shelf[pair.pattern_id].append(pair)
    packed = _in_box(day)
    known = Pattern.objects.select_related("design").in_bulk([*shelf, *packed])
    read = closed_days(since=day.date - dt.timedelta(days=DAYS_READ_BACK), until=day.date)
    found = what_sells(
        read,
        ask_share=max(ask_share, LEAST_ASK_SHARE),
        patterns=known.values(),
        memory=memory,
    )
    kinds = _plan(day, found, shelf, packed)
    return PackPlan(
        kinds=tuple(kinds),
        places=day.market.places_on_table,
        packed=sum(packed.values()),
        days_read=len(read),
    )


def free_pairs() -> QuerySet[Pair]:
    """Return the pairs on the shelf that no customer is promised, firsts and oldest first."""
    promised = Order.objects.due().filter(pair__isnull=False)
    # "first" sorts before "second".
    return (
        Pair.objects.on_shelf()
        .exclude(pk__in=promised.order_by().values("pair_id"))
        .order_by("quality", "number")
    )


def pairs_of_numbers(text: str) -> list[int]:
    """Return the pair ids of numbers typed or scanned one after another.

    Raises:
        SalesError: If nothing was given, or a number is unreadable or not in the book.
    """
    words = text.replace(",", " ").replace(";", " ").split()
    if not words:
        msg = say("Type or scan a number first, like P1042.")
        raise SalesError(msg, field="numbers")
    if len(words) > MOST_NUMBERS:
        msg = say(
            "{count} numbers at once; give at most {MOST_NUMBERS}.",
            count=len(words),
            MOST_NUMBERS=MOST_NUMBERS,
        )
        raise SalesError(msg, field="numbers")
    numbers = {word: number_in(word) for word in words}
    found = dict(
        Pair.objects.filter(number__in=[n for n in numbers.values() if n is not None]).values_list(
            "number", "pk"
        )
    )
    for word, number in numbers.items():
        if number is None:
            msg = say("“{word}” is no pair number. Type what is on the tag, like P1042.", word=word)
            raise SalesError(msg, field="numbers")
        if number not in found:
            msg = say(
                "The book has no pair P{number}. Nothing was packed; check the tag.", number=number
            )
            raise SalesError(msg, field="numbers")
    return sorted({found[number] for number in numbers.values() if number is not None})


def _plan(
    day: MarketDay,
    found: WhatSells,
    shelf: dict[int, list[Pair]],
    packed: dict[int, int],
) -> Iterable[KindPlan]:
    told = found.kinds
    demands = [predict(kind.rate, day.factor, found.day_noise) for kind in told]
    stocks = [len(shelf[kind.pattern.pk]) for kind in told]
    boxed = [packed.get(kind.pattern.pk, 0) for kind in told]
    gains = _gains(told, shelf)
    losses = [gain * CARRYING_SHARE for gain in gains]
    counts = pack(
        [_BesidesPacked(demand, n) for demand, n in zip(demands, boxed, strict=True)],
        gains,
        losses,
        places=max(0, day.market.places_on_table - sum(packed.values())),
        available=stocks,
    )
    totals = [count + n for count, n in zip(counts, boxed, strict=True)]
    lines = pack_lines(demands, gains, losses, totals)
    for kind, demand, line, count, n in zip(told, demands, lines, counts, boxed, strict=True):
        pairs = tuple(shelf[kind.pattern.pk])
        if not (pairs or n or demand.mean >= WORTH_NAMING):
            continue
        yield KindPlan(
            pattern=kind.pattern,
            pairs=pairs,
            packed=n,
            bring=count,
            mean=demand.mean,
            reasons=_reasons(kind, demand, line),
            guess=kind.rate.guess,
        )


def _reasons(kind: KindHistory, demand: Prediction, line: PackLine) -> tuple[str, ...]:
    chance = say("Chance to sell one more: {following:.0%}.", following=line.next_chance)
    if line.last_chance is not None:
        chance = say(
            "Chance to sell pair {number} of it: {last:.0%}. {more}",
            number=line.count,
            last=line.last_chance,
            more=chance,
        )
    ahead = say("This day: {wanted}", wanted=prediction_reason(demand))
    return (rate_reason(kind.rate, LEVEL), ahead, chance)


def _gains(told: Sequence[KindHistory], shelf: dict[int, list[Pair]]) -> list[float]:
    """Return what a sale of each kind brings: the tags on the shelf, else the price list."""
    prices = current_prices(kind.pattern.pk for kind in told)
    gains = []
    for kind in told:
        tags = [p.price_minor for p in shelf[kind.pattern.pk] if p.price_minor is not None]
        price = prices.get(kind.pattern.pk)
        listed = price.of_quality(Quality.FIRST) if price else 1
        gains.append(float(max(1, sum(tags) / len(tags) if tags else listed)))
    return gains


def _in_box(day: MarketDay) -> dict[int, int]:
    rows = Pair.objects.filter(pk__in=box_of(day).values("pk")).values_list("pattern_id")
    return dict(rows.annotate(pairs=Count("pk")).order_by())
