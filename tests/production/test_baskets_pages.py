import datetime as dt

import pytest
from django.urls import reverse

from production.core.places import STEPS, SockPlace
from production.models import Act, Quality
from production.services import basket_queries, baskets, paces
from production.services.acts import undo_act
from tests.factories.patterns import PatternVersionFactory
from tests.factories.production import (
    AT,
    brought_to,
    ids_of,
    logged_string,
    places,
    stocked_lot,
    who,
)
from tests.factories.socktrade import UserFactory

pytestmark = pytest.mark.django_db

LIST = "production:basket_list"


def address(key):
    return reverse("production:basket_detail", args=[key])


# the page of all baskets


def test_empty_baskets_say_what_to_do_first(page):
    answer = page.get(reverse(LIST))

    assert answer.status_code == 200
    assert b"Every basket is empty." in answer.content
    assert reverse("production:string_new").encode() in answer.content


def test_each_basket_shows_its_count_and_its_work(page):
    brought_to("cut", count=3)
    brought_to("seam", count=4)

    answer = page.get(reverse(LIST))

    cards = {card.key: card for card, _ in answer.context["cards"]}
    assert list(cards) == [
        "cut", "seam", "wash", "dry", "block", "mate", "tag",
    ]  # fmt: skip
    assert (cards["cut"].count, cards["seam"].count, cards["wash"].count) == (3, 4, 0)
    # 4 socks at 8.75 min of toe seaming each; 17.5 min for a pair, common practice.
    assert cards["seam"].minutes == 35
    assert cards["seam"].oldest == AT
    assert "In work today" in answer.content.decode()


def test_the_page_of_baskets_asks_as_often_with_many_strings(page, django_assert_max_num_queries):
    lot, version = stocked_lot(), PatternVersionFactory()
    for _ in range(2):
        logged_string(lot=lot, version=version)
    page.get(reverse(LIST))
    with django_assert_max_num_queries(28) as few:
        page.get(reverse(LIST))
    for _ in range(10):
        logged_string(lot=lot, version=version, count=5)

    with django_assert_max_num_queries(28) as many:
        page.get(reverse(LIST))

    assert len(many) == len(few)


def test_her_own_pace_takes_over_after_eight_timed_jobs():
    person = UserFactory()
    string = logged_string(count=18)
    ids = ids_of(string)
    baskets.do_step(step="cut", sock_ids=ids, who=who(person))
    for job in range(7):
        baskets.do_step(
            step="seam", sock_ids=ids[2 * job : 2 * job + 2], who=who(person), minutes=12
        )

    before = paces.learned_paces()["seam"]
    baskets.do_step(step="seam", sock_ids=ids[14:16], who=who(person), minutes=12)
    after = paces.learned_paces()["seam"]

    assert (before.minutes, before.learned) == (8.75, False)
    assert (after.minutes, after.learned) == (6.0, True)


def test_an_undone_job_teaches_nothing():
    string = logged_string(count=2)
    act = baskets.do_step(step="cut", sock_ids=ids_of(string), who=who(), minutes=30)
    undo_act(act_id=act.pk, by=UserFactory(), at=AT)

    assert paces.learned_paces()["cut"].jobs == 0


@pytest.mark.parametrize(
    ("minutes", "said"), [(0, "0 min"), (59, "59 min"), (60, "1 h"), (105, "1 h 45 min")]
)
def test_work_is_said_in_hours_and_minutes(minutes, said):
    assert basket_queries.hours_and_minutes(minutes) == said


# one basket


@pytest.mark.parametrize("step", STEPS, ids=lambda step: step.key)
def test_ticked_socks_go_through_their_step_and_can_be_brought_back(page, step):
    string = brought_to(step.key, count=3)
    ids = ids_of(string)

    answer = page.post(address(step.key), {"socks": ids[:2]}, follow=True)

    assert answer.redirect_chain == [(address(step.key), 302)]
    assert f"2 socks {step.done}." in answer.content.decode()
    assert places(string) == [step.end, step.end, step.start]
    page.post(reverse("act_undo"), {"act": Act.objects.latest("pk").pk, "next": "/"})
    assert places(string) == [step.start] * 3


def test_one_tick_takes_the_whole_string(page):
    string = brought_to("cut", count=3)
    other = brought_to("cut", count=2)
    shown = page.get(address("cut"))
    [group] = [g for g in shown.context["basket"].groups if g.string == string]

    page.post(address("cut"), {"whole": group.ids, "minutes": "4"})

    assert places(string) == [SockPlace.TO_SEAM] * 3
    assert places(other) == [SockPlace.TO_CUT] * 2
    assert Act.objects.latest("pk").minutes == 4


def test_one_tick_takes_the_whole_basket(page):
    strings = [brought_to("cut", count=3), brought_to("cut", count=2)]
    basket = page.get(address("cut")).context["basket"]

    page.post(address("cut"), {"whole": basket.ids})

    assert [place for string in strings for place in places(string)] == [SockPlace.TO_SEAM] * 5


def test_the_same_sending_twice_is_one_act(page):
    string = brought_to("cut")
    key = str(page.get(address("cut")).context["form"]["key"].value())
    sent = {"socks": ids_of(string), "key": key}

    page.post(address("cut"), sent)
    again = page.post(address("cut"), sent)

    assert again.status_code == 302
    assert Act.objects.filter(kind="cut").count() == 1


