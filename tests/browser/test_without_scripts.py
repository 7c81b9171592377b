"""The book where no script runs: each page stands, and the work of a day is done by forms alone.

The till of the phone is left out, which says itself that it needs scripts; the row card is its
list of steps then.
"""

import re

import pytest
from playwright.sync_api import expect

from production.models import Pair, Sock
from sales.models import MarketDay, SaleLine
from tests.browser.book import pages_of, visit
from tests.browser.conftest import PHONE

pytestmark = pytest.mark.django_db(transaction=True)

# What stands there and answers nobody: buttons and links that wait for a script, forms that
# cannot be sent, words that only a script would fill in.
DEAD = """() => {
  const seen = (one) => one.checkVisibility({ visibilityProperty: true });
  const folded = (one) => one.closest("details:not([open])");
  const name = (one) => `<${one.localName}> “${one.textContent.trim().slice(0, 40)}”`;
  const all = (what) => [...document.querySelectorAll(what)];
  const told = all("button[type=button], a:not([href]), a[href='#'], a[href^='javascript:']")
    .filter((one) => seen(one) || folded(one) && !one.closest("[hidden]"))
    .map((one) => `${name(one)} does nothing`);
  for (const one of all("[hx-get], [hx-post]")) {
    if (!one.matches("form, a") && !one.matches("[hx-trigger*=load]"))
      told.push(`${name(one)} asks by script only`);
    if (one.matches("form") && one.getAttribute("hx-post") !== one.getAttribute("action"))
      told.push(`${name(one)} goes elsewhere by script`);
  }
  for (const form of all("main form")) {
    const send = [...form.elements].filter((one) => one.type === "submit" && !one.disabled);
    if (form.matches(".nothing") || form.method === "dialog") continue;
    const asks = form.querySelector("input:not([type=hidden])");
    if (asks && !send.some((one) => seen(one) || folded(one)))
      told.push(`${name(form)} cannot be sent`);
  }
  const main = document.querySelector("main");
  if (!seen(main.querySelector("h1") ?? main)) told.push("shows no heading");
  if (main.innerText.trim().length < 40) told.push(`says only “${main.innerText.trim()}”`);
  return told;
}"""

ALL = "The whole basket|All .* socks on this page"
STEPS = (
    ("cut", "cut", ALL),
    ("seam", "seamed", ALL),
    # Wool and superwash may not share a load.
    ("wash", "washed", "This load"),
    ("dry", "dried", ALL),
    ("block", "blocked", ALL),
)


@pytest.fixture
def plain(signed_in):
    """A page of a phone on which no script runs."""
    return signed_in(viewport=PHONE, java_script_enabled=False)


def test_every_page_stands_without_scripts(plain, client):
    broken = []
    for name, address in pages_of(client):
        if name == "sales:till_shell":
            continue
        visit(plain, address)
        broken += [f"{name}: {told}" for told in plain.evaluate(DEAD)]

    assert not broken, "\n".join(broken)


def test_a_day_is_worked_without_scripts(plain):
    log_a_string(plain)
    work_the_baskets(plain)
    mate_and_tag(plain)
    sell(plain)
    close_the_day(plain)
    count_the_shelf(plain)


def press(screen, name):
    screen.get_by_role("button", name=name).first.click()


def done(screen, text):
    expect(screen.get_by_role("status").first).to_contain_text(text)


def tick(screen, name):
    screen.get_by_label(name).first.check()


def log_a_string(screen):
    before = Sock.objects.count()
    screen.goto("/")
    screen.get_by_role("link", name="Log a string").click()
    screen.get_by_label("Socks").first.fill("4")
    press(screen, "Log the string")
    done(screen, "4 socks")
    assert Sock.objects.count() == before + 4


def work_the_baskets(screen):
    for step, word, whole in STEPS:
        screen.goto(f"/baskets/{step}/")
        tick(screen, re.compile(whole))
        press(screen, re.compile(rf"Done:.*{word}"))
        done(screen, word)


def mate_and_tag(screen):
    before = Pair.objects.count()
    screen.goto("/pairs/mate/")
    screen.locator("main [name=couples]").first.check()
    press(screen, re.compile("^Mate.*pairs"))
    done(screen, "P")
    pair = Pair.objects.order_by("-number").first()
    assert Pair.objects.count() > before
    screen.goto("/tags/")
    for box in screen.locator("main [name=pair]").all():
        box.uncheck()
    tick(screen, pair.label)
    press(screen, "Tags are on")
    done(screen, "1 pair")
    pair.refresh_from_db()
    assert pair.place == "shelf"


def sell(screen):
    before = SaleLine.objects.count()
    day = MarketDay.objects.get(state="open")
    screen.goto(f"/stall/{day.pk}/")
    screen.locator(".tile").first.click()
    expect(screen.get_by_role("region", name="Purchase")).to_contain_text("Cash given")
    press(screen, "Cash")
    expect(screen.get_by_role("main")).to_contain_text("Last: 1 pair")
    assert SaleLine.objects.count() == before + 1


def close_the_day(screen):
    screen.get_by_role("link", name="Close", exact=True).click()
    screen.get_by_label("Cash in the tin").fill("108")
    press(screen, "Close the day")
    expect(screen.get_by_role("main")).to_contain_text("closed")
    assert not MarketDay.objects.filter(state="open").exists()


def count_the_shelf(screen):
    screen.goto("/shelf/count/")
    figures = screen.locator("main form input.figure")
    figures.first.fill("0")
    press(screen, "Write the count down")
    expect(screen.get_by_role("heading", level=1)).to_contain_text("Count")
    expect(screen.get_by_role("main")).to_contain_text("Short")
