"""When a basket is empty, what waited too long, boards, and what measured socks say."""

import datetime as dt

import pytest

from patterns.core.fit import fit_range
from patterns.core.gauge import Gauge
from production.core.boards import board_for
from production.core.mating import row_mm, tolerance_of
from production.core.places import STEP_BY_KEY
from production.models import Quality
from production.services import baskets, forecasts, pairs, shrinkage
from production.services.acts import Who
from production.services.basket_queries import basket_cards
from production.services.mating_table import odd_socks, propose_mates, socks_under_way
from socktrade.models import Workshop
from tests.factories.patterns import PatternVersionFactory
from tests.factories.production import AT, logged_string, stocked_lot, who
from tests.factories.socktrade import UserFactory

INCH = 25.4
DAY = dt.timedelta(days=1)


def ids_of(string):
    return list(string.socks.order_by("position").values_list("pk", flat=True))


def bring(string, *steps, by=None, at=AT):
    for step in steps:
        baskets.do_step(step=step, sock_ids=ids_of(string), who=who(by, at))


def bench(*, hours, at):
    cards = basket_cards()
    return forecasts.bench_forecast(cards, at=at, workshop=Workshop(pk=1, hours_per_week=hours))


# forecasts: n f / (C - r f) days, or never when C <= r f


@pytest.mark.django_db
def test_a_basket_is_empty_when_its_work_is_done_beside_what_arrives():
    bring(logged_string(count=28), "cut")

    found = bench(hours=21, at=AT + 28 * DAY)

    seam = found.baskets["seam"]
    # 28 socks in 28 days are 1 a day; 21 h a week are 180 min a day; 8.75 min a toe seam.
    assert (found.minutes_a_day, seam.inflow) == (180, 1)
    assert seam.clear.days == pytest.approx(28 * 8.75 / (180 - 8.75))


@pytest.mark.django_db
def test_a_basket_that_never_empties_says_so(page):
    Workshop.objects.update(hours_per_week=1)
    bring(logged_string(count=60, at=AT), "cut")

    found = bench(hours=1, at=AT + DAY)

    # 60 in the shortest window of a week at 8.75 min are 75 min a day, against 8.6.
    assert not found.baskets["seam"].clear.clears
    assert "it never clears" in found.baskets["seam"].clear.reason
    assert not found.whole.clears


@pytest.mark.django_db
def test_work_is_flagged_from_the_setting_and_then_from_her_own_times():
    user, version, lot = UserFactory(), PatternVersionFactory(), stocked_lot()
    workshop = Workshop(pk=1, old_after_days=21)
    for days in range(1, 9):
        string = logged_string(version=version, lot=lot, by=user, at=AT)
        bring(string, *STEP_BY_KEY, by=user)
        if days == 8:
            before = forecasts.age_flag(workshop)
        pairs.mate_socks(couples=[tuple(ids_of(string))], who=Who(by=user, at=AT + days * DAY))

    after = forecasts.age_flag(workshop)

    assert (before.days, before.learned) == (21, False)
    # The 85th percentile of 1 to 8 days, interpolated: 1 + 0.85 x 7 = 6.95.
    assert (pytest.approx(after.days), after.learned) == (6.95, True)
    logged_string(version=version, lot=lot, by=user, at=AT + 10 * DAY)
    assert not bench(hours=20, at=AT + 16 * DAY).baskets["cut"].old
    assert bench(hours=20, at=AT + 17 * DAY).baskets["cut"].old


@pytest.mark.django_db
def test_the_page_of_baskets_shows_forecast_and_flag(page):
    logged_string(count=4, at=AT - 400 * DAY)

    text = page.get("/baskets/").text

    assert "empty in" in text
    assert "▲ begun" in text
    assert "How the work is reckoned" in text


# boards: the largest not above the sock's foot + 1/4 in, common practice


@pytest.mark.parametrize(
    ("foot_in", "board_in"),
    [(9.18, 9), (9.25, 9.5), (9.24, 9), (10.5, 10.5), (3.9, 4), (3.7, None)],
)
def test_the_board_is_the_largest_that_does_not_stretch(foot_in, board_in):
    found = board_for(foot_in * INCH)

    assert found == (None if board_in is None else pytest.approx(board_in * INCH))


def test_a_board_for_no_sock_is_refused():
    with pytest.raises(ValueError, match="sock_foot_mm is 0"):
        board_for(0)


# tolerance: 5 mm in a pair (a consumer guide) are floor(0.5/2.54 x 11) = 2 rows at 11 to the inch


def test_five_millimetres_are_two_rows_at_eleven_to_the_inch():
    courses = 11 / 2.54 * 10

    assert int(5 / row_mm(courses)) == 2
    assert tolerance_of(5, 2, courses) == 5
    assert tolerance_of(5, 1, courses) == 3
    assert tolerance_of(5, None, courses) == 5
    assert tolerance_of(3, 2, courses) == 3
    with pytest.raises(ValueError, match="most_mm is -1"):
        tolerance_of(-1, 2, courses)
    with pytest.raises(ValueError, match="courses_per_10cm is 0"):
        tolerance_of(5, 2, 0)


