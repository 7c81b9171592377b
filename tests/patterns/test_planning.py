"""The planning table by hand: cylinders, gauge, plan, saved pattern."""

from urllib.parse import urlencode

import pytest
from django.urls import reverse

from patterns.models import Cylinder, Design, Pattern, PatternVersion, Swatch
from tests.factories.patterns import CylinderFactory, SwatchFactory, make_version

pytestmark = pytest.mark.django_db
PLAN = "/patterns/plan/"


@pytest.fixture
def bench(db):
    for needles in (36, 48, 54, 60, 64, 72, 84):
        CylinderFactory(needles=needles)
    return SwatchFactory(cylinder=Cylinder.objects.get(needles=64))


def address(gauge, **changed):
    wish = {
        "system": "us_women",
        "size": "8.5",
        "ball": "231 mm",
        "height": "7",
        "swatch": gauge.pk,
        "count": "100 g / 400 m",
        "ease": "10",
        "hem": "0",
    }
    return f"{PLAN}?{urlencode(wish | changed)}"


def save(page, url, **changed):
    seal = page.get(url).context["planned"].seal
    names = {"design": "", "new_design": "Harbour plain", "size_name": "8½", "group": "women"}
    return page.post(url, {"seal": seal} | names | changed)


def test_the_path_from_an_empty_book_to_a_pattern_goes_through_the_pages(page):
    # Worked example "women 8.5" of the formula set: 8 x 11 per inch, ball 231 mm, 7 in
    # high, 400 m/100 g. A trade pattern for this size weighs 62 g a pair (flat-bed,
    # weighed), so about 58.7 g lies within its usual spare.
    assert b"Add a cylinder" in page.get("/patterns/").content
    for needles in (36, 48, 54, 60, 64, 72, 84):
        answer = page.post("/patterns/cylinders/", {"needles": needles})
        assert answer.status_code == 302
    assert b"Add a swatch" in page.get("/patterns/").content
    answer = page.post(
        "/patterns/gauges/",
        {
            "name": "Kelp wool",
            "cylinder": Cylinder.objects.get(needles=64).pk,
            "stitch_setting": "3",
            "state": "washed",
            "wales": "32",
            "wales_over_mm": "4 in",
            "courses": "44",
            "courses_over_mm": "4",
            "measured_on": "2026-05-01",
        },
    )
    assert answer.status_code == 302
    assert b"Plan a sock" in page.get("/patterns/").content
    swatch = Swatch.objects.get()
    assert swatch.gauge.wales_per_inch == pytest.approx(8)
    assert swatch.gauge.courses_per_inch == pytest.approx(11)

    url = address(swatch, height="")
    plan = page.get(url).context["plan"]
    assert plan.needles == 64
    rows = (plan.leg_rows, plan.heel_rows, plan.foot_rows, plan.toe_rows)
    assert rows == (55, 44, 57, 44)
    assert 2 * plan.grams == pytest.approx(58.7, abs=0.05)

    answer = save(page, url)
    version = PatternVersion.objects.select_related("pattern__design").get()
    assert answer.url == version.pattern.get_absolute_url()
    assert (version.number, version.needles, version.centre) == (1, 64, 10)
    assert [part["name"] for part in version.sections] == ["leg", "heel", "foot", "toe"]
    assert sum(part["grams"] for part in version.sections) == pytest.approx(version.grams)
    detail = page.get(answer.url)
    assert b"55 / 44 / 57 / 44" in detail.content
    assert b"Harbour plain" in page.get("/patterns/").content


def test_a_plan_shows_cylinders_fit_yarn_and_drawing(page, bench):
    answer = page.get(address(bench))

    text = answer.content.decode()
    assert "Runner-up: the 60" in text
    assert "chosen: " in text
    assert "second best: " in text
    assert "58.7" in text
    assert '<svg xmlns="http://www.w3.org/2000/svg" class="sock-drawing"' in text
    assert "245.5 mm" in text
    assert "US women" in text
    assert "Nm 4.00" in text
    assert "Gauge borrowed" not in text


def test_a_plan_on_another_cylinder_says_whose_gauge_it_borrows(page, bench):
    answer = page.get(address(bench, size="5.5", ball="200 mm"))

    assert answer.context["plan"].needles != 64
    assert "Gauge borrowed from your 64" in answer.content.decode()


def test_a_missing_ball_girth_is_guessed_with_its_spread(page, bench):
    # US Army survey of 2012 (report NATICK/TR-15/007): 45.83 + 0.7541 x length, sd 10.57 mm.
    answer = page.get(address(bench, ball=""))

    planned = answer.context["planned"]
    assert planned.ball_mm == pytest.approx(45.83 + 0.7541 * 245.533, abs=0.01)
    assert planned.ball_guess.sd == pytest.approx(10.57)
    text = answer.content.decode()
    assert "guessed, give or take 0.42 in" in text
    # 8 stitches an inch, 10 % ease: 220.4 mm wants 62.5 needles, 241.6 mm wants 68.5.
    assert planned.ball_needles == (64, 72)


