"""Every page by the rules of WCAG 2.2 AA, as far as a machine can tell.

The rules are those of axe-core, a general-purpose library. A page added to the URL map is
looked at without being named here.
"""

import re

import pytest
from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import expect

from tests.browser.book import pages_of, visit
from tests.browser.conftest import DESK, PHONE

pytestmark = pytest.mark.django_db(transaction=True)

RULES = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    # 2.5.8 Target Size (Minimum) is off in axe-core until it is asked for.
    "rules": {"target-size": {"enabled": True}},
    "resultTypes": ["violations"],
}
# A page in the dark is the same page in other colours: the rules about colours are asked again.
IN_COLOUR = {"runOnly": ["color-contrast", "link-in-text-block"], "resultTypes": ["violations"]}
# Only what is told crosses to the test: whole results take longer to carry than to find.
BROKEN = """async (rules) => (await axe.run(rules)).violations.flatMap(
  (rule) => rule.nodes.slice(0, 3).map((node) => `${rule.id}: ${node.html.slice(0, 160)}`))"""
# A bar that sticks to the edge covers what scrolling uncovers; measure without.
UNSTICK = "document.querySelectorAll('.stuck, .pay').forEach(b => (b.style.position = 'static'))"

# Forms that ask for something, sent with nothing in them.
ASKING = (
    "/markets/new/",
    "/orders/new/",
    "/patterns/cylinders/",
    "/patterns/gauges/",
    "/yarn/new/",
)
SEND_EMPTY = """() => {
  const form = [...document.querySelectorAll("main form[method=post]")].at(-1);
  form.noValidate = true;
  form.requestSubmit();
}"""


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_every_page_keeps_the_rules_in_light_and_dark(signed_in, client, size):
    pages = pages_of(client)
    assert len(pages) > 90
    screen = signed_in(viewport=size, reduced_motion="reduce")
    broken = []
    for name, address in pages:
        visit(screen, address)
        broken += broken_rules(screen, name)

    assert not broken, "\n".join(broken)


def test_a_refused_form_keeps_the_rules_and_has_the_focus_where_it_is_wrong(signed_in):
    """WCAG 2.2: 3.3.1 and 3.3.3, and the rules as above for what is said in red."""
    screen = signed_in(viewport=PHONE, reduced_motion="reduce")
    broken = []
    for address in ASKING:
        screen.goto(address)
        with screen.expect_navigation():
            screen.evaluate(SEND_EMPTY)
        wrong = screen.locator("main [aria-invalid=true]")
        expect(wrong.first).to_be_focused()
        expect(wrong.first).to_have_accessible_description(re.compile(r"\w+"))
        broken += broken_rules(screen, address)

    assert not broken, "\n".join(broken)


def broken_rules(screen, name) -> list[str]:
    """Return the rules that the page breaks, in light and in dark."""
    screen.evaluate(UNSTICK)
    screen.evaluate(AXE_SCRIPT)
    broken = []
    for scheme, rules in (("light", RULES), ("dark", IN_COLOUR)):
        screen.emulate_media(color_scheme=scheme)
        broken += [f"{name}, {scheme}: {told}" for told in screen.evaluate(BROKEN, rules)]
    return broken


def test_no_page_scrolls_sideways(signed_in, client):
    """WCAG 2.2: 1.4.10 at 320 px; 1.4.4, where a desk's page at 200 % is one of 640 px."""
    screen = signed_in(viewport=DESK)
    broken = []
    for name, address in pages_of(client):
        visit(screen, address)
        for width in (1280, 640, 360, 320):
            screen.set_viewport_size({**DESK, "width": width})
            wide = screen.evaluate("document.documentElement.scrollWidth - innerWidth")
            if wide > 0:
                broken.append(f"{name} at {width}: {wide} px too wide")

    assert not broken, "\n".join(broken)
