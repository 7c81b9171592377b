"""Logging a string in seconds, the list of strings, a string's page and slip."""

from decimal import Decimal

import pytest
from django.urls import reverse

from production.core.places import STEPS
from production.forms.strings import read_faults
from production.models import Sock, String
from production.services import string_queries
from production.services.acts import undo_act
from production.services.baskets import do_step
from production.services.yarn import grams_on_hand, take_yarn
from tests.factories.patterns import PatternVersionFactory
from tests.factories.production import AT, DyeLotFactory, logged_string, stocked_lot, who

pytestmark = pytest.mark.django_db

NEW = "/strings/new/"


@pytest.fixture
def lot(maker):
    return stocked_lot(grams=1000, by=maker)


@pytest.fixture
def version(maker):
    return PatternVersionFactory()


@pytest.fixture
def sent(version, lot):
    return {"version": version.pk, "lot": lot.pk, "count": "4"}


def test_string_new_numbers_the_socks_and_books_the_yarn(page, sent, lot):
    answer = page.post(NEW, sent)

    string = String.objects.get()
    assert answer.url == string.get_absolute_url()
    assert [sock.number for sock in string.socks.order_by("position")] == [
        "1-01",
        "1-02",
        "1-03",
        "1-04",
    ]
    assert float(grams_on_hand(lot)) == pytest.approx(1000 - 4 * 29.3, abs=0.05)


def test_string_new_starts_from_the_string_before(page, version, lot, maker):
    logged_string(count=7, version=version, lot=lot, by=maker)

    form = page.get(NEW).context["form"]

    assert form["version"].value() == version.pk
    assert form["lot"].value() == lot.pk
    assert form["count"].value() == 7


def test_string_new_takes_the_version_of_the_row_card(page, version, lot, maker):
    logged_string(count=2, version=version, lot=lot, by=maker)
    newer = PatternVersionFactory(pattern=version.pattern, number=2)
    other = PatternVersionFactory()

    first = page.get(NEW, {"version": version.pk}).context["form"]
    second = page.get(NEW, {"version": other.pk}).context["form"]

    assert first["version"].value() == version.pk
    assert second["version"].value() == other.pk
    assert newer.pk in dict(second.fields["version"].choices)


@pytest.mark.parametrize("asked", ["abc", "99999", "9" * 40, ""])
def test_string_new_takes_any_address(page, version, asked):
    PatternVersionFactory()

    answer = page.get(NEW, {"version": asked})

    assert answer.status_code == 200
    assert answer.context["form"]["version"].value() is None


def test_string_new_chooses_what_is_the_only_choice(page, version, lot):
    form = page.get(NEW).context["form"]

    assert form["version"].value() == version.pk
    assert form["lot"].value() == lot.pk


def test_string_new_offers_an_older_version_only_when_asked(page, version, lot):
    PatternVersionFactory(pattern=version.pattern, number=2)
    old = {"version": version.pk, "lot": lot.pk, "count": "2"}

    refused = page.post(NEW, old)
    taken = page.post(f"{NEW}?version={version.pk}", old)

    assert "version" in refused.context["form"].errors
    assert taken.status_code == 302


def test_string_new_logs_other_sizes_and_their_faults(page, sent, lot):
    small = PatternVersionFactory(grams=20)
    page.post(
        NEW,
        sent
        | {
            "version_2": small.pk,
            "count_2": "3",
            "faults_text": "2 hole, 6: stain; #7 - dropped loop",
            "minutes": "95",
        },
    )

    string = String.objects.get()
    runs = [(r.first_position, r.count, r.version_id) for r in string.runs.order_by("pk")]
    faults = {s.position: s.fault for s in string.socks.exclude(fault="")}
    assert runs == [(1, 4, sent["version"]), (5, 3, small.pk)]
    assert faults == {2: "hole", 6: "stain", 7: "dropped loop"}
    assert Sock.objects.filter(quality="second").count() == 3
    assert string.act.minutes == 95


def test_string_new_books_heel_and_strand_of_other_lots(page, sent, lot, maker):
    heel = stocked_lot(grams=200, by=maker)
    strand = stocked_lot(grams=50, by=maker)

    page.post(NEW, sent | {"turn_lot": heel.pk, "strand_lot": strand.pk, "strand_g": "2.5"})

    # Heel and toe of the version weigh 5.2 g each; 4 socks.
    assert float(grams_on_hand(heel)) == pytest.approx(200 - 4 * 10.4, abs=0.05)
    assert float(grams_on_hand(strand)) == pytest.approx(50 - 4 * 2.5, abs=0.05)
    assert float(grams_on_hand(lot)) == pytest.approx(1000 - 4 * (29.3 - 10.4), abs=0.05)