def test_a_measured_foot_plans_the_same_sock_as_its_shoe_size(page, bench):
    by_shoe = page.get(address(bench)).context["plan"]
    by_measure = page.get(address(bench, size="", foot="9 2/3 in")).context["plan"]

    assert by_measure == by_shoe


@pytest.mark.parametrize(
    ("changed", "field", "says"),
    [
        ({"size": ""}, "foot", "Give the foot as measured, or a shoe size."),
        ({"foot": "245 mm"}, "size", "empty the other"),
        ({"size": "", "foot": "long"}, "foot", "is not a length"),
        ({"size": "", "foot": "9000"}, "foot", "out of reach"),
        ({"size": "8.3"}, "size", "wholes and halves"),
        ({"size": "eight"}, "size", "is not a shoe size"),
        ({"size": "40"}, "size", "US women goes from 3 to 20"),
        ({"system": "paris"}, "system", "Select a valid choice"),
        ({"ball": "0"}, "ball", "out of reach"),
        ({"height": "-3"}, "height", "is not a length"),
        ({"count": ""}, "count", "This field is required"),
        ({"count": "thick"}, "count", "is not a yarn count. Write it such as"),
        ({"count": "2/28"}, "count", "can be read as count 2 in 28 plies or as count 28 in 2"),
        ({"count": "1 tex"}, "count", "cannot be: allowed: 10 to 2000 tex"),
        ({"ease": "40"}, "ease", "give 0 to 25"),
        ({"hem": "150"}, "hem", "The hem is higher than the leg: allowed: 0 to the leg"),
        ({"swatch": "999"}, "swatch", "Select a valid choice"),
        ({"cylinders": "66"}, "cylinders", "Select a valid choice"),
        (
            {"system": "us_child", "size": "1", "ball": "", "height": "", "cylinders": "84"},
            "cylinders",
            "None of these cylinders can make this sock",
        ),
    ],
)
def test_a_plan_that_cannot_be_says_so_at_its_field(page, bench, changed, field, says):
    answer = page.get(address(bench, **changed))

    assert answer.status_code == 422
    assert says in " ".join(answer.context["form"].errors[field])
    assert answer.context["planned"] is None


def test_a_raw_swatch_is_no_choice_for_a_plan(page, bench):
    raw = SwatchFactory(state="raw", cylinder=bench.cylinder)

    answer = page.get(address(raw))

    assert answer.status_code == 422
    assert "swatch" in answer.context["form"].errors


def test_the_first_visit_asks_for_what_is_missing(page, bench):
    assert page.get(PLAN).status_code == 200
    begun = page.get(f"{PLAN}?swatch={bench.pk}&yarn=250+tex")
    assert begun.status_code == 200
    assert 'value="250 tex"' in begun.content.decode()

    Swatch.objects.all().delete()
    assert "Add a washed swatch" in page.get(PLAN).content.decode()
    Cylinder.objects.all().delete()
    assert "Add a cylinder" in page.get(PLAN).content.decode()


def test_saving_the_same_figures_twice_makes_one_version(page, bench):
    save(page, address(bench))
    save(page, address(bench))

    assert PatternVersion.objects.count() == 1


def test_saving_other_figures_makes_the_next_version(page, bench):
    save(page, address(bench))
    design = Design.objects.get()
    save(page, address(bench, hem="8"), design=design.pk, new_design="")

    assert list(PatternVersion.objects.order_by("number").values_list("number", "hem_rows")) == [
        (1, 0),
        (2, 8),
    ]
    assert Pattern.objects.count() == 1


@pytest.mark.parametrize(
    ("changed", "field", "says"),
    [
        ({"new_design": ""}, "new_design", "Name the new design"),
        ({"size_name": ""}, "size_name", "This field is required"),
        ({"group": "giants"}, "group", "Select a valid choice"),
        ({"seal": "64:1-1-1-1:0:1.00"}, "__all__", "The plan has changed since you saw it"),
    ],
)
def test_a_name_that_will_not_do_saves_nothing(page, bench, changed, field, says):
    answer = save(page, address(bench), **changed)

    assert answer.status_code == 422
    assert says in " ".join(answer.context["save"].errors[field])
    assert not Pattern.objects.exists()
    assert not Design.objects.exists()


@pytest.mark.parametrize(
    ("wish", "names", "field", "says"),
    [
        ({"size": "10"}, {}, "size_name", "Give the size another name"),
        ({}, {"group": "men"}, "group", "is a Women size"),
    ],
)
def test_a_size_keeps_its_foot_and_its_wearers(page, bench, wish, names, field, says):
    save(page, address(bench))

    answer = save(page, address(bench, **wish), **names)

    assert answer.status_code == 422
    assert says in " ".join(answer.context["save"].errors[field])
    assert PatternVersion.objects.count() == 1


def test_both_an_old_and_a_new_design_are_asked_back(page, bench, at):
    design = make_version(at=at, swatch=bench).pattern.design

    answer = save(page, address(bench), design=design.pk, new_design="Other")

    assert "not both" in " ".join(answer.context["save"].errors["new_design"])


def test_a_plan_needs_someone_signed_in(client):
    answer = client.get(reverse("patterns:pattern_plan"))

    assert answer.status_code == 302
    assert "sign-in" in answer.url
