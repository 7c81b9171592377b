"""Words of the scripts reach a page that is not English, and a phone that keeps the till."""

import json
import re

import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from django.conf import settings
from django.urls import reverse
from django.utils import translation

from socktrade.models import Workshop

pytestmark = pytest.mark.django_db


@pytest.fixture
def german(maker, settings, tmp_path):
    """A German workshop with one word for its scripts."""
    folder = tmp_path / "de" / "LC_MESSAGES"
    folder.mkdir(parents=True)
    catalogue = Catalog(locale="de")
    catalogue.add("All sizes", "Alle Größen")
    with (folder / "djangojs.mo").open("wb") as file:
        write_mo(file, catalogue)
    settings.LOCALE_PATHS = [tmp_path]
    Workshop.objects.update(language="de")
    return folder / "djangojs.mo"


def kept(client):
    return json.loads(re.search(r"KEPT = (\[.*\]);", client.get("/stall/sw.js").text).group(1))


def address_in(text):
    found = re.search(r'<script src="(/words\.js[^"]*)" defer>', text)
    return found.group(1).replace("&amp;", "&") if found else ""


@pytest.mark.parametrize("name", ["sign_in", "sales:till_shell"])
def test_an_english_page_loads_no_catalogue(client, maker, name):
    assert address_in(client.get(reverse(name)).text) == ""
    assert not [file for file in kept(client) if file["url"].startswith("/words.js")]


@pytest.mark.parametrize("name", ["sign_in", "sales:till_shell"])
def test_a_german_page_names_a_catalogue_that_a_stranger_may_read(client, german, name):
    page = client.get(reverse(name)).text

    answer = client.get(address_in(page))

    assert '<html lang="de">' in page
    assert answer.headers["Content-Type"].startswith("text/javascript")
    assert "Alle Gr" in answer.text
    assert "immutable" in answer.headers["Cache-Control"]


def test_the_phone_keeps_the_catalogue_that_its_till_names(client, german):
    named = address_in(client.get(reverse("sales:till_shell")).text)

    assert named in [file["url"] for file in kept(client)]


def test_other_words_have_another_address_and_are_another_till(client, german):
    def till():
        [shell] = [file for file in kept(client) if file["url"] == "/stall/till/"]
        return address_in(client.get(reverse("sales:till_shell")).text), shell["revision"]

    before = till()
    catalogue = Catalog(locale="de")
    catalogue.add("All sizes", "Sämtliche Größen")
    with german.open("wb") as file:
        write_mo(file, catalogue)

    assert all(old != new for old, new in zip(before, till(), strict=True))


def test_a_language_that_the_book_does_not_speak_has_no_words(client, maker):
    assert client.get("/words.js", {"language": "../de"}).status_code == 404


def test_the_language_of_the_address_holds_whatever_the_reader_speaks(client, german):
    answer = client.get("/words.js", {"language": "en"}, headers={"accept-language": "de"})

    assert "Alle Gr" not in answer.text
    assert translation.get_language() == settings.LANGUAGE_CODE