def test_string_new_keeps_the_day_it_was_knitted(page, sent):
    page.post(NEW, sent | {"at": "2026-02-03T18:20"})

    assert String.objects.get().act.at.isoformat() == "2026-02-03T18:20:00+00:00"


def test_string_new_never_refuses_a_string_that_was_knitted(page, sent, lot):
    answer = page.post(NEW, sent | {"count": "60"})

    assert answer.status_code == 302
    assert grams_on_hand(lot) < 0


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("count", "0", "greater than or equal to 1"),
        ("count", "201", "less than or equal to 200"),
        ("count", "many", "whole number"),
        ("count", "2.5", "whole number"),
        ("count", "", "required"),
        ("version", "", "required"),
        ("version", "99999", "not one of the available"),
        ("lot", "", "required"),
        ("minutes", "-5", "greater than"),
        ("minutes", "1e9", "less than"),
        ("minutes", "nan", "number"),
        ("at", "1066", "no date and time"),
        ("at", "1066-10-14T09:00", "14 October 1066 cannot be right"),
        ("at", "2999-01-01T09:00", "cannot be right"),
        ("faults_text", "9 hole", "There is no sock 9 among 4"),
        ("faults_text", "0 hole", "There is no sock 0"),
        ("faults_text", "hole", "has no place in front"),
        ("faults_text", "2", "What is wrong with sock 2?"),
        ("faults_text", "2 hole, 2 stain", "stands there twice"),
        ("strand_g", "3", "Which lot is the strand of?"),
        ("count_2", "3", "Which pattern are these?"),
    ],
)
def test_string_new_refuses_at_the_field_and_saves_nothing(page, sent, lot, field, value, words):
    answer = page.post(NEW, sent | {field: value})

    assert answer.status_code == 422
    told = [text for errors in answer.context["form"].errors.values() for text in errors]
    assert any(words in text for text in told), told
    assert words in answer.text
    assert not String.objects.exists()
    assert grams_on_hand(lot) == 1000


def test_string_new_counts_all_runs_against_the_limit(page, sent):
    answer = page.post(NEW, sent | {"count": "150", "version_2": sent["version"], "count_2": "51"})

    assert "201 socks are more" in answer.context["form"].errors["count"][0]
    assert not String.objects.exists()


def test_string_new_sent_twice_is_one_string(page, sent):
    twice = sent | {"key": "1c9c2a52-3f7f-4c85-8f0c-64a0f2e3b7d9"}

    page.post(NEW, twice)
    page.post(NEW, twice)

    assert String.objects.count() == 1
    assert Sock.objects.count() == 4


def test_string_new_costs_the_same_with_more_lots(
    page, version, lot, maker, django_assert_max_num_queries
):
    logged_string(version=version, lot=lot, by=maker)
    for _ in range(10):
        stocked_lot(by=maker)
        PatternVersionFactory()

    with django_assert_max_num_queries(11):
        page.get(NEW)


def test_lots_to_knit_are_those_with_yarn_or_never_weighed(lot, version, maker):
    logged_string(count=2, version=version, lot=lot, by=maker)
    gone = stocked_lot(grams=80, by=maker)
    take_yarn(lot=gone, grams=Decimal(80), use="off", who=who(maker))
    fresh = DyeLotFactory()

    found = string_queries.lots_to_knit()

    assert [row.pk for row in found] == [fresh.pk, lot.pk]
    assert float(found[1].grams) == pytest.approx(1000 - 2 * 29.3, abs=0.05)
    assert gone in string_queries.lots_to_knit(keep=[gone.pk])


def test_string_check_says_when_the_lot_cannot_finish(page, version, maker):
    lot = stocked_lot(grams=100, by=maker)
    asked = {"version": version.pk, "lot": lot.pk}
    check = "/strings/check/"

    enough = page.get(check, asked | {"count": "2"}).text
    short = page.get(check, asked | {"count": "4"}).text
    tight = page.get(check, asked | {"count": "3", "turn_lot": ""}).text

    assert "41 g left after it" in enough  # 100 - 58.6
    assert "17 g below zero" in short  # 117.2 - 100
    assert "12 g left after it" in tight  # 100 - 87.9: more than 5 %
    assert not String.objects.exists()


def test_string_check_says_when_it_only_just_reaches(page, version, maker):
    lot = stocked_lot(grams=60, by=maker)

    text = page.get("/strings/check/", {"version": version.pk, "lot": lot.pk, "count": "2"}).text

    assert "only just reaches" in text  # 58.6 of 60 g: 2 % to spare


