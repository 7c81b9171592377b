"""The row card in a real browser: tap, key, pedal, reload, and no signal."""

import re
from io import BytesIO

import pytest
from playwright.sync_api import expect
from pypdf import PdfReader

from patterns.forms.cards import MOST_ON_PAPER
from socktrade.models import CounterRestarts, Workshop
from tests.factories.patterns import SwatchFactory, make_version
from tests.factories.socktrade import UserFactory

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def card(screen, client, live_server, at, settings):
    Workshop.objects.create(pk=1, name="Test Bench", machine_told=True)
    maker = UserFactory(is_superuser=True)
    swatch = SwatchFactory(hanging_mm=6 * 25.4, hanging_rows=60)
    version = make_version(at=at, by=maker, swatch=swatch)
    client.force_login(maker)
    name = settings.SESSION_COOKIE_NAME
    kept = client.cookies[name].value
    screen.context.add_cookies([{"name": name, "value": kept, "url": live_server.url}])
    screen.goto(f"/patterns/versions/{version.pk}/card/?socks=2")
    return screen


def where(page):
    return page.locator("#stage-where")


def test_tap_key_and_pedal_each_go_on_one_step(card):
    expect(where(card)).to_have_text("Step 1 of 13")

    card.locator("#stage-go").click()
    expect(where(card)).to_have_text("Step 2 of 13, sock 1")
    expect(card.locator("#stage-count")).to_have_text("55")
    expect(card.locator("#stage-counter")).to_have_text("counter then reads 55")
    # 55 rows at 11 an inch are 5 in; her tubes hang 1.1 times as long.
    expect(card.locator("#stage-hangs")).to_have_text("hangs about 5.5 in")
    card.keyboard.press("b")
    expect(where(card)).to_have_text("Step 3 of 13, sock 1")
    # Cheap pedals type Enter, Page Down or a letter; after a tap the focus is on the button.
    card.keyboard.press("Enter")
    card.keyboard.press("PageDown")
    expect(where(card)).to_have_text("Step 5 of 13, sock 1")
    card.keyboard.press("ArrowLeft")
    expect(where(card)).to_have_text("Step 4 of 13, sock 1")


def test_rows_are_counted_one_by_one_and_the_next_is_told_early(card):
    card.locator("#stage-rows").check()
    for _ in range(12):
        card.keyboard.press("n")

    expect(card.locator("#stage-count")).to_have_text("12")
    expect(card.locator("#stage-next")).to_have_class(re.compile("soon"))
    expect(card.locator("#stage-next")).to_contain_text("Change to sock yarn")
    for _ in range(3):
        card.keyboard.press("n")
    expect(where(card)).to_have_text("Step 2 of 13, sock 1")
    expect(card.locator("#stage-count")).to_have_text("0")


def test_a_held_key_counts_once(card):
    card.keyboard.down("n")
    card.keyboard.down("n")
    card.keyboard.down("n")
    card.keyboard.up("n")

    expect(where(card)).to_have_text("Step 2 of 13, sock 1")


def test_a_reload_keeps_the_place(card):
    for _ in range(4):
        card.keyboard.press("n")

    card.reload()

    expect(where(card)).to_have_text("Step 5 of 13, sock 1")


def test_the_card_goes_on_and_comes_back_without_signal(card):
    card.evaluate("navigator.serviceWorker.ready.then(() => null)")
    # Once more, so that the page itself comes through the keeper.
    card.reload()
    expect(where(card)).to_have_text("Step 1 of 13")
    card.context.set_offline(True)

    card.keyboard.press("n")
    expect(where(card)).to_have_text("Step 2 of 13, sock 1")
    card.reload()

    expect(where(card)).to_have_text("Step 2 of 13, sock 1")
    card.keyboard.press("n")
    expect(where(card)).to_have_text("Step 3 of 13, sock 1")
    card.context.set_offline(False)


def test_the_end_offers_to_log_the_string(card):
    expect(card.locator("#stage-log")).to_be_hidden()
    for _ in range(13):
        card.keyboard.press("n")

    link = card.locator("#stage-log a")
    expect(link).to_be_visible()
    assert "count=2" in link.get_attribute("href")
    for mark in card.locator("[data-sock-state]").all():
        expect(mark).to_have_text(" knitted")


def test_starting_over_by_mistake_can_be_taken_back(card):
    for _ in range(6):
        card.keyboard.press("n")

    card.locator("#stage-over").click()
    expect(where(card)).to_have_text("Step 1 of 13")
    card.locator("#stage-over").click()

    expect(where(card)).to_have_text("Step 7 of 13, sock 1")


@pytest.mark.parametrize("restarts", CounterRestarts.values)
@pytest.mark.parametrize("sheet", ["A4", "Letter"])
@pytest.mark.parametrize("socks", [2, 6, MOST_ON_PAPER])
def test_a_paper_card_is_one_sheet(card, socks, sheet, restarts):
    Workshop.objects.update(counter_restarts=restarts)
    card.goto(re.sub(r"\?.*", f"paper/?socks={socks}", card.url))

    paper = PdfReader(BytesIO(card.pdf(format=sheet)))

    assert len(paper.pages) == 1
    assert "Tick each sock" in paper.pages[0].extract_text()
