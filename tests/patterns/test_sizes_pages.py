"""The size chart, a run of sizes, and whom a sock fits."""

import csv
import io
from urllib.parse import urlencode

import pytest

from patterns.models import PatternVersion, SizeRow
from patterns.services.sizechart import fill_in_usual_sizes
from tests.factories.patterns import CylinderFactory, SwatchFactory, make_version

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench(db):
    for needles in (36, 48, 54, 60, 64, 72, 80, 84):
        CylinderFactory(needles=needles)
    fill_in_usual_sizes()
    return SwatchFactory(yarn_name="Kelp")


def run(swatch, path="", **changed):
    wish = {"swatch": swatch.pk, "count": "250 tex", "ease": "10"}
    return f"/patterns/run/{path}?{urlencode(wish | changed)}"


def size(**changed):
    told = {"name": "Wide", "group": "women", "foot_mm": "10 in", "around_mm": "9 in"}
    return told | {"height_mm": "7 in"} | changed


def test_an_empty_chart_offers_the_usual_sizes(page):
    assert "Begin with the usual sizes" in page.get("/patterns/sizes/").content.decode()

    page.post("/patterns/sizes/usual/")

    text = page.get("/patterns/sizes/").content.decode()
    # Published craft chart, from memory: women's 6-9 are 8 in around and 7 in high.
    row = SizeRow.objects.get(name="Women 6-9")
    assert (row.around_mm, row.height_mm) == (8 * 25.4, 7 * 25.4)
    assert "published chart, from memory" in text
    groups = set(SizeRow.objects.values_list("group", flat=True))
    assert groups == {"baby", "child", "women", "men"}
    assert SizeRow.objects.order_by("-foot_mm").first().name == "Men 15-16"


def test_filling_in_twice_adds_nothing_and_keeps_her_changes(page):
    page.post("/patterns/sizes/usual/")
    row = SizeRow.objects.get(name="Women 6-9")
    page.post(f"/patterns/sizes/{row.pk}/", size(name="Women 6-9", around_mm="8 1/4 in"))

    page.post("/patterns/sizes/usual/")

    row.refresh_from_db()
    assert row.around_mm == pytest.approx(8.25 * 25.4)
    assert row.source == "own"
    assert SizeRow.objects.filter(name="Women 6-9").count() == 1


def test_a_size_is_added_changed_and_taken_off(page):
    page.post("/patterns/sizes/", size(around_mm=""))
    row = SizeRow.objects.get()
    assert row.around_mm is None

    assert page.get(f"/patterns/sizes/{row.pk}/").status_code == 200
    page.post(f"/patterns/sizes/{row.pk}/remove/")

    assert not SizeRow.objects.exists()


@pytest.mark.parametrize(
    ("changed", "field", "says"),
    [
        ({"name": ""}, "name", "required"),
        ({"foot_mm": "long"}, "foot_mm", "is not a length"),
        ({"foot_mm": "0"}, "foot_mm", "out of reach"),
        ({"around_mm": "9000"}, "around_mm", "out of reach"),
        ({"height_mm": ""}, "height_mm", "required"),
        ({"group": "giants"}, "group", "valid choice"),
    ],
)
def test_a_size_that_cannot_be_says_so_at_its_field(page, changed, field, says):
    answer = page.post("/patterns/sizes/", size(**changed))

    assert answer.status_code == 422
    assert says in " ".join(answer.context["form"].errors[field])
    assert not SizeRow.objects.exists()


def test_two_sizes_of_one_name_are_refused(page):
    page.post("/patterns/sizes/", size())

    answer = page.post("/patterns/sizes/", size())

    assert "stands in the chart already" in " ".join(answer.context["form"].errors["name"])


def test_a_run_plans_every_size_of_the_chart(page, bench):
    answer = page.get(run(bench))

    planned = answer.context["run"]
    assert len(planned) == SizeRow.objects.count()
    by_name = {one.row.name: one for one in planned}
    # 8 in around at 8 stitches an inch is 64 needles, and no further ease is taken off.
    assert by_name["Women 6-9"].planned.plan.needles == 64
    assert by_name["Women 6-9"].planned.plan.ease == pytest.approx(0)
    assert by_name["Baby 0-4"].planned.plan.needles == 36
    feet = [one.planned.plan.sock_foot_mm for one in planned if one.planned]
    assert feet == sorted(feet)


