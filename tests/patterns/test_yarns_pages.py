"""Stitch settings, old directions, stripes, tops and the rest of the bench's questions."""

from decimal import Decimal
from urllib.parse import urlencode

import pytest

from patterns.models import PatternVersion, Swatch
from patterns.services.gauges import shrinks_of
from patterns.services.plans import Wish, make_plan
from tests.factories.patterns import CylinderFactory, SwatchFactory, make_version
from tests.patterns.loops import gauge_of_loop

pytestmark = pytest.mark.django_db


def band(loop_cm, setting, **more):
    gauge = gauge_of_loop(loop_cm)
    return SwatchFactory(
        yarn_name="Kelp",
        stitch_setting=Decimal(setting),
        wales_per_10cm=gauge.wales_per_10cm,
        courses_per_10cm=gauge.courses_per_10cm,
        **more,
    )


def wish(swatch, **more):
    told = {"foot_length_mm": 245.5, "tex": 250.0, "needles": (60, 64, 72), "ball_mm": 231.0}
    return Wish(swatch=swatch, **told | {"height_mm": 177.8} | more)


def test_two_swatches_answer_for_a_wanted_gauge(page):
    first = band(1.2, 1)
    band(1.4, 3)
    # 42 / 1.3 cm is 32.3 stitches per 10 cm: half way, so 2 turns.
    query = urlencode({"line": first.pk, "stitches": "32.3077", "per": "10cm"})

    answer = page.get(f"/patterns/gauges/settings/?{query}")

    _, reading = answer.context["answer"]
    assert reading.turns == pytest.approx(2, abs=0.001)
    assert reading.tried


def test_a_setting_outside_the_swatches_is_warned_about(page):
    first = band(1.2, 1)
    band(1.4, 3)

    text = page.get(f"/patterns/gauges/settings/?line={first.pk}&turns=4").content.decode()

    assert "Outside the settings you tried (1.00 to 3.00 turns)" in text


@pytest.mark.parametrize(
    ("query", "says"),
    [
        ("turns=", "one of them"),
        ("turns=2&stitches=8", "one of them"),
        ("stitches=many", "is not a number"),
        ("turns=2", "One setting says nothing of another"),
    ],
)
def test_a_question_no_line_can_answer_is_asked_back(page, query, says):
    only = band(1.2, 1)

    answer = page.get(f"/patterns/gauges/settings/?line={only.pk}&{query}")

    assert answer.status_code == 422
    assert says in answer.content.decode()


def test_a_plan_at_another_setting_reads_its_gauge_off_the_line():
    first = band(1.2, 1)
    band(1.4, 3)

    planned = make_plan(wish(first, setting=Decimal(2)))

    assert planned.plan.loop_cm == pytest.approx(1.3)
    assert planned.taken.gauge.wales_per_10cm == pytest.approx(42 / 1.3)
    guessed = make_plan(wish(first, setting=Decimal(5)))
    assert "setting" in {notice.code for notice in guessed.warnings}


def test_a_measured_round_replaces_the_constant(page):
    # 64 stitches at 1.4 cm are 89.6 cm a round; the gauge alone would tell 1.30 cm.
    measured = SwatchFactory(round_cm=89.6)

    planned = make_plan(wish(measured))

    assert planned.plan.loop_cm == pytest.approx(1.4)
    assert "unravelled and measured" in page.get("/patterns/gauges/").content.decode()


def test_a_swatch_takes_its_round_and_its_hanging_length(page):
    cylinder = CylinderFactory(needles=64)
    told = {
        "name": "Kelp", "cylinder": cylinder.pk, "stitch_setting": "3", "state": "washed",
        "wales": "32", "wales_over_mm": "4 in", "courses": "44", "courses_over_mm": "4 in",
        "measured_on": "2026-05-01", "unravelled": "833 cm", "unravelled_rounds": "10",
        "hanging": "6 in", "hanging_rows": "60",
    }  # fmt: skip

    assert page.post("/patterns/gauges/", told).status_code == 302
    swatch = Swatch.objects.get()
    assert swatch.loop_cm == pytest.approx(83.3 / 64)
    assert swatch.hang_factor == pytest.approx(1.1)

    for name, text, field, says in (
        ("unravelled_rounds", "", "unravelled_rounds", "How many were it?"),
        ("unravelled", "83 cm", "unravelled", "cm a stitch"),
        ("hanging", "60 in", "hanging", "times its flat length"),
    ):
        answer = page.post("/patterns/gauges/", told | {"name": f"Other {name}", name: text})
        assert answer.status_code == 422
        assert says in " ".join(answer.context["form"].errors[field])
    assert Swatch.objects.count() == 1


def test_a_raw_swatch_shows_what_it_will_probably_wash_to(page):
    # Dry-relaxed to washed by the constants: 9.5 % narrower, 9.1 % shorter (from memory).
    raw = SwatchFactory(state="raw", yarn_name="Kelp")
    shrink = shrinks_of([raw])[raw.pk]
    assert (shrink.width, shrink.length) == pytest.approx((0.0952, 0.0909), abs=1e-4)

    washed = SwatchFactory(
        yarn_name="Kelp",
        wales_per_10cm=raw.wales_per_10cm / 0.95,
        courses_per_10cm=raw.courses_per_10cm / 0.92,
    )

    learned = shrinks_of([raw])[raw.pk]
    assert (learned.width, learned.length) == pytest.approx((0.05, 0.08))
    assert learned.gauge.wales_per_10cm == pytest.approx(washed.wales_per_10cm)
    assert "An estimate only" in page.get("/patterns/gauges/").content.decode()


