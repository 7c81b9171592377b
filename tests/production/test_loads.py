"""Loads as things: dark lots alone, washed and taken in as one, and when to run one."""

import datetime as dt

import pytest
from django.urls import reverse

from production.core.places import SockPlace
from production.errors import MoveNotAllowedError, ProductionError
from production.models import Load
from production.services import baskets, loads, washing
from production.services.acts import undo_act
from production.services.finding import find_things
from socktrade.models import Workshop
from tests.factories.production import AT, logged_string, stocked_lot, who
from tests.factories.socktrade import UserFactory

pytestmark = pytest.mark.django_db

TODAY = dt.date(2026, 6, 4)


def to_wash(*, dark=False, **of_string):
    """Socks of a lot of their own that wait for the wash."""
    lot = stocked_lot()
    loads.note_dark(lot=lot, dark=dark)
    ids = list(logged_string(lot=lot, **of_string).socks.values_list("pk", flat=True))
    for step in ("cut", "seam"):
        baskets.do_step(step=step, sock_ids=ids, who=who())
    return ids


def wash(ids, **more):
    return washing.wash_socks(sock_ids=ids, together=False, who=who(), **more)


def test_a_wash_is_a_load_with_a_number_and_its_socks():
    ids = to_wash(count=3)

    wash(ids, minutes=9)

    load = Load.objects.get()
    assert (load.number, load.name) == (1, "Machine wash cold, gentle cycle")
    assert [sock.pk for sock in washing.socks_of_load(load)] == ids


def test_a_load_is_taken_in_as_one():
    wash(to_wash(count=3))
    load = Load.objects.get()

    act = washing.dry_load(load=load, who=who())

    assert act.sock_moves.count() == 3
    assert {sock.place for sock in washing.socks_of_load(load)} == {SockPlace.TO_BLOCK}
    with pytest.raises(MoveNotAllowedError, match="Nothing of load 1 is drying"):
        washing.dry_load(load=load, who=who())


def test_what_was_taken_in_before_is_not_taken_in_again():
    ids = to_wash(count=3)
    wash(ids)
    baskets.do_step(step="dry", sock_ids=ids[:1], who=who())

    act = washing.dry_load(load=Load.objects.get(), who=who())

    assert act.sock_moves.count() == 2


def test_a_sock_washed_again_hangs_with_its_newest_load(page):
    ids = to_wash(count=2)
    wash(ids)
    baskets.step_back(sock_ids=ids[:1], who=who())
    wash(ids[:1])

    loads = page.get(reverse("production:basket_detail", args=["dry"])).context["loads"]

    assert sorted((load.number, load.count) for load in loads) == [(1, 1), (2, 1)]


def test_an_undone_wash_brings_its_socks_back():
    ids = to_wash(count=2)
    act = wash(ids)

    undo_act(act_id=act.pk, by=UserFactory(), at=AT)

    load = Load.objects.get()
    assert load.wash.is_undone
    assert washing.on_the_line(load) == []


def test_a_dark_lot_is_by_itself_in_its_first_wash_and_not_later():
    dark, pale = to_wash(dark=True, count=4), to_wash(count=2)

    with pytest.raises(ProductionError, match="is dark and was never washed") as asked:
        wash(dark[:2] + pale)
    wash(dark[:2])
    wash(dark[2:] + pale)

    assert asked.value.field == "together"
    assert [load.number for load in washing.newest_loads()] == [2, 1]


def test_two_dark_lots_are_not_washed_together_the_first_time():
    with pytest.raises(ProductionError, match="is dark") as asked:
        wash(to_wash(dark=True) + to_wash(dark=True))

    assert str(asked.value).count("is dark and was never washed") == 2


def test_the_wash_basket_keeps_a_dark_lot_apart_and_lets_her_say_so(page):
    to_wash(count=2)
    ids = to_wash(count=2)
    lot = baskets.lock_socks(ids)[0].lot

    page.post(reverse("production:lot_dark", args=[lot.pk]), {"dark": "yes"})
    answer = page.get(reverse("production:basket_detail", args=["wash"]))

    names = [load.name for load in answer.context["loads"]]
    assert len(names) == 2
    assert f"lot {lot.code} is dark and was never washed: by itself" in names[1]


def test_the_page_of_a_load_takes_it_in_and_undo_hangs_it_out_again(page):
    wash(to_wash(count=2))
    load = Load.objects.get()

    page.post(load.get_absolute_url(), {"minutes": "3"})

    assert washing.on_the_line(load) == []
    assert "Load 1" in page.get(reverse("production:load_list")).text
    assert "Take in the load" not in page.get(load.get_absolute_url()).text


def test_the_drying_basket_stands_load_by_load(page):
    wash(to_wash(count=2))
    wash(to_wash(count=1))

    answer = page.get(reverse("production:basket_detail", args=["dry"]))

    assert sorted(load.number for load in answer.context["loads"]) == [1, 2]


@pytest.mark.parametrize("text", ["load 1", "Load 1", "/baskets/loads/1/"])
def test_a_load_is_found_by_its_number(text):
    wash(to_wash())

    assert [one.url for one in find_things(text)] == ["/baskets/loads/1/"]


def test_a_load_asks_no_more_with_more_socks(page, django_assert_max_num_queries):
    wash(to_wash(count=40))

    with django_assert_max_num_queries(12):
        page.get("/baskets/loads/1/")


# when to run it: full, or the last moment before the market less drying time (two days here,
# and a day to block, mate and tag); Hopp & Spearman, Factory Physics, sec. 9.4 for the wait


def advice(waiting, *, market=None, inflow=2.0):
    return washing.wash_advice(
        waiting=waiting,
        inflow_a_day=inflow,
        today=TODAY,
        next_market=market,
        workshop=Workshop(pk=1, full_load_socks=8, drying_days=2),
    )


@pytest.mark.parametrize(
    ("waiting", "days_ahead", "now"),
    [(8, None, True), (7, None, False), (7, 4, False), (7, 3, True), (1, 0, True), (0, 1, False)],
)
def test_a_load_runs_when_full_or_just_in_time_to_dry(waiting, days_ahead, now):
    market = None if days_ahead is None else TODAY + dt.timedelta(days=days_ahead)

    assert advice(waiting, market=market).now is now


def test_the_first_of_eight_waits_three_and_a_half_days_at_two_a_day():
    # k = 8, 2 a day: (k - 1)/r = 3.5 days from the first on; Factory Physics, sec. 9.4
    assert "1 of the 8 socks that fill a load; at 2.0 a day it is full in about 4 days" in (
        advice(1).reason
    )


@pytest.mark.parametrize(
    ("days_ahead", "said"),
    [
        (7, "Last day to wash for the market of Thursday 11 June: Monday 8 June."),
        (3, "Today is the last day to wash for the market of Sunday 7 June"),
        (1, "it is late"),
    ],
)
def test_the_last_day_to_wash_is_said(days_ahead, said):
    assert said in advice(3, market=TODAY + dt.timedelta(days=days_ahead)).reason


def test_nothing_arriving_is_said():
    assert "none arrived lately" in advice(3, inflow=0).reason
