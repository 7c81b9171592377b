"""The sheet a phone takes along: what lies on the table, its prices and the day's rules."""

import hashlib
import json
from collections.abc import Iterable
from typing import Any

from django.contrib.auth.models import User
from django.db.models import Count

from patterns.models import Pattern
from sales.models import DayState, MarketDay, Payment, Sale
from sales.services import daysheet
from sales.services.table import table_pairs
from sales.services.tiles import Tile, patterns_made, patterns_off_table, tiles_of
from socktrade.guild.standing import book_name as open_book

Kind = dict[str, Any]


def till_sheet(*, day: MarketDay, currency: str, digits: int, name: str) -> dict[str, Any]:
    """Return what the till needs to sell with no network, as plain JSON.

    `revision` names the content: the same book gives the same revision, so that a phone asks
    again for little more than a header.
    """
    made = patterns_made()
    tiles = tiles_of(day, made)
    places = {_tile_of(tile): place for place, tile in enumerate(tiles)}
    sheet = {
        "book": book_name(),
        "workshop": name,
        "day": {
            "id": day.pk,
            "name": day.market.name,
            "date": day.date.isoformat(),
            "state": day.state,
        },
        "currency": {"code": currency, "digits": digits},
        "tax": {
            "percent_thousandths": int(day.tax_percent * 1000),
            "included": day.tax_included,
            "per_line": day.tax_per_line,
        },
        "payments": [[choice.value, str(choice.label)] for choice in Payment],
        "kinds": [_kind(tile) for tile in tiles],
        "off_table": [_off_table(*row) for row in patterns_off_table(day, tiles, made)],
        "pairs": _pairs(day, places),
        "to_sort_out": daysheet.count_open_items(),
        "takings": _takings(day),
    }
    return {**sheet, "revision": _revision(sheet)}


def open_days() -> Iterable[MarketDay]:
    """Return the days a phone may sell on now."""
    return MarketDay.objects.filter(state=DayState.OPEN).with_market().order_by("-date", "pk")


def book_name() -> str:
    """Return what tells this book from another one served at the same address.

    A phone must not send the acts of one book into another, such as the demo.
    """
    first = User.objects.order_by("pk").values_list("date_joined", flat=True).first()
    return f"{open_book()} {first.isoformat() if first else ''}".strip()


def _tile_of(tile: Tile) -> tuple[int, str, int, int | None]:
    return tile.pattern.pk, tile.quality, tile.yarn_id, tile.price_minor


def _kind(tile: Tile) -> Kind:
    return {
        "key": tile.key,
        "name": str(tile.name),
        "design": str(tile.pattern.design),
        "size": tile.pattern.size_name,
        "colour": tile.colour if tile.several_colours else "",
        "quality": tile.quality,
        "pattern": tile.pattern.pk,
        "yarn": tile.yarn_id,
        "list_minor": tile.price_minor,
        "left": tile.left,
    }


def _off_table(pattern: Pattern, price_minor: int | None) -> Kind:
    return {
        "key": f"{pattern.pk}-first",
        "name": str(pattern),
        "design": str(pattern.design),
        "size": pattern.size_name,
        "colour": "",
        "quality": "first",
        "pattern": pattern.pk,
        "yarn": None,
        "list_minor": price_minor,
        "left": 0,
    }


def _pairs(day: MarketDay, places: dict[tuple[int, str, int, int | None], int]) -> dict[str, int]:
    rows = (
        table_pairs(day)
        .order_by("number")
        .values_list("number", "pattern_id", "quality", "lot__yarn_id", "price_minor")
    )
    return {str(number): places[tuple(kind)] for number, *kind in rows if tuple(kind) in places}  # type: ignore[index]


def _takings(day: MarketDay) -> dict[str, int]:
    counted = Sale.objects.standing().filter(day=day).aggregate(purchases=Count("pk"))
    return {"purchases": counted["purchases"] or 0}


def _revision(sheet: dict[str, Any]) -> str:
    words = json.dumps(sheet, sort_keys=True)
    return hashlib.sha256(words.encode()).hexdigest()[:16]