# mating: seconds after firsts


@pytest.mark.django_db
def test_firsts_go_with_firsts_before_a_first_goes_with_a_second():
    string = logged_string(count=5, faults={1: "hole"})
    bring(string, *STEP_BY_KEY)

    table = propose_mates(tolerance_mm=5, tolerance_rows=2)

    assert [(one.is_mixed, one.quality) for one in table.proposals] == [
        (False, Quality.FIRST),
        (False, Quality.FIRST),
    ]
    assert [sock.position for sock in table.odd] == [1]


@pytest.mark.django_db
def test_what_is_left_of_both_goes_together_as_a_second(page):
    string = logged_string(count=4, faults={1: "hole"})
    bring(string, *STEP_BY_KEY)

    answer = page.get("/pairs/mate/")

    [mixed] = answer.context["mixed"]
    assert mixed.proposal.quality == Quality.SECOND
    assert "As seconds: a first with a second" in answer.text
    page.post("/pairs/mate/", {"couples": mixed.value})
    assert string.socks.get(position=1).pair.quality == Quality.SECOND


@pytest.mark.django_db
def test_an_odd_sock_names_its_needles_and_its_lot():
    string = logged_string(count=3)
    bring(string, *STEP_BY_KEY)

    [odd] = odd_socks(propose_mates(tolerance_mm=5))
    [under_way] = socks_under_way()

    assert odd.wants == f"one more of {odd.sock.version.pattern}, 64 needles, {odd.sock.lot}"
    assert (under_way.socks, under_way.odd) == (3, True)


# shrink: planned against washed


def measured(feet):
    string = logged_string(count=len(feet))
    bring(string, "cut", "seam", "wash", "dry")
    socks = dict(zip(ids_of(string), feet, strict=True))
    baskets.block_socks(feet_mm=socks, legs_mm=dict.fromkeys(socks, 180), who=who())
    return string


@pytest.mark.django_db
def test_a_correction_leads_back_to_the_measured_foot():
    string = measured([226, 227, 225, 226])
    version = string.runs.get().version

    [found] = shrinkage.shrunk_of([version.pk])

    assert (found.socks, found.mean_mm, found.least_mm, found.most_mm) == (4, 226, 225, 227)
    # The way back: rows planned with that share for heel and toe give the foot she measured.
    again = fit_range(
        needles=version.needles,
        foot_rows=version.foot_rows,
        gauge=Gauge(version.wales_per_10cm, version.courses_per_10cm),
        centre=version.centre,
        heel_factor=found.factor,
        toe_factor=found.factor,
    )
    assert again.sock_foot_mm == pytest.approx(226, abs=0.1)


@pytest.mark.django_db
@pytest.mark.parametrize("feet", [[226, 226, 226], [233, 233, 234, 232]])
def test_few_measures_or_as_planned_offer_no_correction(feet):
    version = measured(feet).runs.get().version

    [found] = shrinkage.shrunk_of([version.pk])

    assert found.factor is None


@pytest.mark.django_db
def test_scrap_says_nothing_of_a_pattern():
    string = measured([226, 226, 226, 300])
    sock = string.socks.get(position=4)
    baskets.note_sock(sock=sock, quality=Quality.SCRAP, fault="wrong count", who=who())

    [found] = shrinkage.shrunk_of([string.runs.get().version_id])

    assert (found.socks, found.mean_mm) == (3, 226)


@pytest.mark.django_db
def test_the_block_basket_shows_the_figures_and_takes_legs_in_her_unit(page):
    string = measured([226, 227, 225, 226])
    run = string.runs.get()
    more = logged_string(count=1, version=run.version)
    bring(more, "cut", "seam", "wash", "dry")
    [pk] = ids_of(more)

    answer = page.get("/baskets/block/")
    page.post("/baskets/block/", {"socks": [pk], f"foot_{pk}": "9", f"leg_{pk}": "7 1/2"})

    assert "4 socks measured" in answer.text
    assert "heel and toe give" in answer.text
    assert "Board:" in answer.text
    sock = more.socks.get()
    # 9 in and 7.5 in at 25.4 mm to the inch, exact by definition.
    assert (sock.foot_mm, sock.leg_mm) == (229, 190)


@pytest.mark.django_db
@pytest.mark.parametrize("typed", ["two", "0", "99 in"])
def test_a_leg_that_is_none_is_asked_about_and_nothing_is_kept(page, typed):
    string = logged_string(count=1)
    bring(string, "cut", "seam", "wash", "dry")
    [pk] = ids_of(string)

    answer = page.post("/baskets/block/", {"socks": [pk], f"foot_{pk}": "9", f"leg_{pk}": typed})

    assert answer.status_code == 422
    assert answer.context["form"].errors[f"leg_{pk}"]
    assert string.socks.get().foot_mm is None
