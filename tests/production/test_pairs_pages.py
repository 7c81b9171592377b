import pytest
from django.urls import reverse

from production.core.places import STEPS, PairPlace, SockPlace
from production.models import Act, Pair, Price
from production.services import baskets, pair_queries, pairs
from tests.factories.patterns import PatternFactory, PatternVersionFactory
from tests.factories.production import logged_string, stocked_lot, who

pytestmark = pytest.mark.django_db

MATING = reverse("production:mating")
BY_HAND = reverse("production:mate_by_hand")
PRICES = reverse("production:price_list")


def blocked(*, feet=(), **of_string):
    """A string whose socks wait for their mates, with measured feet [mm] in their order."""
    string = logged_string(**of_string)
    ids = list(string.socks.order_by("position").values_list("pk", flat=True))
    measured = dict(zip(ids, feet, strict=False))
    for step in STEPS:
        if step.key == "block":
            baskets.block_socks(feet_mm={pk: measured.get(pk) for pk in ids}, who=who())
        else:
            baskets.do_step(step=step.key, sock_ids=ids, who=who())
    return string


def mated(**of_string):
    """One pair that waits for its tag."""
    socks = list(blocked(count=2, **of_string).socks.all())
    act = pairs.mate_socks(couples=[(socks[0].pk, socks[1].pk)], who=who())
    return act.pair_moves.get().pair


def values(answer):
    return [line.value for line in [*answer.context["alike"], *answer.context["mixed"]]]


# mating


def test_an_empty_mating_basket_names_the_step_before(page):
    answer = page.get(MATING)

    assert answer.status_code == 200
    assert reverse("production:basket_detail", args=["block"]) in answer.content.decode()


def test_accepted_proposals_become_pairs_and_undo_parts_them(page):
    string = blocked(count=4, feet=(230, 231, 240, 241))
    shown = page.get(MATING)

    answer = page.post(MATING, {"couples": values(shown), "minutes": "3"}, follow=True)

    assert "P1001 to P1002 are mated." in answer.content.decode()
    first, second = Pair.objects.order_by("number")
    assert [sock.position for sock in first.socks.order_by("side")] == [1, 2]
    assert [sock.position for sock in second.socks.order_by("side")] == [3, 4]
    assert {first.place, second.place} == {PairPlace.TO_TAG}
    page.post(reverse("act_undo"), {"act": Act.objects.latest("pk").pk, "next": "/"})
    assert set(string.socks.values_list("place", flat=True)) == {SockPlace.TO_MATE}


def test_only_the_ticked_proposals_are_made(page):
    blocked(count=4, feet=(230, 231, 240, 241))
    shown = values(page.get(MATING))

    page.post(MATING, {"couples": shown[1:]})

    [pair] = Pair.objects.all()
    assert [sock.position for sock in pair.socks.order_by("side")] == [3, 4]


def test_socks_further_apart_than_the_tolerance_are_odd_and_name_the_nearest(page):
    string = blocked(count=2, feet=(230, 236))

    answer = page.get(MATING)

    text = answer.content.decode()
    assert values(answer) == []
    assert [(odd.nearest.number, odd.difference_mm) for odd in answer.context["odd"]] == [
        (f"{string.number}-02", 6),
        (f"{string.number}-01", 6),
    ]
    assert "6 mm apart" in text


def test_an_odd_sock_says_what_would_mate_it(page):
    lot = stocked_lot(code="7", yarn__name="Moor wool", yarn__colour="Peat")
    string = blocked(count=1, lot=lot)

    answer = page.get(MATING)

    pattern = string.socks.get().version.pattern
    wanted = f"Wants one more of {pattern}, 64 needles, Moor wool, Peat, lot 7"
    assert wanted in answer.content.decode()


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"other": "x"}, "Tick the pairs first."),
        ({"couples": ["1;2"]}, "is no proposal of this page"),
        ({"couples": ["7-7-7"]}, "is no proposal of this page"),
        ({"couples": ["999998-999999"]}, "not in the book"),
    ],
)
def test_bad_couples_are_refused_and_make_no_pair(page, sent, said):
    blocked(count=2)

    answer = page.post(MATING, sent)

    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not Pair.objects.exists()
    assert not Act.objects.filter(kind="mate").exists()


