"""What weighings teach of a pattern version and a yarn, and whether a lot is enough."""

import datetime as dt
from decimal import Decimal

import pytest
from django.db import transaction
from django.urls import reverse

from production.models import Act
from production.services.acts import undo_act
from production.services.yarn import grams_on_hand, take_yarn, weigh_lot
from production.services.yarn_learning import (
    NEWEST_LOTS,
    interval_since_last,
    learned_of,
    learned_of_yarns,
)
from production.services.yarn_queries import ledger
from production.services.yarn_reach import Wanted, lots_for, running_low
from tests.factories.patterns import PatternVersionFactory
from tests.factories.production import (
    AT,
    DyeLotFactory,
    YarnFactory,
    logged_string,
    stocked_lot,
    who,
)

pytestmark = pytest.mark.django_db
MONDAY = dt.date(2026, 6, 1)


@pytest.fixture
def lot(maker):
    return stocked_lot(grams=1000, by=maker)


def weigh(lot, net_g, maker, **how):
    gross = Decimal(str(net_g)) + lot.tare_g
    return weigh_lot(lot=lot, gross_g=gross, packages=1, who=who(maker), **how)


def test_a_weighing_teaches_the_version_knitted_before_it(page, lot, maker):
    version = PatternVersionFactory(grams=29.3)
    logged_string(count=10, lot=lot, version=version, by=maker)
    # Planned 293 g, so 707 g by the book; the scale shows 690.7 g: 309.3 g were used.
    weigh(lot, 690.7, maker)

    lesson = learned_of(lot.yarn).by_version[version.pk]
    text = page.get(lot.get_absolute_url()).text

    assert (lesson.planned_g, lesson.used_g) == pytest.approx((293, 309.3))
    assert (lesson.percent, lesson.weighings) == (106, 1)
    assert "29.3 g" in text
    assert "30.9 g" in text  # 29.3 x 309.3 / 293


def test_many_yarns_are_learned_of_in_two_questions(lot, maker, django_assert_num_queries):
    version = PatternVersionFactory(grams=25)
    other, never = stocked_lot(grams=1000, by=maker), stocked_lot(grams=1000, by=maker)
    for one, gone in ((lot, 260), (other, 300)):
        logged_string(count=10, lot=one, version=version, by=maker)
        weigh(one, 1000 - gone, maker)

    with django_assert_num_queries(2):
        learned = learned_of_yarns([lot.yarn_id, other.yarn_id, never.yarn_id])

    # Planned 250 g of each, so by hand 260 / 250 and 300 / 250.
    assert learned.keys() == {lot.yarn_id, other.yarn_id}
    assert learned[lot.yarn_id].ratio_of(version.pk) == pytest.approx(1.04)
    assert learned[other.yarn_id].ratio_of(version.pk) == pytest.approx(1.2)
    assert learned_of(lot.yarn) == learned[lot.yarn_id]


def test_weighings_of_every_lot_of_the_yarn_count(lot, maker):
    version = PatternVersionFactory(grams=25)
    other = stocked_lot(grams=1000, by=maker, yarn=lot.yarn)
    for one, gone in ((lot, 260), (other, 270)):
        logged_string(count=10, lot=one, version=version, by=maker)
        weigh(one, 1000 - gone, maker)

    lesson = learned_of(lot.yarn).by_version[version.pk]

    assert (lesson.used_g, lesson.weighings) == (pytest.approx(530), 2)


def test_a_version_never_weighed_goes_by_the_other_socks_of_the_yarn(lot, maker):
    knitted, new = PatternVersionFactory(grams=25), PatternVersionFactory(grams=40)
    logged_string(count=10, lot=lot, version=knitted, by=maker)
    weigh(lot, 725, maker)

    assert learned_of(lot.yarn).ratio_for(new) == pytest.approx(1.1)
    assert learned_of(YarnFactory()).ratio_for(new) == 1


def test_yarn_taken_out_between_is_no_lesson(lot, maker):
    version = PatternVersionFactory(grams=25)
    logged_string(count=10, lot=lot, version=version, by=maker)
    take_yarn(lot=lot, grams=Decimal(100), use="waste", who=who(maker))
    weigh(lot, 650, maker)

    assert learned_of(lot.yarn).by_version[version.pk].ratio == pytest.approx(1)


def test_what_damp_air_explains_teaches_nothing_and_waits_for_the_next(lot, maker):
    version = PatternVersionFactory(grams=25)
    logged_string(count=4, lot=lot, version=version, by=maker)
    weigh(lot, 880, maker, moisture_stays=True)
    damp = learned_of(lot.yarn).overall
    logged_string(count=16, lot=lot, version=version, by=maker)
    weigh(lot, 450, maker, moisture_stays=True)

    # 500 g planned over both strings, 550 g gone.
    assert damp is None
    assert learned_of(lot.yarn).overall.ratio == pytest.approx(1.1)
    assert grams_on_hand(lot) == 450


