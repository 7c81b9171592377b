"""From an empty book to a stranger's own first string and first tag, in ten minutes of doing.

The way is only by what the pages offer: no address is typed, but the link that `open` prints.
"""

import io
import re

import pypdf
import pytest
from playwright.sync_api import expect

from socktrade.first_run import make_token
from tests.browser.hand import Hand

pytestmark = pytest.mark.django_db(transaction=True)

MINUTES_OF_DOING = 10


def test_a_stranger_logs_a_string_and_prints_a_tag_in_ten_minutes(screen):
    hand = Hand(screen)
    screen.goto(f"/start/{make_token()}/")
    hand.read()
    open_the_book(hand)
    add_a_cylinder_and_a_gauge(hand)
    plan_a_sock(hand)
    put_yarn_in_the_book(hand)
    log_a_string(hand)
    finish_the_socks(hand)
    print_the_tag(hand)

    assert hand.doing + hand.reading < MINUTES_OF_DOING * 60


def open_the_book(hand):
    hand.type("Your sign-in name", "wren")
    hand.type("A password", "cuff-heel-foot")
    hand.type("Workshop name", "Wren Socks")
    hand.type("Town", "Port Ellery")
    hand.type("Name or number on labels", "Wren Socks")
    hand.press("Open the book")


def add_a_cylinder_and_a_gauge(hand):
    hand.follow("Add a cylinder")
    hand.type("Needles", "64")
    hand.press("Add the cylinder")
    hand.follow("write down its gauge")
    hand.type("Name of the swatch", "Sock wool")
    hand.tick("washed and dried")
    fields = hand.screen.locator(".pairs-of-fields input")
    for field, text in zip(fields.all()[:4], ("32", "4 in", "44", "4 in"), strict=True):
        hand.type_into(field, text)
    hand.press("Add the swatch")


def plan_a_sock(hand):
    hand.follow(re.compile("plan", re.IGNORECASE))
    hand.type("Foot, heel to longest toe", "9 5/8 in")
    hand.type("Height, floor to top of cuff", "7 in")
    hand.type("Yarn count", "100 g / 400 m")
    hand.press("Plan it")
    hand.type("Name of the new design", "Quay plain")
    hand.press(re.compile("Save"))


def put_yarn_in_the_book(hand):
    hand.follow("Wren Socks")
    hand.follow("Add yarn")
    hand.type("Yarn", "Sock wool")
    hand.type("Colour", "Kelp")
    fibres = hand.screen.locator(
        "[name=fibre_1], [name=percent_1], [name=fibre_2], [name=percent_2]"
    )
    for field, text in zip(fibres.all(), ("wool", "75", "nylon", "25"), strict=True):
        hand.type_into(field, text)
    hand.type("Count or put-up", "100 g / 400 m")
    hand.choose("Care", "Superwash/nylon")
    hand.type("Dye lot", "7")
    hand.type("All of it on the scale", "500")
    hand.type("How many", "1")
    hand.type("One empty cone", "38")
    hand.press("Put the yarn in the book")
    expect(hand.screen.locator("main")).to_contain_text("462 g")


def log_a_string(hand):
    hand.follow("Wren Socks")
    hand.follow("Log a string")
    hand.type("Socks", "2")
    hand.press("Log the string")
    expect(hand.screen.locator("h1")).to_contain_text("String 1")


def finish_the_socks(hand):
    for basket, done in (
        ("To cut", "cut"), ("To seam", "seamed"), ("To wash", "washed"),
        ("Drying", "dried"), ("To block", "blocked"),
    ):  # fmt: skip
        hand.follow("Wren Socks")
        hand.follow(basket)
        hand.tick("The whole basket")
        hand.press(re.compile(f"Done: .*{done}"))
    hand.follow("Wren Socks")
    hand.follow("To mate")
    hand.tick("All of them")
    hand.press(re.compile("Mate"))


def print_the_tag(hand):
    hand.follow("Wren Socks")
    hand.follow("To tag")
    address = hand.screen.get_by_role("button", name="See the PDF").evaluate(
        "b => b.form.action + '?' + new URLSearchParams(new FormData(b.form))"
    )
    answer = hand.screen.request.get(address)
    assert answer.headers["content-type"] == "application/pdf"
    words = pypdf.PdfReader(io.BytesIO(answer.body())).pages[0].extract_text()
    for needed in ("75% Wool", "25% Nylon", "P1001", "Wren Socks"):
        assert needed in words, words
