"""The till in another language, in a real Chromium, with the network cut.

How German writes an amount and a time is CLDR's, as the browser and Babel both carry it.
"""

import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from playwright.sync_api import expect

from socktrade.models import Workshop
from socktrade.money import format_minor
from tests.browser.phone import Phone, take_turns
from tests.factories.sales import open_stall

pytestmark = pytest.mark.django_db(transaction=True)

WORDS = {
    "To pay": "Zu zahlen",
    "Change %(money)s": "Rückgeld %(money)s",
    "cash": "bar",
}
COUNTED = {
    ("%(count)s pair", "%(count)s pairs"): ("%(count)s Paar", "%(count)s Paare"),
    ("%(count)s waiting", "%(count)s waiting"): ("%(count)s wartet", "%(count)s warten"),
    (
        "Sold %(count)s pair, %(paid)s %(way)s, %(time)s",
        "Sold %(count)s pairs, %(paid)s %(way)s, %(time)s",
    ): (
        "%(count)s Paar verkauft, %(paid)s %(way)s, %(time)s",
        "%(count)s Paare verkauft, %(paid)s %(way)s, %(time)s",
    ),
}


@pytest.fixture
def day(maker, settings, tmp_path):
    folder = tmp_path / "words" / "de" / "LC_MESSAGES"
    folder.mkdir(parents=True)
    catalogue = Catalog(locale="de")
    for english, german in (WORDS | COUNTED).items():
        catalogue.add(english, german)
    with (folder / "djangojs.mo").open("wb") as file:
        write_mo(file, catalogue)
    settings.LOCALE_PATHS = [tmp_path / "words"]
    day = open_stall(maker, pairs=6)
    Workshop.objects.update(language="de", currency="EUR")
    return day


@pytest.fixture
def phone(chromium, live_server, maker, tmp_path, monkeypatch):
    take_turns(monkeypatch)
    phone = Phone(chromium, live_server.url, tmp_path / "phone", maker)
    yield phone
    phone.close()
    assert phone.troubles == []


def test_the_till_speaks_german_with_no_network_after_a_reload(phone, day):
    phone.open(day)
    phone.keep_the_till()
    phone.cut_off()
    phone.page.reload()
    phone.page.wait_for_selector("html[data-ready=yes]")
    tile = phone.page.locator("#tiles .tile").first

    tile.click()
    tile.click()
    phone.page.fill("#given", "60,50")

    price = format_minor(5600, "EUR", "de_DE")
    expect(phone.page.locator("#due-word")).to_have_text("Zu zahlen")
    expect(phone.page.locator("#due")).to_have_text(price)
    expect(phone.page.locator("#pairs")).to_have_text("2 Paare")
    change = format_minor(450, "EUR", "de_DE")
    expect(phone.page.locator("#change")).to_have_text(f"Rückgeld {change}")

    phone.page.locator("#pay-acts button[value=cash]").click()

    expect(phone.page.locator("#last-words")).to_contain_text(f"2 Paare verkauft, {price} bar, ")
    expect(phone.page.locator("#state")).to_contain_text("1 wartet")
