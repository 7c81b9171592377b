"""The demo book for the browser: played once in a run, then put back for each test."""

import datetime as dt
import sqlite3

from django.contrib.auth.models import User
from django.db import connection

from production.models import Pair
from production.services.acts import Who
from sales.models import MarketDay
from sales.services.days import open_day, pack_pairs
from sales.services.shelf import count_shelf, shelf_kinds
from socktrade.access.table import DOORS
from socktrade.demo import ensure_demo
from tests.browser.addresses import addresses, samples

# What a plain visit of a signed-in maker meets no page at, and why.
NO_PAGE = {
    "data_template": "a table to fill in",
    "favicon": "a picture",
    "log_string": "leads on to the string's own page",
    "patterns:size_run_csv": "leads back to the run until it has a sock",
    "production:care_cards": "paper",
    "production:count_sheet": "paper",
    "production:long_print": "kept only while a long print is made",
    "production:long_print_pdf": "paper",
    "production:price_board": "paper",
    "production:shelf_cards": "paper",
    "production:string_check": "part of a page",
    "production:string_slip": "paper",
    "production:tag_css": "rules of paper",
    "production:tag_pdf": "paper",
    "production:tag_print": "paper",
    "production:tag_reprint": "paper of a tag that was printed",
    "sales:customers_csv": "a table",
    "sales:customers_json": "for machines",
    "sales:day_pack_list": "paper",
    "sales:day_sheet": "paper",
    "sales:day_tally": "paper",
    "sales:make_csv": "a table",
    "sales:order_data": "for machines",
    "sales:prices_csv": "a table",
    "sales:season_csv": "a table",
    "sales:season_sheet": "paper",
    "sales:sells_by_csv": "a table",
    "sales:sells_csv": "a table",
    "sales:stall": "leads to the opening of a day that is not open; see the open day",
    "sales:stock_csv": "a table",
    "sales:stock_sheet": "paper",
    "sales:takings_csv": "a table",
    "sales:takings_sheet": "paper",
    "sales:till_days": "for machines",
    "sales:till_json": "for machines",
}
_kept: list[sqlite3.Connection] = []
_found: list[tuple[str, str]] = []


def open_demo() -> User:
    """Put the demo into the empty book and return its maker."""
    if connection.vendor == "sqlite" and _kept:
        connection.ensure_connection()
        _kept[0].backup(connection.connection)
    else:
        _play()
        if connection.vendor == "sqlite":
            _kept.append(sqlite3.connect(":memory:"))
            connection.connection.backup(_kept[0])
    return User.objects.get()


def _play():
    now = dt.datetime.now(tz=dt.UTC)
    ensure_demo(now=now)
    who = Who(by=User.objects.get(), at=now)
    kind = shelf_kinds()[0]
    count_shelf(counted={(kind.pattern.pk, kind.quality): 0}, who=who)
    day = MarketDay.objects.upcoming()[1]
    pairs = Pair.objects.filter(place="shelf").order_by("pk")[:8]
    pack_pairs(day=day, pair_ids=[pair.pk for pair in pairs], who=who)
    open_day(day=day, float_minor=8000, who=who)


def pages_of(client) -> list[tuple[str, str]]:
    """Return name and address of every page: of the URL map, and of what an address becomes.

    An address that gives no page must stand in `NO_PAGE`, so that none is passed over. The book
    that is put back has the same pages, so they are asked for once.
    """
    if not (_found and _kept):
        _found[:] = _find_pages(client)
    return list(_found)


def _find_pages(client) -> list[tuple[str, str]]:
    found = []
    for name, address in addresses(samples()):
        answer = client.get(address)
        assert answer.status_code < 500, address
        # Parts of a page, PDFs and tables come without a document around them.
        is_page = not answer.streaming and b"<!doctype html>" in answer.content[:200]
        if name == "sales:till_shell":
            continue  # moves on to the open day by itself
        if answer.status_code == 200 and is_page:
            found.append((name, address))
        elif answer.status_code != 405 and name not in DOORS:
            assert name in NO_PAGE, f"{name} gives no page at {address}: {answer.status_code}"
    day = MarketDay.objects.get(state="open").pk
    return [
        *found,
        ("sales:stall", f"/stall/{day}/"),
        ("sales:till_shell", f"/stall/till/?day={day}"),
        ("not found", "/no-such-page/"),
    ]


def visit(screen, address: str) -> None:
    """Go to a page and wait until it stands."""
    screen.goto(address)
    if "/stall/till/" in address:
        screen.locator("#tiles .tile").first.wait_for()
