"""The proposal for a market day and the pages around it."""

import datetime as dt

import pytest
from django.urls import reverse

from production.models import Pair
from sales.core.demand import predict
from sales.errors import SalesError
from sales.models import Order, OrderState
from sales.services import days, packing, report, till
from tests.factories.sales import MarketDayFactory, MarketFactory
from tests.factories.shelf import pairs_on_shelf, pattern_of
from tests.sales.papers import text_of

pytestmark = pytest.mark.django_db


def past_day(who, market, weeks, *, pairs, sell):
    date = who.at.date() - dt.timedelta(weeks=weeks)
    day = days.plan_day(market=market, date=date, today=who.at.date())
    days.pack_pairs(day=day, pair_ids=[pair.pk for pair in pairs], who=who)
    days.open_day(day=day, float_minor=0, who=who)
    day.refresh_from_db()
    for pair in pairs[:sell]:
        till.sell(day=day, lines=[till.Line(2800, pair=pair)], paid_by="cash", who=who)
    days.close_day(day=day, counted_minor=0, requests_noted=True, who=who)
    return day


def test_propose_calls_it_a_guess_before_the_first_market(who):
    pairs_on_shelf(2, who)

    plan = packing.propose(day=MarketDayFactory(), ask_share=0.5)

    [kind] = plan.kinds
    assert (plan.days_read, kind.guess, kind.bring) == (0, True, 2)
    assert "guess" in kind.reasons[0]
    assert plan.everything_fits


def test_propose_brings_no_more_than_the_table_holds(who):
    pairs_on_shelf(5, who)
    day = MarketDayFactory(market=MarketFactory(places_on_table=3))

    plan = packing.propose(day=day, ask_share=0.5)

    assert (plan.bring, plan.everything_fits) == (3, False)
    [kind] = plan.kinds
    assert kind.proposed == {pair.pk for pair in kind.pairs[:3]}


def test_propose_counts_what_is_packed_against_room_and_demand(who):
    made = pairs_on_shelf(5, who)
    day = MarketDayFactory(market=MarketFactory(places_on_table=4))
    days.pack_pairs(day=day, pair_ids=[pair.pk for pair in made[:3]], who=who)

    plan = packing.propose(day=day, ask_share=0.5)

    assert (plan.packed, plan.room, plan.bring) == (3, 1, 1)
    assert "pair 4 of it" in plan.kinds[0].reasons[-1]


def test_propose_prefers_the_size_that_sells(who):
    market = MarketFactory(places_on_table=3)
    fast, slow = pattern_of("Men 11", foot_length_mm=285), pattern_of("Women 6", foot_length_mm=228)
    quick = pairs_on_shelf(6, who, pattern=fast)
    still = pairs_on_shelf(4, who, pattern=slow)
    past_day(who, market, 2, pairs=[*quick[:3], *still[:2]], sell=3)
    day = MarketDayFactory(market=market)

    plan = packing.propose(day=day, ask_share=0.5)

    bring = {kind.pattern: kind.bring for kind in plan.kinds}
    assert bring[fast] > bring[slow]
    [told] = [
        k for k in report.what_sells(report.closed_days(), ask_share=0.5).kinds if k.pattern == fast
    ]
    [kind] = [kind for kind in plan.kinds if kind.pattern == fast]
    assert kind.mean == pytest.approx(predict(told.rate, day.factor).mean)
    assert f"{told.rate.events:.3g} wanted in" in kind.reasons[0]
    assert "90% sure" in kind.reasons[0]


def test_propose_leaves_a_promised_pair_at_home(who):
    [pair] = pairs_on_shelf(1, who)
    day = MarketDayFactory()
    Order.objects.create(
        customer="Ada", wish="plain", taken_on=day.date, promised_on=day.date,
        price_minor=3000, state=OrderState.READY, pair=pair,
    )  # fmt: skip

    assert packing.propose(day=day, ask_share=0.5).on_shelf == 0


def test_propose_takes_an_ask_share_of_nothing(who):
    pairs_on_shelf(1, who)

    assert packing.propose(day=MarketDayFactory(), ask_share=0.0).bring == 1


@pytest.mark.parametrize("text", ["", "  ", "abc", "P99999", "P1 " * 201])
def test_pairs_of_numbers_refuses_what_names_no_pair(db, text):
    with pytest.raises(SalesError, match=r"\w") as refusal:
        packing.pairs_of_numbers(text)

    assert refusal.value.field == "numbers"


def test_the_proposal_is_packed_with_one_button(page, who):
    made = pairs_on_shelf(3, who)
    day = MarketDayFactory()
    address = reverse("sales:day_pack", args=[day.pk])

    shown = page.get(address)
    for pair in made:
        assert f'value="{pair.pk}" data-group="all" checked' in shown.content.decode()
    page.post(address, {"pairs": [pair.pk for pair in made]})

    assert Pair.objects.in_stall_box().count() == 3
    listed = text_of(page.get(reverse("sales:day_pack_list", args=[day.pk])))
    for pair in made:
        assert pair.label in listed


def test_numbers_are_packed_together_or_not_at_all(page, who):
    one, other = pairs_on_shelf(2, who)
    day = MarketDayFactory()
    address = reverse("sales:day_pack_numbers", args=[day.pk])

    refused = page.post(address, {"numbers": f"{one.label} P99999"})
    assert refused.status_code == 422
    assert "no pair P99999" in refused.content.decode()
    assert not Pair.objects.in_stall_box().exists()

    page.post(address, {"numbers": f"{one.label}, {other.number}"})
    assert Pair.objects.in_stall_box().count() == 2


@pytest.mark.parametrize(
    ("pairs", "told"), [([], "Choose the pairs first"), (["99"], "Choose"), (["x"], "x is not")]
)
def test_nothing_ticked_is_said_on_the_page(page, pairs, told):
    day = MarketDayFactory()

    refused = page.post(reverse("sales:day_pack", args=[day.pk]), {"pairs": pairs, "key": ""})

    assert refused.status_code == 422
    assert told in refused.content.decode()


def test_pairs_are_taken_out_of_the_box_again(page, who):
    made = pairs_on_shelf(2, who)
    day = MarketDayFactory()
    days.pack_pairs(day=day, pair_ids=[pair.pk for pair in made], who=who)

    page.post(reverse("sales:day_unpack", args=[day.pk]), {"pairs": [made[0].pk]})
    page.post(reverse("sales:day_unpack", args=[day.pk]), {"pairs": []})

    assert Pair.objects.in_stall_box().count() == 1


def test_packing_asks_the_book_as_often_with_more_history(page, who, django_assert_max_num_queries):
    market = MarketFactory()
    for weeks in range(1, 5):
        pattern = pattern_of(f"Size {weeks}", foot_length_mm=200 + weeks)
        past_day(who, market, weeks, pairs=pairs_on_shelf(3, who, pattern=pattern), sell=1)
    address = reverse("sales:day_pack", args=[MarketDayFactory(market=market).pk])

    with django_assert_max_num_queries(24):
        shown = page.get(address)
    assert shown.status_code == 200
