"""The made-up past: whole, repeatable, clean by the books, and no heavier in the present."""

import datetime as dt
from collections import Counter
from io import StringIO

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command

from production.core.places import IN_WORK
from production.models import Act, ActKind, DyeLot, Pair, PairMove, Sock, SockMove
from production.services import books as bench_books
from production.services.acts import Who
from production.services.yarn import take_yarn
from sales.models import MarketDay, Order, SortOut
from sales.services import books as stall_books
from socktrade.data.tables import book_models, name_of
from socktrade.history import HistoryError, make_history
from tests.browser.addresses import addresses, samples
from tests.socktrade.books import empty_the_book

TODAY = dt.date(2026, 11, 25)
SMALL = {"pairs": 60, "today": TODAY, "say": lambda _words: None}
PASSING = {"socktrade.workshop", "auth.user"}  # hold a token or a moment of their own

pytestmark = pytest.mark.django_db


def _rows():
    return {
        name_of(model): list(model.objects.order_by("pk").values_list())
        for model in book_models()
        if name_of(model) not in PASSING
    }


def _present():
    return {
        "socks": Counter(Sock.objects.filter(place__in=IN_WORK).values_list("place", flat=True)),
        "pairs": Counter(
            Pair.objects.filter(place__in=["to_tag", "shelf", "stall"]).values_list(
                "place", flat=True
            )
        ),
        "orders": Order.objects.due().count(),
        "days": MarketDay.objects.upcoming().count(),
        "doubts": SortOut.objects.filter(settled_by__isnull=True).count(),
    }


def test_every_place_follows_from_the_acts_and_every_kind_of_act_occurs():
    made = make_history(seasons=2, seed=3, **SMALL)

    assert made.disagreements == ()
    assert [*bench_books.disagreements(), *stall_books.disagreements()] == []
    assert set(Act.objects.values_list("kind", flat=True)) == set(ActKind.values)
    assert made.rows > 2000


def test_one_season_alone_holds_every_kind_of_act():
    make_history(seasons=1, seed=8, **SMALL)

    assert set(Act.objects.values_list("kind", flat=True)) == set(ActKind.values)


def test_no_act_lies_ahead_and_no_lot_gave_more_than_it_had():
    make_history(seasons=1, seed=5, **SMALL)

    end = dt.datetime.combine(TODAY, dt.time(), tzinfo=dt.UTC)
    assert not Act.objects.filter(at__gte=end).exists()
    assert not DyeLot.objects.filter(grams__lt=0).exclude(code="old").exists()


def test_the_same_seed_makes_the_same_past_and_another_one_another():
    make_history(seasons=1, seed=3, **SMALL)
    first = _rows()
    empty_the_book()
    make_history(seasons=1, seed=3, **SMALL)
    again = _rows()
    empty_the_book()
    make_history(seasons=1, seed=4, **SMALL)
    other = _rows()

    for name, rows in first.items():
        assert len(again[name]) == len(rows), name
    assert _shape(again) == _shape(first)
    assert _shape(other) != _shape(first)


def _shape(rows):
    """Acts without keys: a table that was emptied numbers on."""
    return [(row[1], row[2], row[4], row[5]) for row in rows["production.act"]]


def test_the_present_is_of_one_size_however_many_seasons_lie_behind_it():
    make_history(seasons=1, seed=3, **SMALL)
    one, acts = _present(), Act.objects.count()
    empty_the_book()
    make_history(seasons=3, seed=3, **SMALL)

    assert _present() == one
    assert set(one["socks"]) == set(IN_WORK)
    assert Act.objects.count() > 2 * acts


def test_each_move_starts_where_the_one_before_ended():
    make_history(seasons=1, seed=6, **SMALL)

    for model, thing in ((SockMove, "sock_id"), (PairMove, "pair_id")):
        places = {}
        for row in model.objects.order_by("pk"):
            key = getattr(row, thing)
            assert places.get(key, "") == row.start
            places[key] = row.end


def test_the_book_numbers_on_after_it():
    make_history(seasons=1, seed=3, **SMALL)

    last = Act.objects.order_by("-pk").first().pk
    lot = DyeLot.objects.order_by("-pk").first()
    who = Who(by=User.objects.get(), at=dt.datetime(2026, 11, 25, 9, tzinfo=dt.UTC))
    assert take_yarn(lot=lot, grams=2, use="waste", who=who).pk > last


def test_a_book_that_holds_acts_is_left_alone():
    make_history(seasons=1, seed=3, **SMALL)
    acts = Act.objects.count()

    with pytest.raises(HistoryError, match=rf"holds {acts} acts.*empty book only.*SOCKTRADE_DATA"):
        make_history(seasons=1, seed=3, **SMALL)
    assert Act.objects.count() == acts


@pytest.mark.parametrize(
    ("figures", "words"),
    [
        ({"seasons": 0, "seed": 1}, "seasons is 0; 1 to 100"),
        ({"seasons": 1, "seed": 1, "pairs": 5}, "pairs is 5; 40 to 5000"),
    ],
)
def test_absurd_figures_are_refused_before_anything_is_written(figures, words):
    with pytest.raises(HistoryError, match=words):
        make_history(**figures)
    assert not User.objects.exists()


def test_a_maker_who_set_up_her_workshop_keeps_it(maker):
    make_history(seasons=1, seed=3, **SMALL)

    assert User.objects.get() == maker
    assert Act.objects.values_list("by", flat=True).distinct().get() == maker.pk


def test_the_command_says_how_much_it_wrote_and_refuses_in_words():
    said = StringIO()
    words = {"seasons": 1, "seed": 3, "pairs": 60, "today": TODAY}
    call_command("make_history", stdout=said, **words)

    assert "The books are clean." in said.getvalue()
    with pytest.raises(CommandError, match="empty book only"):
        call_command("make_history", stdout=said, **words)


def test_every_page_answers_on_it(client):
    make_history(seasons=1, seed=3, **{**SMALL, "today": None})
    client.force_login(User.objects.get())
    failed = {}
    for name, address in addresses(samples()):
        status = client.get(address).status_code
        if status >= 500 or (name in MUST_SHOW and status != 200):
            failed[name] = status

    assert not failed


MUST_SHOW = {
    "today", "find", "patterns:pattern_list", "patterns:pattern_detail", "production:yarn_list",
    "production:lot_detail", "production:string_list", "production:string_detail",
    "production:basket_list", "production:sock_detail", "production:pair_detail",
    "production:load_list", "sales:shelf", "sales:market_list", "sales:day_detail",
    "sales:order_list", "sales:order_detail",
}  # fmt: skip
