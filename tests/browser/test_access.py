"""Every page by the rules of WCAG 2.2 AA, as far as a machine can tell, and by keyboard.

The rules are those of axe-core, a general-purpose library; contrast is measured in light and
in dark. A page added to the URL map is looked at without being named here.
"""

import datetime as dt

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.contrib.auth.models import User
from playwright.sync_api import expect

from production.models import Sock
from production.services.acts import Who
from sales.services.shelf import count_shelf, shelf_kinds
from socktrade.access.table import DOORS
from socktrade.demo import ensure_demo
from tests.browser.addresses import addresses, samples
from tests.browser.conftest import PHONE

pytestmark = pytest.mark.django_db(transaction=True)

DESK = {"width": 1280, "height": 800}
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}
# What dark paper changes is colour alone.
CONTRAST = {"runOnly": {"type": "rule", "values": ["color-contrast", "link-in-text-block"]}}


@pytest.fixture
def demo(settings):
    settings.TIME_ZONE = "UTC"
    now = dt.datetime.now(tz=dt.UTC)
    ensure_demo(now=now)
    maker = User.objects.get()
    kind = shelf_kinds()[0]
    count_shelf(counted={(kind.pattern.pk, kind.quality): 0}, who=Who(by=maker, at=now))
    return maker


@pytest.fixture
def signed_in(chromium, live_server, client, demo):
    """Return a function that opens a context with the maker's cookie in it."""
    client.force_login(demo)
    cookies = [
        {"name": name, "value": cookie.value, "url": live_server.url}
        for name, cookie in client.cookies.items()
    ]
    opened = []

    def open_context(**look):
        context = chromium.new_context(base_url=live_server.url, **look)
        context.add_cookies(cookies)
        opened.append(context)
        return context.new_page()

    yield open_context
    for context in opened:
        context.close()


def pages_of(client) -> list[tuple[str, str]]:
    """Return the addresses that answer a plain visit with a page."""
    found = []
    for name, address in addresses(samples()):
        if name in DOORS:
            continue
        answer = client.get(address)
        assert answer.status_code < 500, address
        # Parts of a page, PDFs and tables come without a document around them.
        is_page = not answer.streaming and b"<!doctype html>" in answer.content[:200]
        if answer.status_code == 200 and is_page:
            found.append((name, address))
    return found


def test_every_page_keeps_the_rules_in_light_and_dark(signed_in, client):
    """On a phone and a desk.

    Zoomed to 200 % a desk's page is one of 640 px (WCAG 2.2, 1.4.4); at 320 px a page must not
    scroll sideways (1.4.10).
    """
    pages = pages_of(client)
    assert len(pages) > 40
    axe = Axe()
    broken = []
    for size in (PHONE, DESK):
        screen = signed_in(viewport=size, reduced_motion="reduce")
        for name, address in pages:
            screen.emulate_media(color_scheme="light")
            screen.goto(address)
            # A bar that sticks to the edge covers what scrolling uncovers; measure without.
            screen.evaluate(
                "document.querySelectorAll('.stuck').forEach(b => (b.style.position = 'static'))"
            )
            place = f"{name} at {size['width']}"
            broken += [f"{place}: {told}" for told in broken_rules(axe, screen, RULES)]
            screen.emulate_media(color_scheme="dark")
            broken += [f"{place}, dark: {told}" for told in broken_rules(axe, screen, CONTRAST)]
            for width in (size["width"], size["width"] // 2, 320):
                screen.set_viewport_size({**size, "width": max(320, width)})
                wide = screen.evaluate("document.documentElement.scrollWidth - innerWidth")
                if wide > 0:
                    broken.append(f"{name} at {width}: {wide} px too wide")
            screen.set_viewport_size(size)

    assert not broken, "\n".join(broken)


def broken_rules(axe, screen, rules) -> list[str]:
    """Return the rules that a page breaks, each with the first place."""
    found = axe.run(screen, options=rules).response["violations"]
    return [f"{rule['id']}: {rule['nodes'][0]['html'][:160]}" for rule in found]


def test_a_string_is_logged_and_cut_by_keyboard_alone(signed_in):
    screen = signed_in(viewport=DESK)
    screen.goto("/")
    before = Sock.objects.count()

    tab_to(screen, "Log a string")
    screen.keyboard.press("Enter")
    expect(screen.get_by_role("heading", level=1)).to_contain_text("Log a string")
    tab_to(screen, "Log the string")
    screen.keyboard.press("Enter")
    expect(screen.get_by_role("heading", level=1)).to_contain_text("String")
    screen.goto("/baskets/cut/")
    tab_to(screen, "The whole basket")
    screen.keyboard.press("Space")
    tab_to(screen, "Done:")
    screen.keyboard.press("Enter")
    expect(screen.locator(".done").first).to_contain_text("cut")

    assert Sock.objects.count() > before
    assert not Sock.objects.filter(place="to_cut").exists()


def tab_to(screen, name: str) -> None:
    """Press Tab until the thing of this name has the focus, and see that it shows it."""
    for _ in range(150):
        screen.keyboard.press("Tab")
        here = screen.evaluate(
            """() => {
              const at = document.activeElement;
              const label = at.labels && at.labels[0] ? at.labels[0].innerText : '';
              const look = getComputedStyle(at);
              return {
                name: (at.getAttribute('aria-label') || label || at.innerText || '').trim(),
                shown: look.outlineStyle !== 'none' && parseFloat(look.outlineWidth) >= 2,
              };
            }"""
        )
        if here["name"].startswith(name):
            assert here["shown"], f"{name} has the focus and does not show it"
            return
    pytest.fail(f"Tab never reached “{name}” on {screen.url}")