@pytest.mark.parametrize(
    ("sent", "field", "said"),
    [
        ({}, "socks", "Tick the socks first."),
        ({"socks": ["abc"]}, "socks", "is no sock of this page"),
        ({"socks": ["1" * 40]}, "socks", "is no sock of this page"),
        ({"whole": ["1;2"]}, "whole", "is no sock of this page"),
        ({"socks": ["999999"]}, "socks", "Tick the socks first."),
        ({"minutes": "ten"}, "minutes", "Enter a number."),
        ({"minutes": "-1"}, "minutes", "greater than or equal to 0"),
        ({"minutes": "nan"}, "minutes", "Enter a number."),
        ({"minutes": "99999"}, "minutes", "less than or equal to 1440"),
    ],
)
def test_bad_input_is_answered_at_its_field_and_moves_nothing(page, sent, field, said):
    string = brought_to("cut")
    if field == "minutes":
        sent = {**sent, "socks": ids_of(string)}
    acts = Act.objects.count()

    answer = page.post(address("cut"), sent)

    assert answer.status_code == 422
    assert said in " ".join(answer.context["form"].errors[field])
    assert said in answer.content.decode()
    assert Act.objects.count() == acts
    assert places(string) == [SockPlace.TO_CUT] * 2


def test_ticks_are_kept_beside_a_bad_figure(page):
    string = brought_to("cut", count=3)
    ids = ids_of(string)

    answer = page.post(address("cut"), {"socks": ids[:2], "minutes": "ten"})

    assert answer.context["form"].ticked == set(ids[:2])
    assert "Nothing was moved yet, and your ticks are kept." in answer.content.decode()
    assert answer.content.decode().count(" checked>") == 2


def test_a_sock_that_moved_meanwhile_is_named_and_the_other_ticks_are_kept(page):
    string = brought_to("seam", count=3)
    ids = ids_of(string)
    other = UserFactory(username="helper")
    baskets.do_step(step="seam", sock_ids=[ids[0]], who=who(other))
    acts = Act.objects.count()

    answer = page.post(address("seam"), {"socks": ids})

    text = answer.content.decode()
    assert answer.status_code == 422
    assert Act.objects.count() == acts
    assert places(string) == [SockPlace.TO_WASH, SockPlace.TO_SEAM, SockPlace.TO_SEAM]
    [(moved, _)] = answer.context["moved"]
    assert moved.sock.pk == ids[0]
    assert "toes seamed by helper" in text
    assert text.count(" checked>") == 2

    page.post(address("seam"), {"socks": ids[1:]})
    assert places(string) == [SockPlace.TO_WASH] * 3


def test_what_is_no_basket_is_not_found(page):
    assert page.get(address("mate")).status_code == 404
    assert page.get(address("nonsense")).status_code == 404


def test_a_basket_is_private(client, db):
    answer = client.get(address("cut"))

    assert answer.status_code == 302
    assert reverse("sign_in") in answer["Location"]


def test_a_very_full_basket_comes_in_parts(page, monkeypatch):
    monkeypatch.setattr(basket_queries, "PAGE_SOCKS", 5)
    strings = [brought_to("cut", count=3) for _ in range(3)]

    first = page.get(address("cut")).context["basket"]
    second = page.get(address("cut"), {"after": first.next_after}).context["basket"]

    assert (first.total, len(first.socks), first.next_after) == (9, 3, strings[0].number)
    assert [group.string for group in second.groups] == [strings[1]]


@pytest.mark.parametrize("after", ["x", "-1", "9" * 30])
def test_a_strange_place_to_start_from_shows_the_beginning(page, after):
    brought_to("cut")

    answer = page.get(address("cut"), {"after": after})

    assert len(answer.context["basket"].socks) == 2


@pytest.mark.parametrize("key", ["seam", "wash", "block"])
def test_a_basket_asks_as_often_with_many_strings(page, key, django_assert_max_num_queries):
    lot, version = stocked_lot(), PatternVersionFactory()
    brought_to(key, lot=lot, version=version)
    page.get(address(key))
    with django_assert_max_num_queries(20) as few:
        page.get(address(key))
    for _ in range(6):
        brought_to(key, count=4, lot=lot, version=version)

    with django_assert_max_num_queries(20) as many:
        page.get(address(key))

    assert len(many) == len(few)


def test_the_age_of_a_basket_is_that_of_its_oldest_sock():
    later = AT + dt.timedelta(days=2)
    logged_string(at=later)
    logged_string(at=AT)

    [card] = [card for card in basket_queries.basket_cards() if card.key == "cut"]

    assert card.oldest == AT


def test_a_full_page_of_measured_socks_is_within_what_one_form_may_send(settings):
    fields = 3 * basket_queries.PAGE_SOCKS

    assert fields + 20 < settings.DATA_UPLOAD_MAX_NUMBER_FIELDS


def test_a_string_in_work_says_where_its_socks_are():
    string = logged_string(count=3)
    baskets.do_step(step="cut", sock_ids=ids_of(string)[:2], who=who())

    [one] = basket_queries.strings_in_work()

    assert one.string == string
    assert one.places == "2 to seam, 1 on the string, to cut"


def test_what_is_done_with_is_not_in_work():
    string = logged_string(count=1)
    baskets.note_sock(sock=string.socks.get(), quality=Quality.SCRAP, fault="felted", who=who())

    assert basket_queries.strings_in_work() == []
