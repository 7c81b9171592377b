"""Browsers in the list of who is signed in."""

import pytest

from socktrade.access.browsers import name_browser

# How browsers name themselves: MDN, "User-Agent header" and "Browser detection using the user
# agent string" (from memory; versions do not matter).
SAID = [
    ("Mozilla/5.0 (X11; Linux x86_64; rv:137.0) Gecko/20100101 Firefox/137.0", "Firefox on Linux"),
    (
        "Mozilla/5.0 (iPhone; CPU iPhone OS 17_5 like Mac OS X) AppleWebKit/605.1.15 "
        "(KHTML, like Gecko) Version/17.5 Mobile/15E148 Safari/604.1",
        "Safari on iPhone",
    ),
    (
        "Mozilla/5.0 (Linux; Android 10; K) AppleWebKit/537.36 (KHTML, like Gecko) "
        "Chrome/124.0.0.0 Mobile Safari/537.36",
        "Chrome on Android",
    ),
    (
        "Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko) "
        "Chrome/124.0.0.0 Safari/537.36 Edg/124.0.0.0",
        "Edge on Windows",
    ),
    (
        "Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7) AppleWebKit/605.1.15 "
        "(KHTML, like Gecko) Version/17.5 Safari/605.1.15",
        "Safari on Mac",
    ),
    ("curl/8.5.0", "a browser that gives no name"),
    ("", "a browser that gives no name"),
]


@pytest.mark.parametrize(("said", "known_as"), SAID)
def test_a_browser_is_called_by_the_name_a_person_knows(said, known_as):
    assert name_browser(said) == known_as


@pytest.mark.django_db
def test_the_list_of_people_shows_names_and_not_headers(client, maker):
    client.force_login(maker)
    page = client.get("/workshop/people/").content.decode()

    assert "Mozilla" not in page
