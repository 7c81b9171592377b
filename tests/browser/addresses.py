"""Every page of the URL map with real things of the demo book in it."""

import re
from collections.abc import Iterator

from django.urls import URLPattern, URLResolver, get_resolver

from patterns.models import Pattern, PatternVersion, SizeRow
from production.models import Act, ActKind, Care, DyeLot, LabelChoice, Pair, Sock, String, Yarn
from sales.models import Market, MarketDay, Order, Sale, SaleLine, SortOut

PLACE = re.compile(r"<(?:\w+:)?(\w+)>")


def samples() -> dict[str, object]:
    """Return one value for each name that stands in an address."""
    sock = Sock.objects.select_related("string").filter(place="to_seam").first()
    day = MarketDay.objects.upcoming().first()
    return {
        "pattern_id": Pattern.objects.by_size().last().pk,
        "version_id": PatternVersion.objects.last().pk,
        "yarn_id": Yarn.objects.first().pk,
        "care_id": Care.objects.values_list("pk", flat=True).first() or 0,
        "choice_id": LabelChoice.objects.values_list("pk", flat=True).first() or 0,
        "lot_id": DyeLot.objects.first().pk,
        "number": sock.string.number,
        "position": sock.position,
        "key": "seam",
        "by": "market",
        "market_id": Market.objects.first().pk,
        "day_id": day.pk,
        "order_id": Order.objects.first().pk,
        "item_id": SortOut.objects.first().pk,
        "line_id": SaleLine.objects.filter(holds=True, pair__isnull=False).last().pk,
        "act_id": Act.objects.filter(kind=ActKind.COUNT).values_list("pk", flat=True).first() or 1,
        "pair_number": Pair.objects.order_by("-number").values_list("number", flat=True).first(),
        "place": 0,
        "size_id": SizeRow.objects.order_by("pk").values_list("pk", flat=True).first(),
        "token": "old",
        "secret": "old",
        "pk": 1,
        "pass_id": 1,
        "user_id": 1,
        "signed_id": 1,
        "sale_id": Sale.objects.values_list("pk", flat=True).last(),
        "row_id": 1,
        "table": "stock",
        "string": String.objects.order_by("-number").values_list("number", flat=True).first(),
    }


def addresses(values: dict[str, object]) -> Iterator[tuple[str, str]]:
    """Yield full name and address of every route.

    A name in an address without a sample stops the test: add one to `samples`.
    """
    for name, route in _routes(get_resolver().url_patterns, "", ""):
        filled = route.replace("P<int:number>", f"P{values['pair_number']}")
        for place in PLACE.findall(filled):
            assert place in values, f"{name}: add a sample for <{place}> to addresses.py"
        yield name, "/" + PLACE.sub(lambda found: str(values[found.group(1)]), filled)


def _routes(patterns, before: str, space: str) -> Iterator[tuple[str, str]]:
    for pattern in patterns:
        route = before + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            inner = f"{space}{pattern.namespace}:" if pattern.namespace else space
            yield from _routes(pattern.url_patterns, route, inner)
        elif isinstance(pattern, URLPattern):
            yield space + (pattern.name or route), route