def test_a_run_takes_the_swatch_of_each_cylinder(page, bench):
    own = SwatchFactory(
        yarn_name="Kelp",
        cylinder=CylinderFactory(needles=72),
        wales_per_10cm=8.1 / 0.254,
        courses_per_10cm=11 / 0.254,
    )

    planned = {one.row.name: one.planned for one in page.get(run(bench)).context["run"]}

    assert planned["Women 8-12"].plan.needles == 72
    assert planned["Women 8-12"].wish.swatch == own
    codes = {notice.code for notice in planned["Women 8-12"].warnings}
    assert not codes & {"borrowed", "measures"}
    assert planned["Women 8-12"].plan.runner_up is not None


def test_a_run_asks_the_book_as_often_for_many_sizes(page, bench, django_assert_max_num_queries):
    with django_assert_max_num_queries(16):
        page.get(run(bench))


def test_ticked_sizes_of_a_run_become_patterns(page, bench):
    rows = SizeRow.objects.filter(name__in=["Women 6-9", "Men 8.5-10"])

    answer = page.post(run(bench), {"new_design": "Harbour", "row": [row.pk for row in rows]})

    assert answer.status_code == 302
    saved = PatternVersion.objects.select_related("pattern").order_by("pattern__foot_length_mm")
    assert [version.pattern.size_name for version in saved] == ["Women 6-9", "Men 8.5-10"]


def test_a_run_saves_all_ticked_sizes_or_none(page, bench):
    small = SizeRow.objects.get(name="Women 3-6")
    make_version(at="2026-01-01T08:00Z", design="Harbour", size_name="Women 6-9", group="women")
    clash = SizeRow.objects.get(name="Women 6-9")

    answer = page.post(run(bench), {"new_design": "Harbour", "row": [small.pk, clash.pk]})

    assert answer.status_code == 422
    assert "Give the size another name" in answer.content.decode()
    assert PatternVersion.objects.count() == 1


def test_a_run_with_nothing_ticked_saves_nothing(page, bench):
    answer = page.post(run(bench), {"new_design": "Harbour"})

    assert answer.status_code == 422
    assert "Tick the sizes to save" in answer.content.decode()


def test_a_run_as_csv_runs_no_formula(page, bench):
    SizeRow.objects.filter(name="Baby 0-4").update(name="=1+1")

    answer = page.get(run(bench, "sizes.csv"))

    rows = list(csv.DictReader(io.StringIO(answer.content.decode())))
    assert rows[0]["size"] == "'=1+1"
    women = next(row for row in rows if row["size"] == "Women 6-9")
    assert women["needles"] == "64"
    assert len(rows) == SizeRow.objects.count()


def test_a_run_says_why_a_size_cannot_be(page, bench):
    answer = page.get(run(bench, cylinders="84"))

    baby = answer.context["run"][0]
    assert baby.planned is None
    assert "None of these cylinders can make this sock" in baby.refusal
    assert baby.refusal in answer.content.decode().replace("&#x27;", "'")


def test_a_rib_of_a_run_needs_needles_that_divide(page, bench):
    # Mock rib takes every third needle out: 64 and 80 do not divide by 3 (common practice).
    planned = [one.planned for one in page.get(run(bench, top="mock_rib")).context["run"]]

    assert {one.plan.needles % 3 for one in planned if one} == {0}


def test_a_foot_finds_the_patterns_that_fit(page, at):
    fits = make_version(at=at, size_name="fits")
    make_version(at=at, size_name="child", foot_length_mm=166, ball_mm=165, needles=(48,))

    answer = page.get("/patterns/fits/?system=us_women&size=8.5")

    assert [one.version for one in answer.context["fits"]] == [fits]


def test_a_measured_ball_narrows_what_fits(page, at):
    # The 64 at 8 stitches is 203 mm around and fits balls to 254 mm.
    make_version(at=at)

    assert len(page.get("/patterns/fits/?foot=245+mm&ball=240+mm").context["fits"]) == 1
    assert page.get("/patterns/fits/?foot=245+mm&ball=260+mm").context["fits"] == []
    assert (
        "None of your patterns"
        in page.get("/patterns/fits/?foot=245+mm&ball=260+mm").content.decode()
    )


def test_a_foot_that_is_no_foot_is_asked_back(page):
    assert page.get("/patterns/fits/?foot=long").status_code == 422
