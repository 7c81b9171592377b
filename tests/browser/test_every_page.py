"""Every page by keyboard, read aloud, by thumb, and while it loads.

A page added to the URL map is walked without being named here.
"""

import pytest

from tests.browser.book import pages_of, visit
from tests.browser.conftest import DESK, PHONE
from tests.browser.reading import (
    ACTS,
    FIRST_PAINT,
    FOCUS,
    HEADINGS,
    PAINTED,
    SHIFTED,
    SHIFTS,
    STOPS,
    WALK,
    WALKED,
    Late,
)

pytestmark = pytest.mark.django_db(transaction=True)

SPOILT = """<style>
  a:focus, select:focus {{ outline: 3px solid; }} p:focus {{ outline: none; }}
  .bar {{ position: fixed; inset: 0; background: white; }}
</style><a href="#a">first</a> {spoilt} <a href="#b">last</a>"""
HOLD_TAB = """document.getElementById("trap")?.addEventListener("keydown", (event) => {
  if (event.key === "Tab") event.preventDefault();
})"""


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_every_page_is_walked_by_tab_and_read_by_its_headings(signed_in, client, size):
    """WCAG 2.2: 2.1.1, 2.1.2, 2.4.2, 2.4.3, 2.4.7, 2.4.11 and 1.3.1."""
    screen = signed_in(viewport=size)
    screen.add_init_script(FOCUS + STOPS)
    broken, titles = [], {}
    for name, address in pages_of(client):
        visit(screen, address)
        told = [*screen.evaluate(HEADINGS), *walk(screen)]
        if size == PHONE:
            told += screen.evaluate(ACTS)
        same = titles.setdefault(screen.title(), name)
        if same != name:
            told.append(f"has the title of {same}: {screen.title()}")
        broken += [f"{name}: {one}" for one in told]

    assert not broken, "\n".join(broken)


def walk(screen) -> list[str]:
    """Press Tab until it leaves the page, and return what was wrong on the way."""
    for _ in range(screen.evaluate(WALK)):
        screen.keyboard.press("Tab")
    return screen.evaluate(WALKED)


@pytest.mark.parametrize(
    ("spoilt", "told"),
    [
        ('<a href="#c" tabindex="3">before its turn</a>', "Tab never gets round the page"),
        ('<p tabindex="0">words</p>', "<p > “words” does not show that it has the focus"),
        ("<select id=trap><option>kept</option></select>", "Tab never gets round the page"),
        (
            '<div class="bar"></div><a href="#d">under</a>',
            "<a > “under” has the focus and lies hidden",
        ),
    ],
)
def test_the_walk_finds_what_is_wrong(chromium, spoilt, told):
    context = chromium.new_context(viewport=PHONE)
    screen = context.new_page()
    screen.add_init_script(FOCUS + STOPS)
    screen.goto("about:blank")
    screen.set_content(SPOILT.format(spoilt=spoilt))
    screen.evaluate(HOLD_TAB)

    found = walk(screen)

    context.close()
    assert told in found


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_nothing_on_a_page_moves_while_it_loads(signed_in, client, size):
    """Not even when scripts and typeface come after the page was painted.

    A good page shifts by less than 0.1 (web.dev, "Cumulative Layout Shift"); these stand still.
    """
    screen = signed_in(viewport=size)
    screen.add_init_script(FOCUS + SHIFTS)
    late = Late(screen.context)
    broken = []
    for name, address in pages_of(client):
        late.hold()
        screen.goto(address, wait_until="commit")
        screen.evaluate(FIRST_PAINT)
        late.release()
        screen.wait_for_load_state()
        screen.evaluate(PAINTED)
        broken += [f"{name}: {one}" for one in screen.evaluate(SHIFTED)]

    assert not broken, "\n".join(broken)
