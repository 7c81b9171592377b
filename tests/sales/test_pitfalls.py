"""The sixteen pitfalls of reading demand from market days, one test each, by its number.

The pitfalls are common practice; figures worked by hand stand beside their tests. Events are
pairs wanted, exposure is market days in which a buyer could have been counted.
"""

import datetime as dt

import pytest
from scipy.stats import nbinom

from sales.core.demand import DayRecord, Prediction, demand_rate, predict
from sales.core.making import Kind, make, most_worth_holding
from sales.core.reasons import rate_reason
from sales.errors import SalesError
from sales.models import HandOver, Payment
from sales.services import days as acts
from sales.services import orders, packing, report, till
from tests.factories.shelf import pattern_of
from tests.factories.stalls import Stall

pytestmark = pytest.mark.django_db

RANGE = {"since": "2026-01-01", "until": "2026-12-31"}


@pytest.fixture
def stall(maker, at):
    return Stall(maker, at)


def kinds():
    return report.what_sells(report.closed_days(), ask_share=0.5).kinds


def test_pitfall_1_times_typed_in_after_the_market_are_no_sell_out_times(stall):
    pairs = stall.pairs(3)
    day = stall.opened(pairs)
    for pair in pairs:
        stall.sell(day, pair, "19:30")
    stall.close(day)

    record = stall.record()

    assert record.untimed
    assert demand_rate([record], 1.0).mean > demand_rate([DayRecord(3, 3, sold_out_at=1.0)], 1).mean


def test_pitfall_2_noting_requests_counts_though_nobody_asked(stall):
    [pair] = stall.pairs(1)
    for noted in (False, True):
        day = stall.opened([pair])
        sale = stall.sell(day, pair, "11:00")
        stall.close(day, noted=noted)
        till.take_back(
            line=sale.lines.get(), refund_minor=0, paid_by=Payment.CASH, day=None,
            who=stall.who(day, "15:00"),
        )  # fmt: skip

    silent, noted = (record.exposure(0.5) for record in kinds()[0].days)

    # Half the day on the table; half of the rest is heard where half the buyers ask.
    assert (silent, noted) == (0.5, 0.75)


def test_pitfall_3_one_pair_sold_at_once_is_not_fifty_a_day(stall):
    [pair] = stall.pairs(1)
    day = stall.opened([pair])
    stall.sell(day, pair, "08:07")
    stall.close(day)

    [history] = kinds()

    raw = 1 / history.days[0].sold_out_at
    assert raw > 50
    assert history.rate.mean < 5


def test_pitfall_4_sold_out_days_are_read_and_raise_the_rate(stall):
    pairs = stall.pairs(4)
    first = stall.opened(pairs)
    stall.sell(first, pairs[0], "12:00")
    stall.close(first)
    before = kinds()[0].rate
    second = stall.opened(pairs[1:])
    for pair in pairs[1:]:
        stall.sell(second, pair, "10:00")
    stall.close(second)

    after = kinds()[0].rate

    assert (after.events, after.mean > before.mean) == (4, True)


def test_pitfall_5_the_size_of_a_day_is_not_changed_after_its_sales(stall):
    [pair] = stall.pairs(1)
    day = stall.opened([pair])
    stall.sell(day, pair, "12:00")

    with pytest.raises(SalesError, match="before") as refusal:
        acts.change_day(day=day, facts=acts.DayFacts(factor=2.0), who=stall.who(day, "13:00"))

    assert refusal.value.field == "factor"
    day.refresh_from_db()
    assert day.factor == 1.0


def test_pitfall_6_a_pair_fetched_from_the_van_was_there_the_whole_time(stall):
    packed, van = stall.pairs(2)
    day = stall.opened([packed])
    stall.sell(day, packed, "09:00")
    stall.sell(day, van, "11:00")
    stall.close(day)

    record = stall.record()

    assert (record.brought, record.sold, record.sold_out_at) == (2, 2, 0.5)
    assert record.empty_share == 0


def test_pitfall_7_a_substitute_is_an_event_of_what_was_wanted():
    taken = demand_rate([DayRecord(4, 2, substitutes=1)], 1.0)
    wanted = demand_rate([DayRecord(0, 0, requests_noted=True, asked=1)], 1.0)

    assert (taken.events, taken.exposure) == (1, 1)
    assert wanted.events == 1


def test_pitfall_8_three_pairs_to_one_buyer_count_three_and_the_fourth_is_asked_for(stall):
    pairs = stall.pairs(3)
    day = stall.opened(pairs)
    lines = [till.Line(2800, pair=pair) for pair in pairs]
    till.sell(day=day, lines=lines, paid_by=Payment.CASH, who=stall.who(day, "11:00"))
    stall.ask(day, pairs[0].pattern, "11:00")
    stall.close(day, noted=True)

    [history] = kinds()

    assert (history.rate.events, history.days[0].sold_out_at) == (4, 0.5)


