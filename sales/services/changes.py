"""Changes that move neither socks nor money, written down with who and when."""

from production.services.acts import Who
from sales.models import Change, Market, MarketDay, Order

LONGEST = 300
NEWEST = 20


def note_change(
    who: Who | None,
    words: str,
    *,
    market: Market | None = None,
    day: MarketDay | None = None,
    order: Order | None = None,
) -> None:
    """Write down a change of a market, a day or an order; an import knows nobody."""
    if who is not None:
        Change.objects.create(
            at=who.at, by=who.by, words=str(words)[:LONGEST], market=market, day=day, order=order
        )


def changes_of(thing: Market | MarketDay | Order) -> list[Change]:
    """Return what was changed about it, the newest first."""
    return list(thing.changes.select_related("by").order_by("-pk")[:NEWEST])