def test_a_rib_cuff_takes_rows_by_its_own_gauge():
    # 60 mm of rib at 40 rows per 10 cm are 24 rounds; height sums the parts.
    plain = SwatchFactory()
    rib = SwatchFactory(fabric="rib_1_1", courses_per_10cm=40)

    planned = make_plan(wish(plain, top="rib_1_1", cuff_mm=60, cuff_swatch=rib))

    plan = planned.plan
    assert plan.cuff_rows == 24
    assert plan.sock_height_mm == pytest.approx(177.8, abs=100 / plain.courses_per_10cm)
    assert "rib" not in {notice.code for notice in planned.warnings}
    borrowed = make_plan(wish(plain, top="rib_1_1", cuff_mm=60))
    assert "rib" in {notice.code for notice in borrowed.warnings}


def test_a_rib_swatch_must_be_of_the_chosen_rib(page):
    plain, rib = SwatchFactory(), SwatchFactory(fabric="rib_1_1")
    query = urlencode(
        {"foot": "245 mm", "swatch": plain.pk, "count": "250 tex", "top": "mock_rib"}
        | {"cuff_swatch": rib.pk}
    )

    answer = page.get(f"/patterns/plan/?{query}")

    assert "is a swatch of rib 1 x 1" in " ".join(answer.context["form"].errors["cuff_swatch"])


def test_a_deep_heel_with_its_own_factors_comes_back_from_its_version(page, at):
    version = make_version(
        at=at, deep_heel=2, heel_factor=0.9, toe_factor=0.95, top="picot_hem", needles=(64,)
    )

    again = page.get(version.pattern.get_absolute_url()).context["again"]
    planned = page.get(again.replace("yarn=", "count=")).context["planned"]

    assert (version.centre, version.toe_centre, version.hem_rows) == (12, 10, 10)
    assert planned.plan.foot_rows == version.foot_rows
    assert planned.plan.leg_rows == version.leg_rows
    assert planned.top.kind == "picot_hem"


def test_old_directions_put_the_sane_reading_first_and_plan_its_rows(page):
    # Common practice: 36 needles, leg 50, foot 65 is a very small sock.
    swatch = SwatchFactory(cylinder=CylinderFactory(needles=36))
    query = urlencode(
        {"needles": 36, "leg": 50, "foot": 65, "swatch": swatch.pk, "count": "250 tex"}
    )

    answer = page.get(f"/patterns/old-directions/?{query}")

    first = answer.context["readings"][0]
    assert first.title == "Counting heel, foot and toe"
    assert "the likely one" in answer.content.decode()
    for leg, address in first.plans:
        plan = page.get(address).context["plan"]
        assert (plan.needles, plan.leg_rows, plan.foot_rows) == (36, leg.leg_rows, 17)


@pytest.mark.parametrize(
    ("changed", "field"),
    [({"needles": 37}, "needles"), ({"foot": 0}, "foot"), ({"centre": 7}, "centre")],
)
def test_old_directions_that_no_machine_knits_say_so(page, changed, field):
    swatch = SwatchFactory()
    told = {"needles": 36, "leg": 50, "foot": 65, "swatch": swatch.pk} | changed

    answer = page.get(f"/patterns/old-directions/?{urlencode(told)}")

    assert answer.status_code == 422
    assert answer.context["form"].errors[field]


def test_stripes_say_where_the_second_sock_starts(page, at):
    # Worked example: 64 needles at 1.3014 cm, 117.33 m a sock, repeat 26.25 m: 31.52 rounds,
    # 13.92 m (3.48 g) to pull off; 11.72 m with heel and toe of another yarn.
    version = make_version(at=at, needles=(64,))
    asked = f"/patterns/stripes/?version={version.pk}&repeat=26.25"

    stripes = page.get(asked).context["stripes"]
    contrast = page.get(f"{asked}&plain_turns=on").context["stripes"]

    assert stripes.rounds == pytest.approx(31.52, abs=0.005)
    assert stripes.discard_m == pytest.approx(13.92, abs=0.01)
    assert stripes.discard_g == pytest.approx(3.48, abs=0.005)
    assert stripes.need_m == pytest.approx(2 * 117.33 + 13.92, abs=0.03)
    assert contrast.discard_m == pytest.approx(11.72, abs=0.01)


@pytest.mark.parametrize("repeat", ["", "0", "long", "9e9"])
def test_a_repeat_that_is_none_is_asked_back(page, at, repeat):
    version = make_version(at=at)

    answer = page.get(f"/patterns/stripes/?version={version.pk}&repeat={repeat}")

    assert answer.status_code == 422
    assert answer.context["form"].errors["repeat"]


def test_two_versions_lie_side_by_side_with_what_differs(page, at):
    swatch = SwatchFactory()
    first = make_version(at=at, swatch=swatch)
    second = make_version(at=at, swatch=swatch, hem_rows=8)

    answer = page.get(f"/patterns/compare/?a={first.pk}&b={second.pk}")

    different = {line.name for line in answer.context["lines"] if line.differs}
    assert {"Top", "Hem rows that show", "Weight of yarn in a sock"} <= different
    assert "Needles" not in different
    assert PatternVersion.objects.count() == 2


def test_a_version_that_is_not_there_cannot_be_compared(page, at):
    first = make_version(at=at)

    assert page.get(f"/patterns/compare/?a={first.pk}&b=999").status_code == 422
