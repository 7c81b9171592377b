"""What the pages of finished pairs ask: the newest pairs, and what each pattern costs."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Q

from patterns.models import Pattern
from production.core.places import PairPlace
from production.models import Pair, Price, Sock
from production.services.pairs import current_prices

PAGE_PAIRS = 50


@dataclass(frozen=True, slots=True)
class PairPage:
    """Some pairs, newest first; `next_before` is where the older ones begin, if any."""

    pairs: tuple[Pair, ...]
    next_before: int | None


@dataclass(frozen=True, slots=True)
class Priced:
    """A pattern and what it costs today, if it has a price."""

    pattern: Pattern
    price: Price | None


def newest_pairs(*, place: PairPlace | None = None, before: int | None = None) -> PairPage:
    """Return 50 pairs, the newest first, of one place or of all."""
    pairs = Pair.objects.with_kind().order_by("-number")
    if place is not None:
        pairs = pairs.filter(place=place)
    if before is not None:
        pairs = pairs.filter(number__lt=before)
    found = list(pairs[: PAGE_PAIRS + 1])
    shown = found[:PAGE_PAIRS]
    return PairPage(tuple(shown), shown[-1].number if len(found) > PAGE_PAIRS else None)


def priced_patterns() -> list[Priced]:
    """Return every pattern with its price, those without one first."""
    patterns = list(Pattern.objects.select_related("design").by_size())
    prices = current_prices(pattern.pk for pattern in patterns)
    priced = [Priced(pattern, prices.get(pattern.pk)) for pattern in patterns]
    return sorted(priced, key=lambda one: one.price is not None)


def price_history(
    pattern: Pattern, *, before: Price | None = None, most: int = PAGE_PAIRS
) -> Iterable[Price]:
    """Return the prices of a pattern, the newest first.

    Args:
        pattern: Whose prices.
        before: The last one shown already; none from the newest.
        most: How many at most.
    """
    prices = pattern.prices.order_by("-since", "-pk")
    if before is not None:
        same = Q(since=before.since, pk__lt=before.pk)
        prices = prices.filter(Q(since__lt=before.since) | same)
    told = ("pattern", "first_minor", "second_minor", "since", "by__username")
    return prices.select_related("by").only(*told)[:most]


def sock_numbered(number: int, position: int) -> Sock | None:
    """Return the sock with this number, e.g. 212 and 3 for `212-03`."""
    return (
        Sock.objects.filter(string__number=number, position=position).select_related("string")
    ).first()
