"""Logging a string on a phone: taps counted, and the seconds the book itself takes."""

import time

import pytest

from production.models import String
from tests.factories.production import logged_string
from tests.factories.socktrade import UserFactory, WorkshopFactory

MOST_TAPS, MOST_SECONDS = 6, 20

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def signed_in(screen, client, live_server):
    WorkshopFactory()
    maker = UserFactory()
    client.force_login(maker)
    logged_string(count=6, by=maker)
    cookies = [
        {"name": name, "value": cookie.value, "url": live_server.url}
        for name, cookie in client.cookies.items()
    ]
    screen.context.add_cookies(cookies)
    return screen


def test_a_string_is_logged_in_six_taps_and_twenty_seconds(signed_in):
    signed_in.goto("/")
    begun, taps = time.monotonic(), 0

    signed_in.get_by_role("link", name="Log a string").first.click()
    taps += 1
    for name in ("One sock more", "One sock more", "Log the string"):
        signed_in.get_by_role("button", name=name).click()
        taps += 1
    signed_in.wait_for_url("**/strings/2/")

    assert taps <= MOST_TAPS
    assert time.monotonic() - begun < MOST_SECONDS
    assert String.objects.get(number=2).socks.count() == 8


def test_a_tap_writes_a_usual_fault(signed_in):
    signed_in.goto("/strings/new/")
    signed_in.get_by_text("Faults, heel and toe yarn").click()
    signed_in.locator("#id_faults_text").fill("2")
    signed_in.get_by_role("button", name="dropped stitch").click()
    signed_in.get_by_role("button", name="Log the string").click()
    signed_in.wait_for_url("**/strings/2/")

    assert String.objects.get(number=2).socks.get(position=2).fault == "dropped stitch"
