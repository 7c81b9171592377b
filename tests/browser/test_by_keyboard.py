"""The whole main path with a keyboard and no pointer, each thing known as it is said.

WCAG 2.2: 2.1.1 and 2.1.2, and at each stop 2.4.7 and 2.4.11; 4.1.2 for roles and names; 4.1.3 and
3.3.1 for what a page says after an act.
"""

import datetime as dt
import re

import pytest
from playwright.sync_api import expect

from production.models import Pair
from sales.models import MarketDay, SaleLine
from tests.browser.keys import Keys
from tests.factories.patterns import SwatchFactory
from tests.factories.production import stocked_lot
from tests.factories.socktrade import UserFactory, WorkshopFactory

pytestmark = pytest.mark.django_db(transaction=True)

PASSWORD = "cuff-heel-foot-toe"
STEPS = (
    ("To cut", "cut"),
    ("To seam", "seamed"),
    ("To wash", "washed"),
    ("Drying", "dried"),
    ("To block", "blocked"),
)


@pytest.fixture
def book(transactional_db):
    """A book with a maker, a cylinder with its gauge, and yarn."""
    WorkshopFactory(machine_told=True)
    maker = UserFactory(username="wren")
    maker.set_password(PASSWORD)
    maker.save()
    SwatchFactory(name="Sock wool washed")
    stocked_lot(by=maker)


def test_the_main_path_is_walked_by_keyboard_alone(screen, book):
    keys = Keys(screen)
    sign_in(keys)
    plan_a_sock(keys)
    log_a_string(keys)
    work_the_baskets(keys)
    mate_and_price(keys)
    tag(keys)
    add_a_market_and_a_day(keys)
    pack_and_open(keys)
    sell(keys)
    close_the_day(keys)
    count_the_shelf(keys)

    assert SaleLine.objects.count() == 1
    assert Pair.objects.filter(place="shelf").count() == 1


def heading(keys, text):
    expect(keys.screen.get_by_role("heading", level=1)).to_contain_text(text)


def done(keys, text):
    """What was done is said in a region for it, and has the focus: Tab goes on from there."""
    said = keys.screen.get_by_role("status").filter(has_text=text)
    expect(said).to_be_visible()
    expect(keys.screen.locator(".done:focus")).to_contain_text(text)


def refused(keys, name, text):
    """The field that was refused has the focus and says why."""
    expect(keys.screen.locator("[aria-invalid=true]:focus")).to_be_visible()
    said = keys.focused()
    assert name in said["name"]
    assert text in said["description"]


def home(keys):
    keys.follow("Test Bench")
    heading(keys, "Today")


def sign_in(keys):
    keys.screen.goto("/")
    keys.type("Name", "wren")
    keys.type("Password", PASSWORD)
    keys.press("Sign in")
    heading(keys, "Today")
    keys.follow("Skip to the page")
    expect(keys.screen.locator("main:focus")).to_be_visible()


def plan_a_sock(keys):
    open_page(keys, "Patterns")
    keys.follow(re.compile("^Plan"))
    heading(keys, "Plan")
    keys.type("Foot, heel to longest toe", "big")
    keys.choose("Washed swatch", "Sock wool washed")
    keys.type("Yarn count", "100 g / 400 m")
    keys.press("Plan it")
    refused(keys, "Foot", "big")
    keys.screen.keyboard.press("ControlOrMeta+A")
    keys.screen.keyboard.type("9 5/8 in")
    keys.press("Plan it")
    expect(keys.screen.get_by_role("heading", name="On the 64")).to_be_visible()
    keys.type("Name of the new design", "Quay plain")
    keys.press("Save the pattern")
    done(keys, "Quay plain")


def open_page(keys, name):
    """Unfold the pages of the book and follow one."""
    keys.unfold("Pages")
    keys.follow(name)


def log_a_string(keys):
    home(keys)
    keys.follow("Log a string")
    keys.type("Socks", "4", role="spinbutton")
    keys.press("Log the string")
    done(keys, "4 socks")


def work_the_baskets(keys):
    for basket, word in STEPS:
        home(keys)
        keys.follow(basket)
        keys.tick("The whole basket")
        keys.press(re.compile(rf"Done: 4 {word}"))
        done(keys, "4 socks")


def mate_and_price(keys):
    home(keys)
    keys.follow("To mate")
    keys.tick("All of them")
    keys.press("Mate 2 pairs")
    done(keys, "P1001")
    open_page(keys, "Pairs")
    keys.follow("Prices")
    keys.follow("Quay plain")
    keys.type("A first", "28")
    keys.type("A second", "18")
    keys.press("Set the price from now on")
    done(keys, "Quay plain")


def tag(keys):
    open_page(keys, "Tags")
    papers = []
    keys.screen.route("**/tags/start/", lambda sent: keep_paper(sent, papers))
    with keys.screen.expect_response("**/tags/start/"):
        keys.press("See the PDF")
    assert papers[0].startswith(b"%PDF")
    keys.press("Tags are on")
    done(keys, "2 pairs")


def keep_paper(sent, papers):
    """Take the paper out of the answer, so that the browser's own reader stays shut."""
    papers.append(sent.fetch().body())
    sent.fulfill(status=204)


def add_a_market_and_a_day(keys):
    open_page(keys, "Markets")
    keys.follow("Add a market")
    keys.type("Name", "Quay market")
    keys.type("Opens", "1200AM")
    keys.type("Closes", "1159PM")
    keys.type("Stall fee", "25")
    keys.press("Add the market")
    done(keys, "Quay market")
    open_page(keys, "Markets")
    keys.follow("Plan days")
    keys.to("textbox", "Date")
    keys.screen.keyboard.type(dt.datetime.now(tz=dt.UTC).strftime("%m%d%Y"))
    keys.press("Plan this day")
    done(keys, "Quay market")


def pack_and_open(keys):
    open_page(keys, "Markets")
    day = MarketDay.objects.get()
    keys.follow(str(day.market))
    keys.follow("Pack for this day")
    keys.press("Pack the ticked pairs")
    done(keys, "2 pairs")
    keys.follow("Open the stall")
    keys.type("Money in the tin", "80")
    keys.press("Open the stall")
    heading(keys, "Quay market")


def sell(keys):
    keys.press("Quay plain", key="Space")
    expect(keys.screen.locator("#sum-said")).to_contain_text("$28.00")
    keys.press("Cash")
    expect(keys.screen.get_by_role("main")).to_contain_text("1 pair, $28.00 cash")


def close_the_day(keys):
    keys.follow("Close")
    keys.type("Cash in the tin", "108")
    keys.press("Close the day")
    expect(keys.screen.get_by_role("main")).to_contain_text("$28.00")


def count_the_shelf(keys):
    open_page(keys, "Shelf")
    keys.follow("Count the shelf")
    keys.type("Quay plain", "1")
    keys.press("Write the count down")
    heading(keys, "Count")
    expect(keys.screen.get_by_role("main")).to_contain_text("1 counted")
