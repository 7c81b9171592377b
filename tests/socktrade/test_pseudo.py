"""Every word of every page can be said in another language; a page added later too."""

import datetime as dt

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.utils.translation import trans_real

from socktrade.access.table import DOORS
from socktrade.demo import ensure_demo
from socktrade.models import Workshop
from tests.browser.addresses import addresses, samples
from tests.socktrade import pseudo

pytestmark = pytest.mark.django_db


def test_no_page_says_a_word_that_is_not_marked(monkeypatch):
    ensure_demo(now=dt.datetime.now(tz=dt.UTC))
    known = pseudo.texts_of_book()
    Workshop.objects.update(language=pseudo.CODE)
    known_languages = trans_real._translations  # noqa: SLF001 - there is no other way in
    monkeypatch.setitem(known_languages, pseudo.CODE, pseudo.Pseudo())
    maker = Client()
    maker.force_login(User.objects.get(is_superuser=True))

    left: dict[str, str] = {}
    for name, address in addresses(samples()):
        if name in DOORS:
            continue
        answer = maker.get(address)
        if answer.get("content-type", "").startswith("text/html") and not answer.streaming:
            for piece in pseudo.unmarked(answer.text, known):
                left.setdefault(piece, f"{name} {address}")

    told = [f"{page}: {piece!r}" for piece, page in left.items()]
    assert not told, "\n".join(told)
