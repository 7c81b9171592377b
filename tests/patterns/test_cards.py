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


@pytest.mark.parametrize(("counting", "reads"), [("pass", 99), ("round", 77), ("lifted", 55)])
def test_the_counter_readings_follow_how_her_counter_counts(page, version, counting, reads):
    Workshop.objects.update(counter_in_turns=counting)

    steps = page.get(card(version, "socks=1")).context["steps"]

    # 55 leg rows and a heel of 44 passes, which are 22 rounds there and back.
    assert steps[2].counter_to == reads


def test_a_card_asks_once_how_her_machine_counts(page, version):
    asked = page.get(card(version)).content.decode()
    assert "how does your machine count?" in asked

    Workshop.objects.update(machine_told=True)

    assert "how does your machine count?" not in page.get(card(version)).content.decode()


def test_a_card_ends_with_the_way_to_log_the_string(page, version):
    text = page.get(card(version, "socks=3")).content.decode()

    assert f'href="/log/?version={version.pk}&amp;count=3"' in text


def test_the_length_under_weights_comes_from_the_swatch(page, at, maker):
    # 60 rows at 11 an inch lie flat at 5.4545 in; hung at 6 in they are 1.1 times as long.
    swatch = SwatchFactory(hanging_mm=6 * 25.4, hanging_rows=60)
    version = make_version(at=at, by=maker, swatch=swatch)

    steps = {step.section: step for step in page.get(card(version, "socks=1")).context["steps"]}

    assert steps["leg"].hangs_mm == pytest.approx(55 / 11 * 25.4 * 1.1)
    assert steps["foot"].hangs_mm == pytest.approx(57 / 11 * 25.4 * 1.1)
    assert steps["heel"].hangs_mm == 0


def test_the_length_under_weights_falls_back_on_her_other_swatches(page, version):
    for inches in (6, 6.5, 7):
        SwatchFactory(hanging_mm=inches * 25.4, hanging_rows=60)

    text = page.get(card(version, "socks=1", "paper/")).content.decode()

    # The middle one hangs 6.5 / 5.4545 = 1.192 times as long: 55 rows at 5.96 in.
    assert "hangs about 5.96 in from its top edge" in text


def test_the_phone_may_keep_cards_for_when_there_is_no_signal(page, version):
    answer = page.get("/patterns/versions/keep-cards.js")

    assert answer["Content-Type"].startswith("text/javascript")
    assert answer["Cache-Control"] == "no-cache"
    assert 'startsWith("/static/")' in answer.content.decode()


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
        ("paper/", "socks=21", "socks", "less than or equal to 20"),
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
    Workshop.objects.update(counter_restarts="string")

    answer = page.get(card(version, "socks=2", "paper/"))

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
