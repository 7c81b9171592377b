"""What lies where while a season of a made-up past goes by."""

import datetime as dt
import random
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from django.utils import timezone

from production.core.places import SockPlace
from production.models import DyeLot, Pair, Quality, Sock
from socktrade.demo.scene import KINDS, Kind
from socktrade.history.house import House
from socktrade.history.ink import Ink


@dataclass(slots=True)
class Stock:
    """A lot in use: what the book has of it, and its cones."""

    lot: DyeLot
    grams: Decimal
    packages: int


@dataclass(slots=True)
class State:
    """One season: its dice, its baskets, its shelf."""

    ink: Ink
    house: House
    dice: random.Random
    pairs: int
    baskets: dict[SockPlace, list[Sock]] = field(default_factory=lambda: defaultdict(list))
    socks_of: dict[int, tuple[Sock, Sock]] = field(default_factory=dict)
    to_tag: list[Pair] = field(default_factory=list)
    shelf: list[Pair] = field(default_factory=list)
    box: list[Pair] = field(default_factory=list)
    gone: list[Pair] = field(default_factory=list)
    lots: dict[str, Stock] = field(default_factory=dict)

    def price_of(self, pair: Pair) -> int:
        """Return what stands on the tag of a pair [minor units]."""
        return int(pair.price_minor or 0)

    def of_kind(self, pairs: Sequence[Pair], kind: Kind) -> list[Pair]:
        """Return the pairs of a kind among some, the oldest first."""
        pattern = self.house.versions[kind].pattern_id
        return [pair for pair in pairs if pair.pattern_id == pattern]

    def shortest(self, count: int) -> list[Kind]:
        """Return the kinds whose stock and work in progress last least."""
        there: dict[int, float] = defaultdict(float)
        for pair in (*self.to_tag, *self.shelf, *self.box):
            there[pair.pattern_id] += 1
        for socks in self.baskets.values():
            for sock in socks:
                there[sock.version.pattern_id] += 0.5
        versions = self.house.versions
        return sorted(KINDS, key=lambda kind: there[versions[kind].pattern_id] / kind.wanted)[
            :count
        ]

    def about(self, minutes: float) -> float:
        """Return hand time near a usual one [min]."""
        return float(round(minutes * self.dice.uniform(0.85, 1.15)))


def moment(day: dt.date, hour: float) -> dt.datetime:
    """Return an hour of a day where the workshop is."""
    start = dt.datetime.combine(day, dt.time(int(hour), int(hour % 1 * 60)))
    return timezone.make_aware(start)


def worse_of(left: Sock, right: Sock) -> str:
    """Return the quality of a pair of two socks."""
    seconds = Quality.SECOND in (left.quality, right.quality)
    return Quality.SECOND if seconds else Quality.FIRST
