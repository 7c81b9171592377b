"""What is kept of the bench between two openings of its pages is what reading anew says."""

import datetime as dt

import pytest

from production.core.places import STEP_BY_KEY
from production.services import baskets, forecasts, latelymoved, paces, pairs
from production.services.acts import Who, undo_act
from production.services.basket_queries import basket_cards
from socktrade.models import Workshop
from tests.factories.patterns import PatternVersionFactory
from tests.factories.production import AT, logged_string, stocked_lot
from tests.factories.socktrade import UserFactory

pytestmark = pytest.mark.django_db(transaction=True)

DAY = dt.timedelta(days=1)


@pytest.fixture
def maker():
    return UserFactory()


@pytest.fixture
def strings(maker):
    version, lot = PatternVersionFactory(), stocked_lot()
    return [logged_string(version=version, lot=lot, by=maker, at=AT + n * DAY) for n in range(9)]


def read(at, standing):
    workshop = Workshop(pk=1, hours_per_week=20)
    cards = basket_cards(workshop, standing=standing)
    lately = latelymoved.lately_moved(at - forecasts.WINDOW, standing)
    bench = forecasts.bench_forecast(
        cards, at=at, workshop=workshop, lately=lately, standing=standing
    )
    return cards, bench, forecasts.flow_between(at - forecasts.WINDOW, at, lately=lately)


def agree(at):
    """Return whether the kept reading is the fresh one, read and read again."""
    kept, again = (read(at, paces.standing_of_bench()) for _ in range(2))
    return kept == again == read(at, None)


def ids_of(string):
    return list(string.socks.order_by("position").values_list("pk", flat=True))


def test_every_act_at_the_bench_is_read(strings, maker):
    at = AT + 20 * DAY
    for day, string in enumerate(strings):
        who = Who(by=maker, at=AT + (day + 10) * DAY)
        for step in STEP_BY_KEY:
            baskets.do_step(step=step, sock_ids=ids_of(string), who=who, minutes=4 + day)
            assert agree(at)
        pairs.mate_socks(couples=[tuple(ids_of(string)[:2])], who=who, minutes=3)
        assert agree(at)

    cards, bench, _ = read(at, paces.standing_of_bench())
    assert bench.age_flag.learned
    assert all(card.pace.learned for card in cards if card.key in STEP_BY_KEY)


def test_an_act_that_is_undone_counts_no_more(strings, maker):
    at = AT + 20 * DAY
    act = baskets.do_step(
        step="cut", sock_ids=ids_of(strings[0]), who=Who(by=maker, at=at - DAY), minutes=9
    )
    before = read(at, paces.standing_of_bench())

    undo_act(act_id=act.pk, by=maker, at=at - DAY / 2)

    assert agree(at)
    assert read(at, paces.standing_of_bench()) != before


def test_what_left_the_window_since_is_left_out(strings):
    for hours in range(0, 24 * 16, 7):
        assert agree(AT + forecasts.WINDOW + dt.timedelta(hours=hours))


def test_a_year_later_an_old_book_is_still_an_old_book(strings):
    _, bench, _ = read(AT + 365 * DAY, paces.standing_of_bench())

    assert bench.window_days == 28
    assert agree(AT + 365 * DAY)


def test_a_second_reading_asks_what_waits_and_how_far_the_acts_have_come(
    strings, django_assert_num_queries
):
    at = AT + 20 * DAY
    read(at, paces.standing_of_bench())

    # What lies in the baskets is asked twice here: for the cards, and for the flow.
    with django_assert_num_queries(3):
        read(at, paces.standing_of_bench())
