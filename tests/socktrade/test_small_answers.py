"""Pages go out compressed, and what guards them while they do stays on."""

import gzip
import re

import pytest
from django.conf import settings

pytestmark = pytest.mark.django_db

ASKED = {"accept-encoding": "gzip"}


def test_a_page_is_sent_compressed_to_a_browser_that_takes_it(page):
    plain, small = page.get("/glossary/"), page.get("/glossary/", headers=ASKED)

    assert small.headers["Content-Encoding"] == "gzip"
    assert "Accept-Encoding" in small.headers["Vary"]
    assert len(small.content) < len(plain.content) / 2
    assert b"<h1" in gzip.decompress(small.content)


def test_its_length_does_not_tell_what_is_in_it(page):
    """BREACH, breachattack.com; Django's cure is "Heal the Breach", both from memory."""
    sizes = {len(page.get("/glossary/", headers=ASKED).content) for _ in range(12)}

    assert len(sizes) > 3


def test_no_other_site_can_have_it_sent_with_her_cookie():
    assert settings.SESSION_COOKIE_SAMESITE == "Lax"


def test_the_token_of_a_form_is_another_each_time(page):
    tokens = {
        re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', page.get("/workshop/").text)[1]
        for _ in range(3)
    }

    assert len(tokens) == 3


def test_files_come_from_their_own_door_before_it():
    order = settings.MIDDLEWARE

    assert order.index("whitenoise.middleware.WhiteNoiseMiddleware") < order.index(
        "django.middleware.gzip.GZipMiddleware"
    )
