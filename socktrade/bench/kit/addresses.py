"""Every page of the URL map with real things of the open book in it."""

import re
from collections.abc import Iterable, Iterator
from typing import Any

from django.db.models import QuerySet
from django.urls import URLPattern, URLResolver, get_resolver

from patterns.models import Pattern, PatternVersion, SizeRow
from production.models import Act, ActKind, Care, DyeLot, LabelChoice, Pair, Sock, String, Yarn
from sales.models import Market, MarketDay, Order, Sale, SaleLine, SortOut

PLACE = re.compile(r"<(?:\w+:)?(\w+)>")


def samples() -> dict[str, object]:
    """Return one value for each name that stands in an address; 0 where the book has none."""
    return {
        **_of_patterns(),
        **_of_the_bench(),
        **_of_sales(),
        "key": "seam",
        "by": "market",
        "place": 0,
        "token": "old",
        "secret": "old",
        "pk": 1,
        "pass_id": 1,
        "user_id": 1,
        "signed_id": 1,
        "row_id": 1,
        "table": "stock",
    }


def _of_patterns() -> dict[str, object]:
    return {
        "pattern_id": _one(Pattern.objects.by_size().reverse()),
        "version_id": _one(PatternVersion.objects.order_by("-pk")),
        "size_id": _one(SizeRow.objects.order_by("pk")),
    }


def _of_the_bench() -> dict[str, object]:
    socks = Sock.objects.order_by("pk")
    sock = socks.filter(place="to_seam").first() or socks.last()
    return {
        "yarn_id": _one(Yarn.objects.order_by("pk")),
        "care_id": _one(Care.objects.order_by("pk")),
        "choice_id": _one(LabelChoice.objects.order_by("pk")),
        "lot_id": _one(DyeLot.objects.order_by("pk")),
        "number": sock.string.number if sock else 0,
        "position": sock.position if sock else 0,
        "act_id": _one(Act.objects.filter(kind=ActKind.COUNT).order_by("pk")) or 1,
        "pair_number": _one(Pair.objects.order_by("-number"), "number"),
        "string": _one(String.objects.order_by("-number"), "number"),
    }


def _of_sales() -> dict[str, object]:
    return {
        "market_id": _one(Market.objects.order_by("pk")),
        "day_id": _one(MarketDay.objects.upcoming()) or _one(MarketDay.objects.order_by("-date")),
        "order_id": _one(Order.objects.order_by("pk")),
        "item_id": _one(SortOut.objects.order_by("pk")),
        "line_id": _one(SaleLine.objects.filter(holds=True, pair__isnull=False).order_by("-pk")),
        "sale_id": _one(Sale.objects.order_by("-pk")),
    }


def _one(rows: QuerySet[Any], figure: str = "pk") -> Any:
    return rows.values_list(figure, flat=True).first() or 0


def addresses(values: dict[str, object]) -> Iterator[tuple[str, str]]:
    """Yield full name and address of every route.

    Raises:
        ValueError: If a name in an address has no sample; add one to `samples`.
    """
    for name, route in _routes(get_resolver().url_patterns, "", ""):
        filled = route.replace("P<int:number>", f"P{values['pair_number']}")
        for place in PLACE.findall(filled):
            if place not in values:
                msg = f"{name} asks for <{place}>, which has no sample; use one of {[*values]}."
                raise ValueError(msg)
        yield name, "/" + PLACE.sub(lambda found: str(values[found.group(1)]), filled)


def _routes(
    patterns: Iterable[URLPattern | URLResolver], before: str, space: str
) -> Iterator[tuple[str, str]]:
    for pattern in patterns:
        route = before + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            inner = f"{space}{pattern.namespace}:" if pattern.namespace else space
            yield from _routes(pattern.url_patterns, route, inner)
        else:
            yield space + (pattern.name or route), route
