"""Every page asks the database a fixed number of questions, however long the book is.

The numbers stand in `query_counts.py`, one for each page of the address map that answers a
plain visit. A page that is not there fails, and so does one that asks another number of
questions in a book of one season or in one of three.
"""

import datetime as dt

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from socktrade.bench.kit.clock import counted
from socktrade.bench.pages import open_the_stall, plain_addresses
from socktrade.history import make_history
from tests.socktrade.query_counts import QUESTIONS

pytestmark = pytest.mark.django_db

NOW = dt.datetime(2026, 6, 4, 9, 30, tzinfo=dt.UTC)


@pytest.fixture
def counts(client, request, monkeypatch):
    """How many questions each page asks that answers a plain visit, by the page's name."""
    monkeypatch.setattr(timezone, "now", lambda: NOW)
    make_history(
        seasons=request.param, seed=3, pairs=60, today=NOW.date(), say=lambda _words: None,
        check=False,
    )  # fmt: skip
    client.force_login(User.objects.filter(is_superuser=True).earliest("pk"))
    open_the_stall(at=NOW)
    client.get("/")
    asked = {name: _asked(client, address) for name, address in plain_addresses()}
    return {name: number for name, number in asked.items() if number is not None}


def _asked(client, address):
    with counted() as questions:
        answer = client.get(address)
        if answer.streaming:
            b"".join(answer)
    return len(questions) if answer.status_code in (200, 302) else None


@pytest.mark.parametrize("counts", [1, 3], indirect=True, ids=["one season", "three seasons"])
def test_every_page_asks_as_many_questions_as_the_table_says(counts):
    assert counts == QUESTIONS


def test_a_question_in_a_loop_would_be_noticed():
    with counted() as questions:
        for _ in range(3):
            User.objects.exists()

    assert len(questions) == 3
