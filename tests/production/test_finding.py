"""A string is found by its number and the word that the reader's language has for it."""

import pytest
from django.utils import translation

from production.services.finding import find_things
from tests.factories.production import who as somebody
from tests.factories.shelf import pairs_on_shelf

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(("language", "asked"), [("en", "string 1"), ("de", "Kette 1")])
def test_a_string_is_found_by_its_word_and_number(maker, language, asked):
    pairs_on_shelf(1, somebody(maker))

    with translation.override(language):
        [found, *_more] = find_things(asked)

    assert found.url == "/strings/1/"
