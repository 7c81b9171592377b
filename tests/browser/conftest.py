"""One Chromium for the session, one context for each test, and nothing leaves the machine."""

import os

import pytest
from playwright.sync_api import sync_playwright

from tests.browser.book import open_demo
from tests.browser.chromium import ARGS, find_chromium

PHONE = {"width": 360, "height": 740}
DESK = {"width": 1280, "height": 800}


def pytest_collection_modifyitems(items):
    here = os.path.dirname(__file__)  # noqa: PTH120
    for item in items:
        if str(item.path).startswith(here):
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def chromium():
    # Playwright's synchronous calls run a loop of their own, in which Django would refuse.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=find_chromium(), args=ARGS)
        yield browser
        browser.close()


class Watched:
    """What a page must never do: ask elsewhere, break a script, answer with an error."""

    def __init__(self, page, site):
        self.found = []
        page.on("request", lambda sent: self._request(sent.url, site))
        page.on("pageerror", lambda error: self.found.append(f"{page.url}: {error}"))
        page.on("response", self._response)

    def _request(self, url, site):
        if not url.startswith((site, "data:", "blob:", "about:")):
            self.found.append(f"leaves the machine: {url}")

    def _response(self, answer):
        if answer.status >= 500:
            self.found.append(f"{answer.url} answered {answer.status}")


@pytest.fixture
def screen(chromium, live_server):
    """A page on a phone, watched."""
    context = chromium.new_context(base_url=live_server.url, viewport=PHONE)
    context.set_default_timeout(8000)
    page = context.new_page()
    watched = Watched(page, live_server.url)
    yield page
    context.close()
    assert watched.found == []


@pytest.fixture
def demo(transactional_db):
    """The maker of the demo book."""
    return open_demo()


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
        context = chromium.new_context(base_url=live_server.url, service_workers="block", **look)
        context.set_default_timeout(8000)
        context.add_cookies(cookies)
        opened.append(context)
        return context.new_page()

    yield open_context
    for context in opened:
        context.close()