def test_undone_weighings_and_strings_are_forgotten(lot, maker):
    string = logged_string(count=10, lot=lot, by=maker)
    act = weigh(lot, 690, maker)
    undo_act(act_id=act.pk, by=maker, at=AT)
    without = learned_of(lot.yarn).overall
    undo_act(act_id=string.act_id, by=maker, at=AT)

    assert without is None
    assert interval_since_last(lot, Decimal(-10)).all_planned_g == 0


def test_the_ledger_says_role_place_and_sections_of_a_string(lot, maker):
    logged_string(count=4, lot=lot, by=maker)

    [newest, _] = ledger(lot=lot)

    [detail] = newest.details
    assert detail.startswith("4 × 29.3 g, leg and foot: ")
    assert detail.endswith("(leg 9.3 g, heel 5.2 g, foot 9.6 g, toe 5.2 g)")


def test_enough_page_offers_ways_out_of_a_short_lot(page, maker):
    version = PatternVersionFactory(grams=30)
    yarn = YarnFactory()
    stocked_lot(grams=110, by=maker, yarn=yarn, code="A")
    stocked_lot(grams=400, by=maker, yarn=yarn, code="B")

    text = page.get(reverse("production:yarn_enough"), {"version": version.pk, "pairs": 2}).text

    assert "Not enough: 126 g are needed" in text
    assert "one more sock" in text
    assert "Alternate two rounds of this lot and two of lot B" in text
    assert "enough" in text


def test_enough_page_asks_first_and_refuses_nonsense_at_the_field(page):
    version = PatternVersionFactory()
    address = reverse("production:yarn_enough")

    wrong = page.get(address, {"version": version.pk, "pairs": "0"})

    assert page.get(address).status_code == 200
    assert wrong.status_code == 422
    assert "pairs" in wrong.context["form"].errors


def test_enough_costs_the_same_with_more_lots(page, maker, django_assert_max_num_queries):
    version, yarn = PatternVersionFactory(), YarnFactory()
    for _ in range(8):
        stocked_lot(by=maker, yarn=yarn)

    with django_assert_max_num_queries(12):
        page.get(reverse("production:yarn_enough"), {"version": version.pk, "pairs": 3})


def test_a_guessed_tare_counts_as_its_least_before_a_pattern_is_started(maker):
    version = PatternVersionFactory(grams=30)
    lot = DyeLotFactory(tare_g=Decimal(40), tare_spread_g=Decimal(20))
    from production.services.yarn import receive_yarn

    receive_yarn(lot=lot, gross_g=Decimal(40 + 63 + 10), packages=1, who=who(maker))

    [row] = lots_for(version, pairs=1, reserve_g=10)

    assert row.grams == 73
    assert row.reach.pairs == 0  # 73 - 20 - 10 g are less than the 63 g of a pair


def test_running_low_takes_the_yarns_knitted_last(lot, maker):
    version = PatternVersionFactory(grams=30)
    strand = stocked_lot(grams=40, by=maker, yarn=YarnFactory(name="Strand"))
    logged_string(count=2, lot=lot, version=version, strand_lot=strand, strand_g=2.0, by=maker)
    never = PatternVersionFactory(grams=30)

    rows = running_low(
        [
            Wanted(version, 5, MONDAY),
            Wanted(version, 5, MONDAY + dt.timedelta(days=7)),
            Wanted(never, 50, MONDAY),
        ],
        reserve_g=10,
    )

    # Base: 940 - 10 g for 630 g; strand: 36 - 10 = 26 g for 42 g, gone in the second week.
    assert [row.yarn.name for row in rows] == ["Strand", lot.yarn.name]
    assert rows[0].low.runs_out_on == MONDAY + dt.timedelta(days=7)
    assert rows[0].low.short_g == pytest.approx(16)
    assert rows[0].buy_100g == 1
    assert rows[1].low.runs_out_on is None


@pytest.mark.django_db(transaction=True)
def test_a_lesson_is_learned_anew_after_every_string_weighing_and_undo(lot, maker):
    def learned():
        with transaction.atomic():  # where nothing is kept
            anew = learned_of(lot.yarn)
        assert learned_of(lot.yarn) == anew
        return anew

    version = PatternVersionFactory(grams=25)
    logged_string(count=10, lot=lot, version=version, by=maker)
    weigh(lot, 740, maker)
    once = learned()
    logged_string(count=10, lot=lot, version=version, by=maker)
    assert learned() == once
    weigh(lot, 470, maker)
    twice = learned()
    last = Act.objects.latest("pk")

    undo_act(act_id=last.pk, by=maker, at=AT)

    assert learned() == once != twice


def test_the_lots_weighed_last_teach(maker):
    version, yarn = PatternVersionFactory(grams=25), YarnFactory()
    for lot_number in range(NEWEST_LOTS + 1):
        lot = stocked_lot(grams=1000, by=maker, yarn=yarn)
        logged_string(count=10, lot=lot, version=version, by=maker)
        weigh(lot, 750 if lot_number else 250, maker)  # the first one took three times the plan

    assert learned_of(yarn).overall.percent == 100