def test_a_sock_mated_meanwhile_is_named_and_the_other_ticks_are_kept(page):
    blocked(count=4, feet=(230, 231, 240, 241))
    shown = values(page.get(MATING))
    taken = tuple(int(part) for part in shown[0].split("-"))
    pairs.mate_socks(couples=[taken], who=who())

    answer = page.post(MATING, {"couples": shown})

    assert answer.status_code == 422
    assert Pair.objects.count() == 1
    assert answer.context["gone"] == 1
    assert [line.ticked for line in [*answer.context["alike"], *answer.context["mixed"]]] == [True]
    assert "a sock moved meanwhile" in answer.content.decode()


def test_two_socks_of_one_lot_are_mated_by_hand(page):
    string = blocked(count=2, feet=(230, 240))

    page.post(BY_HAND, {"left": f"{string.number}-01", "right": f"{string.number}-2"})

    assert Pair.objects.get().socks.count() == 2


def test_two_lots_need_a_reason(page):
    version = PatternVersionFactory()
    one, other = blocked(count=1, version=version), blocked(count=1, version=version)
    sent = {"left": f"{one.number}-01", "right": f"{other.number}-01"}

    asked = page.post(BY_HAND, sent)

    assert asked.status_code == 422
    assert "Say why they go together." in " ".join(asked.context["by_hand"].errors["note"])
    assert not Pair.objects.exists()
    page.post(BY_HAND, {**sent, "note": "same shade in daylight"})
    assert Pair.objects.count() == 1
    assert Act.objects.get(kind="mate").note == "same shade in daylight"


@pytest.mark.parametrize(
    ("left", "said"),
    [
        ("", "This field is required."),
        ("first", "is no number of a sock"),
        ("1066-99", "There is no sock 1066-99"),
        ("-5--3", "is no number of a sock"),
        ("9" * 15 + "-1", "is no number of a sock"),
        ("<script>", "is no number of a sock"),
    ],
)
def test_a_number_that_names_no_sock_is_answered_at_its_field(page, left, said):
    string = blocked(count=1)

    answer = page.post(BY_HAND, {"left": left, "right": f"{string.number}-01"})

    assert answer.status_code == 422
    assert said in " ".join(answer.context["by_hand"].errors["left"])
    assert "<script>-" not in answer.content.decode()
    assert not Pair.objects.exists()


def test_a_sock_is_not_mated_with_itself(page):
    string = blocked(count=1)
    number = f"{string.number}-01"

    answer = page.post(BY_HAND, {"left": number, "right": number})

    assert "One sock cannot be in two pairs." in answer.content.decode()
    assert answer.status_code == 422


def test_mating_asks_as_often_with_many_socks(page, django_assert_max_num_queries):
    lot, version = stocked_lot(), PatternVersionFactory()
    blocked(count=3, lot=lot, version=version)
    page.get(MATING)
    with django_assert_max_num_queries(8) as few:
        page.get(MATING)
    for _ in range(4):
        blocked(count=5, lot=lot, version=version)

    with django_assert_max_num_queries(8) as many:
        page.get(MATING)

    assert len(many) == len(few)


# the list of pairs


def test_an_empty_list_of_pairs_says_how_one_comes_to_be(page):
    answer = page.get(reverse("production:pair_list"))

    assert "Two blocked socks make one." in answer.content.decode()


def test_the_list_shows_the_newest_pairs_of_one_place(page):
    first, second = mated(), mated()
    pairs.split_pair(pair=first, who=who())

    everything = page.get(reverse("production:pair_list"))
    waiting = page.get(reverse("production:pair_list"), {"place": "to_tag"})

    assert list(everything.context["page"].pairs) == [second, first]
    assert list(waiting.context["page"].pairs) == [second]
    assert second.label in waiting.content.decode()


def test_the_list_goes_on_by_number(page, monkeypatch):
    monkeypatch.setattr(pair_queries, "PAGE_PAIRS", 2)
    made = [mated() for _ in range(3)]
    address = reverse("production:pair_list")

    newest = page.get(address).context["page"]
    older = page.get(address, {"before": newest.next_before}).context["page"]

    assert list(newest.pairs) == [made[2], made[1]]
    assert (list(older.pairs), older.next_before) == ([made[0]], None)


@pytest.mark.parametrize(
    "sent", [{"place": "moon"}, {"before": "x"}, {"before": "9" * 40}, {"place": "\0"}]
)
def test_strange_filters_show_all_pairs(page, sent):
    pair = mated()

    answer = page.get(reverse("production:pair_list"), sent)

    assert list(answer.context["page"].pairs) == [pair]