def test_string_check_minds_grams_and_nothing_else(page, version, maker):
    lot = stocked_lot(grams=60, by=maker)
    asked = {"version": version.pk, "lot": lot.pk, "count": "3", "faults_text": "9 hole"}

    assert "below zero" in page.get("/strings/check/", asked).text


def test_string_check_is_silent_while_the_form_is_unfinished(page, lot):
    assert "sock" not in page.get("/strings/check/", {"lot": lot.pk, "count": "x"}).text


def test_string_list_says_what_to_do_first(page):
    assert "No string is in the book" in page.get("/strings/").text


def test_string_list_counts_socks_by_place(page, version, lot, maker):
    string = logged_string(count=5, version=version, lot=lot, by=maker)
    cut = list(string.socks.filter(position__lte=2).values_list("pk", flat=True))
    do_step(step="cut", sock_ids=cut, who=who(maker))

    text = page.get("/strings/").text

    assert "2 to seam" in text
    assert "3 on the string, to cut" in text


def test_string_list_pages_by_number(page, version, lot, maker, monkeypatch):
    monkeypatch.setattr(string_queries, "PAGE_LENGTH", 2)
    for _ in range(5):
        logged_string(version=version, lot=lot, by=maker)

    pages, before = [], ""
    while before is not None:
        context = page.get("/strings/", {"before": before}).context
        pages.append([row.string.number for row in context["rows"]])
        before = context["older"]

    assert pages == [[5, 4], [3, 2], [1]]


def test_string_list_costs_the_same_with_more_rows(
    page, version, lot, maker, django_assert_max_num_queries
):
    for _ in range(12):
        logged_string(count=3, version=version, lot=lot, by=maker)

    with django_assert_max_num_queries(9):
        page.get("/strings/")


def test_string_detail_shows_yarns_socks_and_faults(page, version, lot, maker):
    string = logged_string(count=3, version=version, lot=lot, by=maker, faults={2: "hole"})

    text = page.get(string.get_absolute_url()).text

    assert "Socks 1 to 3" in text
    assert "29.3" in text
    assert "leg and foot" in text
    assert string.socks.get(position=3).get_absolute_url() in text
    assert "hole" in text
    assert "Undo: string logged" in text


def test_string_detail_offers_no_undo_once_socks_moved_on(page, version, lot, maker):
    string = logged_string(version=version, lot=lot, by=maker)
    do_step(step="cut", sock_ids=[string.socks.first().pk], who=who(maker))

    text = page.get(string.get_absolute_url()).text

    assert "Undo: string logged" not in text
    assert "Undo: cut apart" in text


def test_string_detail_shows_a_string_that_was_taken_back(page, version, lot, maker):
    string = logged_string(version=version, lot=lot, by=maker)
    undo_act(act_id=string.act_id, by=maker, at=AT)

    assert "taken back" in page.get(string.get_absolute_url()).text
    assert "taken back" in page.get("/strings/").text
    assert string_queries.last_run() is None
    assert grams_on_hand(lot) == 1000


def test_string_detail_and_slip_cost_the_same_with_more_socks(
    page, version, lot, maker, django_assert_max_num_queries
):
    string = logged_string(count=40, version=version, lot=lot, by=maker)

    with django_assert_max_num_queries(20):
        page.get(string.get_absolute_url())
    with django_assert_max_num_queries(11):
        page.get(reverse("production:string_slip_page", args=[string.number]))


def test_string_slip_has_a_box_for_every_step_of_every_sock(page, version, lot, maker):
    string = logged_string(count=6, version=version, lot=lot, by=maker)

    text = page.get(reverse("production:string_slip_page", args=[string.number])).text

    assert text.count('class="slip-box"') == 6 * len(STEPS)
    assert "1-06" in text
    assert '<th scope="col">Pattern</th>' not in text


def test_string_slip_names_the_pattern_of_each_sock_when_sizes_mix(page, sent):
    other = PatternVersionFactory()
    page.post(NEW, sent | {"version_2": other.pk, "count_2": "2"})

    text = page.get(reverse("production:string_slip_page", args=[1])).text

    assert text.count(f"<td>{other}</td>") == 2


def test_string_pages_of_no_string_are_not_found(page):
    assert page.get("/strings/77/").status_code == 404
    assert page.get("/strings/77/slip/").status_code == 404


def test_read_faults_reads_places_in_any_punctuation():
    assert read_faults(" 2 hole,5: stain ;\n#11 - ladder, 3 cm", count=11) == {
        2: "hole",
        5: "stain",
        11: "ladder",
        3: "cm",
    }
    assert read_faults("", count=4) == {}
