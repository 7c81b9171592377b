"""The bench: what it can measure, and that it measures the way tags are really printed."""

import datetime as dt
import json

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from production.models import Act, ActKind
from socktrade.bench import acts, pages, subjects
from socktrade.bench.tags import one_case
from socktrade.history import make_history

NOW = dt.datetime(2026, 6, 4, 9, 30, tzinfo=dt.UTC)


def test_tags_can_be_measured():
    assert "tags" in subjects()


def test_what_cannot_be_measured_is_refused_with_what_can():
    with pytest.raises(CommandError, match=r"subject is 'loom'; use one of .*tags"):
        call_command("bench", "loom")


@pytest.mark.parametrize("what", ["tags", "bare"])
def test_one_case_says_seconds_and_memory(what, capsys):
    one_case(what, 2)
    case = json.loads(capsys.readouterr().out)

    assert case["seconds"] > 0
    assert case["peak_mb"] > 10


@pytest.fixture
def young_book(db, monkeypatch):
    """A book of a season with a few pairs, whose next market day can be opened."""
    monkeypatch.setattr(timezone, "now", lambda: NOW)
    make_history(
        seasons=1, seed=3, pairs=60, today=NOW.date(), say=lambda _words: None, check=False
    )


def test_a_page_is_measured_beside_the_bare_one(young_book, monkeypatch):
    few = [one for one in pages.plain_addresses() if one[0] in ("find", "sales:sells")]
    monkeypatch.setattr(pages, "plain_addresses", lambda: few)
    monkeypatch.setattr(pages, "BUDGET_S", 0)
    monkeypatch.setattr(pages, "open_the_stall", lambda: None)

    found = pages.one_book()

    bare = found["bare"]
    assert bare["questions"] >= 3  # the session, the user and the workshop
    for page in (found["pages"]["find"], found["pages"]["sales:sells"]):
        assert bare["median"] < page["median"] <= page["p95"]
        assert page["questions"] > bare["questions"]
    assert found["pages"]["sales:sells"]["anew"] > bare["median"]
    assert not found["unopened"]


def test_a_page_that_misses_its_target_is_marked():
    page = {"median": 5.0, "p95": 5.5, "questions": 13, "bytes": 900, "anew": 6.0}

    line, missed = pages.line_of("today", page, {"median": 1.0}, 3.0)
    calm, calm_missed = pages.line_of("sales:season", page, {"median": 1.0}, 5.0)

    assert (line.split()[1:5], missed) == (["5.0!", "1.10", "1.67!", "13!"], True)
    assert (calm.split()[1:5], calm_missed) == (["5.0", "1.10", "1.00", "13"], False)


def test_an_act_is_measured_and_taken_back(young_book, monkeypatch):
    monkeypatch.setattr(acts, "ROUNDS", 2)
    monkeypatch.setattr(
        acts, "RECIPES", {name: acts.RECIPES[name] for name in ("log a string", "ask")}
    )
    undone = Act.objects.filter(kind=ActKind.UNDO).count()

    found = acts.one_book()

    assert [*found] == ["log a string", "ask"]
    for act in found.values():
        assert act["bare"] > 0
        assert act["questions"] > 4
    assert Act.objects.filter(kind=ActKind.UNDO).count() == undone + 2 * (acts.ROUNDS + 1)
