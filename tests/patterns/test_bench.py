"""Cylinders and gauges in the book."""

import datetime as dt

import pytest

from patterns.models import Cylinder, Swatch
from tests.factories.patterns import CylinderFactory, SwatchFactory

pytestmark = pytest.mark.django_db


def swatch_of(bed, **changed):
    return {
        "name": "Kelp wool",
        "cylinder": bed.pk,
        "stitch_setting": "3.25",
        "state": "washed",
        "wales": "32",
        "wales_over_mm": "4 in",
        "courses": "44",
        "courses_over_mm": "4 in",
        "measured_on": "2026-05-01",
    } | changed


def test_a_cylinder_is_added_with_its_diameter(page):
    answer = page.post("/patterns/cylinders/", {"needles": "72", "diameter_mm": "4 1/2"})

    assert answer.status_code == 302
    cylinder = Cylinder.objects.get()
    assert (cylinder.needles, cylinder.diameter_mm) == (72, pytest.approx(114.3))
    assert "4.5 in across" in page.get("/patterns/cylinders/").content.decode()


@pytest.mark.parametrize(
    ("needles", "says"),
    [
        ("", "This field is required"),
        ("65", "65 is odd"),
        ("0", "at least 12 needles"),
        ("2000", "at most 200 needles"),
        ("many", "as a whole number"),
        ("64", "Your 64 is in the book already"),
    ],
)
def test_a_needle_count_that_cannot_be_is_told_at_its_field(page, needles, says):
    CylinderFactory(needles=64)

    answer = page.post("/patterns/cylinders/", {"needles": needles})

    assert answer.status_code == 422
    assert says in " ".join(answer.context["form"].errors["needles"])
    assert Cylinder.objects.count() == 1


@pytest.mark.parametrize("diameter", ["wide", "0", "90 in"])
def test_a_diameter_that_cannot_be_is_told_at_its_field(page, diameter):
    answer = page.post("/patterns/cylinders/", {"needles": "64", "diameter_mm": diameter})

    assert answer.status_code == 422
    assert "diameter_mm" in answer.context["form"].errors
    assert not Cylinder.objects.exists()


def test_a_swatch_shows_both_units_and_its_loop(page):
    # 8 x 11 per inch is 31.5 x 43.3 per 10 cm; Munden's relation with ks 23.1 (from
    # memory) gives 1.3014 cm of yarn a stitch.
    answer = page.post("/patterns/gauges/", swatch_of(CylinderFactory()))

    assert answer.status_code == 302
    text = page.get("/patterns/gauges/").content.decode()
    for figure in ("8.00", "31.5", "11.00", "43.3", "1.30 cm", "stitch setting 3.25"):
        assert figure in text
    assert "plain sock fabric lies between" not in text


def test_a_count_over_centimetres_is_the_same_gauge(page):
    page.post(
        "/patterns/gauges/",
        swatch_of(CylinderFactory(), wales="31 1/2", wales_over_mm="10 cm"),
    )

    assert Swatch.objects.get().wales_per_10cm == pytest.approx(31.5)


def test_an_unlikely_stitch_shape_is_pointed_out(page):
    SwatchFactory(wales_per_10cm=30, courses_per_10cm=60)

    assert "2.00 rows for each stitch" in page.get("/patterns/gauges/").content.decode()


def test_a_raw_swatch_is_marked_and_says_what_to_do(page):
    SwatchFactory(name="Fresh & raw", state="raw")

    text = page.get("/patterns/gauges/").content.decode()

    assert "Not for planning" in text
    assert "?name=Fresh%20%26%20raw%2C%20washed" in text
    assert "Yarn in one stitch" not in text
    begun = page.get("/patterns/gauges/?name=Fresh+raw%2C+washed&state=washed").content.decode()
    assert 'value="Fresh raw, washed"' in begun


@pytest.mark.parametrize(
    ("changed", "field", "says"),
    [
        ({"name": ""}, "name", "This field is required"),
        ({"name": "Taken"}, "name", "Another swatch is called"),
        ({"cylinder": "999"}, "cylinder", "Select a valid choice"),
        ({"stitch_setting": "tight"}, "stitch_setting", "Enter a number"),
        ({"state": ""}, "state", "This field is required"),
        ({"wales": "some"}, "wales", "is not a count"),
        ({"wales": "0"}, "wales", "give 1 to 1000"),
        ({"wales": "500"}, "wales", "8 to 80 in 10 cm"),
        ({"courses": "3"}, "courses", "8 to 120 in 10 cm"),
        ({"wales_over_mm": "0"}, "wales_over_mm", "out of reach"),
        ({"measured_on": "1066-10-14"}, "measured_on", "1066 is too long ago"),
        ({"measured_on": "soon"}, "measured_on", "Enter a valid date"),
    ],
)
def test_a_swatch_that_cannot_be_is_told_at_its_field(page, changed, field, says):
    taken = SwatchFactory(name="Taken")

    answer = page.post("/patterns/gauges/", swatch_of(taken.cylinder, **changed))

    assert answer.status_code == 422
    assert says in " ".join(answer.context["form"].errors[field])
    assert Swatch.objects.count() == 1


def test_a_swatch_cannot_be_measured_tomorrow(page):
    far = dt.date(2999, 1, 1)

    answer = page.post("/patterns/gauges/", swatch_of(CylinderFactory(), measured_on=far))

    assert "still to come" in " ".join(answer.context["form"].errors["measured_on"])


def test_the_gauges_page_begins_with_a_cylinder(page):
    assert "Add a cylinder" in page.get("/patterns/gauges/").content.decode()


def test_older_swatches_stand_on_the_next_page(page, django_assert_max_num_queries):
    cylinder = CylinderFactory()
    for _ in range(51):
        SwatchFactory(cylinder=cylinder)

    with django_assert_max_num_queries(8):
        first = page.get("/patterns/gauges/")

    assert len(first.context["swatches"]) == 50
    older = page.get(f"/patterns/gauges/?before={first.context['older']}")
    assert len(older.context["swatches"]) == 1
    assert page.get("/patterns/gauges/?before=x").status_code == 200
