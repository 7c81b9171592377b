"""The demo a tap away from an empty book, and never mixed with it."""

import re
import sqlite3
import time
import urllib.error
import urllib.request

import pytest

from tests.socktrade.opened import OpenBook, Visitor


def _answers(address: str) -> bool:
    try:
        with urllib.request.urlopen(address, timeout=2) as answer:  # noqa: S310 - our own address
            return answer.status == 200
    except (urllib.error.URLError, OSError):
        return False


def test_the_demo_opens_beside_an_empty_book_and_goes_with_it(tmp_path):
    with OpenBook(tmp_path) as book:
        visitor = Visitor()
        page = f"{book.address}/demo/open/"
        assert visitor.send(page).status == 200
        until = time.monotonic() + 120
        while not (
            found := re.search(r'href="(http://localhost:\d+/[^"]+)"', visitor.get(page).text)
        ):
            assert time.monotonic() < until
            time.sleep(0.5)
        link = found[1]

        assert "Demo book, invented" in Visitor().get(link).text
        with sqlite3.connect(tmp_path / "book.sqlite3") as own:
            assert own.execute("SELECT count(*) FROM production_act").fetchone() == (0,)

    health = re.match(r"http://localhost:\d+/", link)[0] + "health/"
    until = time.monotonic() + 20
    while _answers(health) and time.monotonic() < until:
        time.sleep(0.2)
    assert not _answers(health)


@pytest.mark.django_db
def test_a_hosted_book_offers_no_demo(client, page):
    for visitor in (client, page):
        assert visitor.get("/demo/open/").status_code == 404
        assert visitor.post("/demo/open/").status_code == 404
