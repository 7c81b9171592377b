"""The purchase at the till before it is paid: it lives in the session, day by day."""

import uuid
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import asdict, dataclass

from django.contrib.sessions.backends.base import UpdateError
from django.http import HttpRequest

from patterns.models import Pattern
from production.models import Pair, Quality
from sales.models import MarketDay, SaleLine
from sales.services.sums import takings
from sales.services.table import paid_for
from sales.services.tiles import Tile
from sales.services.till import MOST_LINES, Line

SESSION_KEY = "purchases"


@dataclass(slots=True)
class CartLine:
    """One line of the purchase, as plain as the session needs it."""

    name: str
    price_minor: int | None
    place: int = 0
    list_minor: int | None = None
    pattern: int | None = None
    quality: str = Quality.FIRST
    yarn: int | None = None
    pair: int | None = None
    number: str = ""
    reason: str = ""
    doubt: str = ""
    anyway: bool = False


class Cart:
    """The lines of one day's purchase. Every change is written to the session at once."""

    def __init__(self, request: HttpRequest, day: MarketDay) -> None:
        self.request, self.day = request, day
        kept = request.session.get(SESSION_KEY, {}).get(str(day.pk), {})
        self.lines = [CartLine(**line) for line in kept.get("lines", [])]
        self.back: list[int] = kept.get("back", [])
        self.key: str = kept.get("key") or str(uuid.uuid4())
        self._returned: list[SaleLine] | None = None

    def save(self) -> None:
        """Keep the purchase for the next request."""
        carts = self.request.session.setdefault(SESSION_KEY, {})
        carts[str(self.day.pk)] = {
            "lines": [asdict(line) for line in self.lines],
            "back": self.back,
            "key": self.key,
        }
        self.request.session.modified = True
        self._returned = None

    def clear(self) -> None:
        """Start the next purchase."""
        self.request.session.get(SESSION_KEY, {}).pop(str(self.day.pk), None)
        self.request.session.modified = True
        self.lines, self.back, self._returned = [], [], None
        self.key = str(uuid.uuid4())

    def clear_at_once(self) -> None:
        """Let the purchase go in the transaction that records it.

        The session is else written after the view. A process that ends between the two would
        leave a purchase that is sold, under a key that is used: the next one sold nothing.
        """
        self.clear()
        with suppress(UpdateError):  # signed out meanwhile; the middleware says so
            self.request.session.save()

    def add(self, line: CartLine) -> None:
        """Put a line into the purchase."""
        if len(self.lines) < MOST_LINES:
            line.place = max((other.place for other in self.lines), default=0) + 1
            self.lines.append(line)
            self.save()

    def remove(self, place: int) -> None:
        """Take a line out again; one that is gone already is no trouble."""
        self.lines = [line for line in self.lines if line.place != place]
        self.save()

    def line(self, place: int) -> CartLine | None:
        """Return a line by its place, if it is there."""
        return next((line for line in self.lines if line.place == place), None)

    @property
    def returned(self) -> list[SaleLine]:
        """Lines of earlier sales whose pairs are being brought back for exchange."""
        if self._returned is None:
            self._returned = list(
                SaleLine.objects.filter(pk__in=self.back, holds=True)
                .select_related("sale", "pair", "pattern__design")
                .order_by("pk")
                if self.back
                else []
            )
        return self._returned

    @property
    def prices(self) -> list[int]:
        """The prices taken, what has none yet as nothing [minor units]."""
        return [line.price_minor or 0 for line in self.lines]

    @property
    def credit_minor(self) -> int:
        """What the buyer gets for pairs brought back [minor units]."""
        return sum(paid_for(line) for line in self.returned)

    @property
    def money(self) -> dict[str, int]:
        """What is to pay: lines, tax, credit, and due (+) or to pay out (-) [minor units]."""
        taxed = takings(self.day, self.prices)
        credit = self.credit_minor
        return {
            "lines": sum(self.prices),
            "tax": taxed.tax_minor,
            "total": taxed.gross_minor,
            "credit": credit,
            "due": taxed.gross_minor - credit,
            "pay_out": max(0, credit - taxed.gross_minor),
        }

    @property
    def without_price(self) -> CartLine | None:
        """The first line that still needs a price."""
        return next((line for line in self.lines if line.price_minor is None), None)

    def pairs(self) -> Iterable[int]:
        """Return the ids of the pairs that were given by number."""
        return [line.pair for line in self.lines if line.pair]

    def in_cart(self, tile: Tile) -> int:
        """Return how many of a tile are in the purchase already."""
        return sum(
            1
            for line in self.lines
            if line.pair is None
            and (line.pattern, line.quality, line.yarn, line.list_minor)
            == (tile.pattern.pk, tile.quality, tile.yarn_id, tile.price_minor)
        )

    def as_sold(self) -> list[Line]:
        """Return the lines as the till records them."""
        pairs = Pair.objects.in_bulk(list(self.pairs()))
        patterns = Pattern.objects.in_bulk([line.pattern for line in self.lines if line.pattern])
        return [_as_sold(line, pairs, patterns) for line in self.lines]


def _as_sold(line: CartLine, pairs: dict[int, Pair], patterns: dict[int, Pattern]) -> Line:
    pair = pairs.get(line.pair) if line.pair else None
    return Line(
        price_minor=line.price_minor or 0,
        pair=pair,
        number="" if pair else line.number,
        pattern=patterns.get(line.pattern) if line.pattern else None,
        quality=line.quality,
        reason=line.reason,
        yarn_id=line.yarn,
        list_minor=line.list_minor,
    )