def test_the_list_of_pairs_asks_as_often_with_many(page, django_assert_max_num_queries):
    mated()
    page.get(reverse("production:pair_list"))
    with django_assert_max_num_queries(6) as few:
        page.get(reverse("production:pair_list"))
    for _ in range(4):
        mated()

    with django_assert_max_num_queries(6) as many:
        page.get(reverse("production:pair_list"))

    assert len(many) == len(few)


# prices


def change(pattern):
    return reverse("production:price_change", args=[pattern.pk])


def test_patterns_without_a_price_come_first(page, maker):
    priced, bare = PatternFactory(foot_length_mm=200), PatternFactory(foot_length_mm=260)
    pairs.set_price(pattern=priced, first_minor=2800, second_minor=1800, who=who(maker))

    answer = page.get(PRICES)

    assert [one.pattern for one in answer.context["priced"]] == [bare, priced]
    assert "$28.00" in answer.content.decode()
    assert "no price yet" in answer.content.decode()


def test_no_pattern_yet_leads_to_planning_one(page):
    assert reverse("patterns:pattern_list") in page.get(PRICES).content.decode()


def test_a_changed_price_holds_and_the_old_one_stays_as_history(page, maker):
    pattern = PatternFactory()
    pairs.set_price(pattern=pattern, first_minor=2500, second_minor=1500, who=who(maker))

    page.post(change(pattern), {"first": "28.00", "second": "18"})

    assert pairs.current_prices([pattern.pk])[pattern.pk].first_minor == 2800
    assert Price.objects.count() == 2
    text = page.get(change(pattern)).content.decode()
    assert "$25.00" in text
    assert 'value="28.00"' in text


def test_older_prices_are_shown_ten_at_a_time_under_the_price_that_holds(page, maker):
    pattern, other = PatternFactory(), PatternFactory()
    pairs.set_price(pattern=other, first_minor=9900, second_minor=9900, who=who(maker))
    for minor in range(2001, 2013):
        pairs.set_price(pattern=pattern, first_minor=minor, second_minor=1500, who=who(maker))

    newest = page.get(change(pattern))
    older = page.get(change(pattern), {"before": newest.context["older"]})

    shown = [
        [price.first_minor for price in answer.context["history"]] for answer in (newest, older)
    ]
    assert shown == [[*range(2012, 2002, -1)], [2002, 2001]]
    assert f"?before={newest.context['older']}" in newest.text
    assert older.context["older"] is None
    assert 'value="20.12"' in older.text
    assert page.get(change(pattern), {"before": "soon"}).context["older"]


def test_the_same_price_again_is_no_new_price(page, maker):
    pattern = PatternFactory()
    for _ in range(2):
        page.post(change(pattern), {"first": "28", "second": "18"})

    assert Price.objects.count() == 1


@pytest.mark.parametrize(
    ("first", "second", "field", "said"),
    [
        ("", "18", "first", "This field is required."),
        ("twenty", "18", "first", "is not an amount in USD"),
        ("-5", "18", "first", "is not an amount in USD"),
        ("28.005", "18", "first", "is not an amount in USD"),
        ("999999999", "18", "first", "is no price"),
        ("18", "28", "second", "A second does not cost more than a first."),
        ("NaN", "18", "first", "is not an amount in USD"),
    ],
)
def test_what_is_no_price_is_answered_at_its_field(page, first, second, field, said):
    pattern = PatternFactory()

    answer = page.post(change(pattern), {"first": first, "second": second})

    assert answer.status_code == 422
    assert said in " ".join(answer.context["form"].errors[field])
    assert not Price.objects.exists()


def test_prices_of_an_unknown_pattern_are_not_found(page):
    assert page.get(reverse("production:price_change", args=[99999])).status_code == 404


def test_the_price_list_asks_as_often_with_many_patterns(
    page, maker, django_assert_max_num_queries
):
    PatternFactory()
    page.get(PRICES)
    with django_assert_max_num_queries(6) as few:
        page.get(PRICES)
    for _ in range(5):
        pairs.set_price(
            pattern=PatternFactory(), first_minor=2800, second_minor=1800, who=who(maker)
        )

    with django_assert_max_num_queries(6) as many:
        page.get(PRICES)

    assert len(many) == len(few)