def test_pitfall_9_an_order_handed_over_at_the_stall_is_no_table_demand(stall):
    table, made = stall.pairs(2)
    day = stall.opened([table])
    who = stall.who(day, "09:00")
    wish = orders.Wish("Wren", "kelp", day.date, 3200)
    order = orders.take_order(wish=wish, today=day.date, who=who)
    order = orders.reserve_pair(order=order, pair=made, who=who)
    orders.hand_over(order=order, paid_by=Payment.CASH, how=HandOver.How.STALL, day=day, who=who)
    stall.close(day)

    record = stall.record()

    assert (record.brought, record.sold) == (1, 0)


def test_pitfall_10_after_a_change_of_price_older_days_fade():
    # By hand: 6 at the old price, then 1 and 1; kept 0.8 a day: 6 * 0.64 + 0.8 + 1 = 5.64.
    days = [DayRecord(9, 6), DayRecord(9, 1), DayRecord(9, 1)]

    faded = demand_rate(days, 1.0, memory=0.8)

    assert faded.events == pytest.approx(5.64)
    assert faded.mean < demand_rate(days, 1.0).mean


def test_pitfall_11_a_sell_out_in_the_first_minute_divides_by_nothing(page, stall):
    [pair] = stall.pairs(1)
    day = stall.opened([pair])
    stall.sell(day, pair, "08:00")
    stall.close(day)

    [history] = kinds()
    shown = page.get("/sells/", RANGE)

    assert (history.rate.events, history.rate.exposure) == (1, 0)
    assert history.rate.mean < 10
    assert shown.status_code == 200
    assert "1 wanted in 0.0 market days" in shown.text
    assert not any(word in shown.text for word in ("inf ", "nan", "NaN"))


def test_pitfall_12_a_new_size_shows_the_pooled_rate_and_the_word_guess(page, stall):
    pairs = stall.pairs(2)
    day = stall.opened(pairs)
    stall.sell(day, pairs[0], "11:00")
    stall.close(day)
    stall.pairs(1, pattern_of("Men 13", group="men", foot_length_mm=290))
    ahead = stall.packed([])

    plan = packing.propose(day=ahead, ask_share=0.5)

    [new] = [kind for kind in plan.kinds if kind.guess]
    assert new.pattern.size_name == "Men 13"
    assert new.reasons[0].startswith("A guess from the other kinds")
    assert new.mean > 0


@pytest.mark.parametrize("k", [1, 2, 5, 9])
def test_pitfall_13_the_shape_of_a_prediction_is_scipy_s_n_and_r_over_r_plus_mean(k):
    rate = demand_rate([DayRecord(9, 4), DayRecord(9, 2)], 1.5)
    ahead = predict(rate, [1.0, 0.5], 0.06)

    # scipy.stats.nbinom(n, p): n is the shape r, p is r / (r + mean).
    p = ahead.shape / (ahead.shape + ahead.mean)

    assert ahead.at_least(k) == pytest.approx(nbinom.sf(k - 1, ahead.shape, p), rel=1e-9)


def test_pitfall_14_late_in_the_season_the_guard_holds_the_plan_back():
    def plan(most):
        kind = Kind("winter", 60, 30, 0, 0, 21, 0.2, Prediction(8, 8), most=most)
        return make([kind], 5000).counts[0]

    # Price 30, yarn 9, worth 5 next year, 2 wanted in all the days that are left.
    guarded = most_worth_holding(Prediction(2, 8), 30, 9, 5)

    assert plan(guarded) == guarded < plan(10_000)


def test_pitfall_15_a_sale_returned_later_leaves_the_exposure(stall):
    pairs = stall.pairs(2)
    day = stall.opened(pairs)
    sale = stall.sell(day, pairs[0], "09:00")
    stall.sell(day, pairs[1], "11:00")
    stall.close(day)
    before = kinds()[0].rate

    later = stall.opened([])
    stall.bring_back(sale, later, "09:00")
    [history] = kinds()

    assert (before.events, before.exposure) == (2, 0.5)
    assert (history.rate.events, history.rate.exposure) == (1, 0.5)


def test_pitfall_16_a_rate_never_stands_without_events_exposure_and_interval(page, stall):
    # Three days of it: 2 of 3 sold, nothing sold, 1 sold.
    pairs = stall.pairs(3)
    for sold in (2, 0, 1):
        left = [pair for pair in pairs if pair.place != "sold"]
        day = stall.opened(left[: sold + 1] if sold < len(left) else left)
        for pair in left[:sold]:
            stall.sell(day, pair, "11:00")
        stall.close(day)
        for pair in pairs:
            pair.refresh_from_db()
    [history] = kinds()
    low, high = history.rate.interval(0.9)

    said = rate_reason(history.rate, 0.9)
    shown = page.get("/sells/", RANGE).text

    assert f"{history.rate.events:.3g} wanted in {history.rate.exposure:.3g} market days" in said
    assert f"90% sure between {low:.1f} and {high:.1f}" in said
    assert f"({low:.1f} to {high:.1f}, 90 % sure)" in shown
    assert f"{history.rate.events:.3g} wanted in {history.rate.exposure:.1f} market days" in shown
    assert history.days[0].factor == 1.0
    assert dt.date(2026, 6, 4) == report.closed_days()[0].date
