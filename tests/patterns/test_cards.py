"""Row cards on screen and on paper."""

import pytest

from socktrade.models import Workshop
from tests.factories.patterns import SwatchFactory, make_version

pytestmark = pytest.mark.django_db


@pytest.fixture
def version(at, maker):
    return make_version(at=at, by=maker, swatch=SwatchFactory(stitch_setting=3))


def card(version, query="", paper=""):
    return f"/patterns/versions/{version.pk}/card/{paper}?{query}"


def test_a_card_lists_every_step_of_the_string(page, version):
    answer = page.get(card(version, "socks=3"))

    steps = answer.context["steps"]
    # Leg, heel, foot, toe, good rounds and waste for each sock, after the first waste.
    assert len(steps) == 1 + 3 * 6
    text = answer.content.decode()
    assert text.count("<li data-section=") == len(steps)
    assert f'data-place="card:{version.pk}:3:"' in text
    assert "js/rowcard.js" in text
    assert "Hands, hair, sleeves and cords stay clear" in text


def test_the_counter_readings_follow_how_her_counter_counts(page, version):
    by_pass = page.get(card(version, "socks=1&counting=pass")).context["steps"]
    by_round = page.get(card(version, "socks=1&counting=round")).context["steps"]
    lifted = page.get(card(version, "socks=1&counting=lifted&restarts=sock")).context["steps"]

    # 55 leg rows and a heel of 44 passes, which are 22 rounds there and back.
    assert [steps[2].counter_to for steps in (by_pass, by_round, lifted)] == [99, 77, 55]


def test_a_card_remembers_the_habits_of_her_machine(page, version):
    page.get(card(version, "socks=1&counting=round&restarts=section&note=Carrier+at+the+back"))

    habits = page.get(card(version)).context["habits"]

    assert (habits.counting, habits.restarts) == ("round", "section")
    assert habits.turn_note == "Carrier at the back"


def test_the_yarn_of_the_string_stands_on_its_card(page, version):
    # 64 needles at 1.3014 cm: 15 rounds of waste are 12.49 m, and a string of two has
    # three of them; sock yarn is 117.33 m, four good rounds 3.33 m and a seam tail of
    # 0.62 m for each sock.
    yarn = page.get(card(version, "socks=2")).context["yarn"]

    assert yarn.waste_m == pytest.approx(3 * 12.49, abs=0.05)
    assert yarn.main_m == pytest.approx(2 * (117.33 + 3.33 + 0.62), abs=0.05)


def test_waste_rounds_are_those_of_the_workshop(page, version):
    Workshop.objects.update(waste_rounds=20)

    assert page.get(card(version, "socks=1")).context["steps"][0].rows == 20


@pytest.mark.parametrize(
    ("paper", "query", "field", "says"),
    [
        ("", "socks=0", "socks", "greater than or equal to 1"),
        ("", "socks=101", "socks", "less than or equal to 100"),
        ("", "socks=lots", "socks", "whole number"),
        ("", "socks=2&counting=tally", "counting", "Select a valid choice"),
        ("paper/", "socks=21", "socks", "less than or equal to 20"),
        ("paper/", "socks=2&restarts=never", "restarts", "Select a valid choice"),
    ],
)
def test_a_card_that_cannot_be_says_so_at_its_field(page, version, paper, query, field, says):
    answer = page.get(card(version, query, paper))

    assert answer.status_code == 422
    assert says in " ".join(answer.context["form"].errors[field])
    assert "steps" not in answer.context


def test_paper_has_a_line_for_each_section_and_a_box_for_each_sock(page, version):
    answer = page.get(card(version, "socks=6&string=214", "paper/"))

    lines = answer.context["lines"]
    assert [line.section for line in lines] == [
        "waste",
        "leg",
        "heel",
        "foot",
        "toe",
        "good rounds",
        "waste",
    ]
    assert [sock for sock, _ in lines[1].boxes] == [1, 2, 3, 4, 5, 6]
    assert lines[2].reads == 99
    text = answer.content.decode()
    assert "data-print" in text
    assert "stitch setting" in text
    assert "String 214" in text
    assert 'class="sock-drawing"' in text


def test_paper_writes_readings_into_the_boxes_when_they_go_on_counting(page, version):
    answer = page.get(card(version, "socks=2&restarts=string", "paper/"))

    leg = answer.context["lines"][1]
    # 15 rounds of waste and 55 of leg; then 44, 57, 44, 4 good rounds and 15 of waste.
    assert leg.reads is None
    assert leg.boxes == ((1, 70), (2, 70 + 44 + 57 + 44 + 4 + 15 + 55))


def test_a_hem_is_a_step_of_its_own(page, at, maker):
    version = make_version(at=at, by=maker, hem_rows=10)

    steps = page.get(card(version, "socks=1")).context["steps"]

    # Outside, turning row and inside of a hem of 10: 21 rounds (common practice).
    assert [(step.section, step.rows) for step in steps[1:3]] == [("hem", 21), ("leg", 45)]


def test_there_is_no_card_without_a_version(page):
    assert page.get("/patterns/versions/999/card/").status_code == 404
    assert page.get("/patterns/versions/999/card/paper/").status_code == 404


def test_a_name_cannot_write_into_the_page(page, at, maker):
    version = make_version(at=at, by=maker, design="<b onload=x>&")

    for paper in ("", "paper/"):
        text = page.get(card(version, "socks=1", paper)).content.decode()
        assert "<b onload" not in text
