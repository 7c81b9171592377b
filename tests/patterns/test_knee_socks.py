"""Settings up the leg of a knee sock, and the short rows of a toe of its own."""

from decimal import Decimal

import pytest
from django.urls import reverse

from patterns.services.cards import toe_drawing_of, turn_drawing_of
from patterns.services.gauges import yarn_lines
from patterns.services.legs import Leg, bands_of, lines_with_settings
from tests.factories.patterns import CylinderFactory, SwatchFactory, make_version
from tests.patterns.loops import gauge_of_loop

pytestmark = pytest.mark.django_db
PAGE = "/patterns/knee-socks/"


@pytest.fixture
def tube():
    """Two bands of one tube on the 72: 1.2 cm a stitch at her mark, 1.6 cm two turns on."""
    cylinder = CylinderFactory(needles=72)
    return [_swatch(1.2, 0, cylinder), _swatch(1.6, 2, cylinder)]


def _swatch(loop_cm, setting, cylinder):
    gauge = gauge_of_loop(loop_cm)
    return SwatchFactory(
        yarn_name="Kelp",
        cylinder=cylinder,
        stitch_setting=Decimal(setting),
        wales_per_10cm=gauge.wales_per_10cm,
        courses_per_10cm=gauge.courses_per_10cm,
    )


def asked(tube, **more):
    return {"line": tube[0].pk, "ease": "10"} | more


def test_measured_girths_give_a_setting_for_each_band(page, tube):
    # By hand: 72 needles around 25 cm at ease 0.10 are 3.2 wales per cm; 4.2 / 3.2 is 1.3125 cm,
    # and 0.2 cm a turn puts it 0.5625 turns from her mark; 29 cm: 1.5225 cm, 1.6125 turns.
    answer = page.get(PAGE, asked(tube, ankle="250 mm", calf="290 mm", knee="270 mm"))
    knee, calf, ankle = answer.context["bands"]

    assert ankle.band.turns == pytest.approx(0.5625)
    assert calf.band.turns == pytest.approx(1.6125)
    assert ankle.band.turns < knee.band.turns < calf.band.turns
    assert [one.girth.sd_mm for one in (knee, calf, ankle)] == [0, 0, 0]
    assert all(one.band.measured for one in (knee, calf, ankle))
    assert ankle.reading.gauge.courses_per_10cm > calf.reading.gauge.courses_per_10cm
    assert "data-print" in answer.text
    assert "guessed, give or take" not in answer.text


def test_girths_that_were_not_measured_are_guessed_with_their_spread(page, tube):
    # US Army survey 2012 (NATICK/TR-15/007): calf = 168.69 + 0.8263 foot, sd 27;
    # ankle = 82.57 + 0.5411 foot, sd 13.
    answer = page.get(PAGE, asked(tube, foot="245 mm"))
    knee, calf, ankle = answer.context["bands"]

    assert (calf.girth.mm, calf.girth.sd_mm) == pytest.approx((371.13, 27), abs=0.01)
    assert (ankle.girth.mm, ankle.girth.sd_mm) == pytest.approx((215.14, 13), abs=0.01)
    assert calf.turns[0] < calf.band.turns < calf.turns[1]
    assert knee.girth == calf.girth
    assert "just below the knee was not measured" in answer.text
    assert "not tried" in answer.text
    assert "lie outside the settings you tried (0.00 to 2.00)" in answer.text


def test_a_foot_outside_the_survey_asks_for_the_tape(page, tube):
    answer = page.get(PAGE, asked(tube, foot="180 mm"))

    assert answer.context["bands"][1].girth.sd_mm == 54
    assert "measure the leg" in answer.text


@pytest.mark.parametrize(
    ("sent", "field", "words"),
    [
        ({}, "foot", "Give the foot, or measure both"),
        ({"ankle": "250 mm"}, "foot", "Give the foot, or measure both"),
        ({"foot": "long"}, "foot", "is not a length"),
        ({"foot": "245 mm", "calf": "900 mm"}, "calf", "out of reach"),
        ({"foot": "245 mm", "ease": "40"}, "ease", "40"),
        ({"foot": "245 mm", "line": "0"}, "line", "not one of the available choices"),
    ],
)
def test_what_cannot_be_read_is_asked_back_at_its_field(page, tube, sent, field, words):
    answer = page.get(PAGE, asked(tube) | sent)

    assert answer.status_code == 422
    assert words in answer.context["form"].errors[field][0]
    assert "bands" not in answer.context


def test_yarn_and_foot_come_along_from_settings_and_plan(page, tube):
    settings = page.get(reverse("patterns:gauge_lines")).text
    form = page.get(PAGE, {"line": tube[1].pk, "foot": "245.5 mm"}).context["form"]
    planned = page.get(
        "/patterns/plan/", {"foot": "245 mm", "swatch": tube[0].pk, "count": "250 tex"}
    ).text

    assert f"{PAGE}?line={tube[0].pk}" in settings
    assert (form["line"].value(), form["foot"].value()) == (tube[0].pk, "245.5 mm")
    assert f"{PAGE}?line={tube[0].pk}&amp;foot=245.0+mm" in planned


def test_without_a_yarn_at_two_settings_the_page_says_what_to_do_first(page):
    SwatchFactory(yarn_name="Kelp")

    assert "one yarn at two settings" in page.get(PAGE).text
    assert lines_with_settings() == []
    with pytest.raises(ValueError, match="line has one setting"):
        bands_of(yarn_lines()[0], Leg(foot_mm=245))


def test_a_girth_needs_the_tape_or_a_foot(tube):
    with pytest.raises(ValueError, match="calf_mm is None and so is foot_mm"):
        bands_of(lines_with_settings()[0], Leg(ankle_mm=220))


def test_a_toe_of_its_own_is_drawn_beside_the_heel(page, at):
    # By the rule of short rows: half the needles, one fewer each pass down to the centre.
    version = make_version(at=at, needles=(64,), toe_centre=8)

    text = page.get(version.pattern.get_absolute_url()).text

    assert "32 needles down to 8 and back" in toe_drawing_of(version)
    assert "down to 10 and back" in turn_drawing_of(version)
    assert text.count('class="pass-drawing"') == 2
    assert "The toe works on half the needles, down to 8" in text


def test_a_deep_heel_leaves_the_toe_on_half_the_needles(at):
    version = make_version(at=at, needles=(64,), deep_heel=2)

    assert "Short rows: 34 needles" in turn_drawing_of(version)
    assert "Short rows: 32 needles" in toe_drawing_of(version)


def test_a_toe_like_the_heel_is_drawn_once(page, at):
    version = make_version(at=at)

    assert toe_drawing_of(version) == ""
    assert page.get(version.pattern.get_absolute_url()).text.count("pass-drawing") == 1
