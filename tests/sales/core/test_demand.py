from dataclasses import FrozenInstanceError
from math import inf, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sales.core.demand import (
    DayRecord,
    Prediction,
    Rate,
    day_noise,
    demand_rate,
    pooled_rate,
    predict,
)

# One size over six days, 08:00 to 14:00; the last sold out with no time kept.
TIMED_DAYS = [
    DayRecord(brought=3, sold=2),
    DayRecord(brought=3, sold=3, sold_out_at=0.5),
    DayRecord(brought=4, sold=1),
    DayRecord(brought=2, sold=2, sold_out_at=0.75, requests_noted=True, asked=1),
    DayRecord(brought=0, sold=0, requests_noted=True, asked=1),
]
SIX_DAYS = [*TIMED_DAYS, DayRecord(brought=3, sold=3)]

stock_left = st.integers(0, 6).map(lambda n: DayRecord(brought=n + 1, sold=n))
timed_out = st.builds(
    lambda n, at: DayRecord(brought=n, sold=n, sold_out_at=at), st.integers(1, 5), st.floats(0, 1)
)
untimed_out = st.integers(1, 5).map(lambda n: DayRecord(brought=n, sold=n))
any_days = st.lists(st.one_of(stock_left, timed_out, untimed_out), max_size=8)


def test_demand_rate_of_timed_days_is_a_plain_gamma_update():
    rate = demand_rate(TIMED_DAYS, prior_rate=1.5)

    assert (rate.events, rate.exposure) == (10, 3.875)
    assert (rate.a, rate.b) == pytest.approx((12, 5.208333), abs=5e-7)
    assert rate.mean == pytest.approx(2.304)


# Quadrature (scipy.integrate.quad) and scipy.stats.nbinom give the figures of the next two.
def test_demand_rate_reads_an_untimed_sell_out_as_at_least():
    rate = demand_rate(SIX_DAYS, prior_rate=1.5)

    assert rate.a == pytest.approx(14.630131, abs=5e-7)
    assert rate.b == pytest.approx(5.688675, abs=6e-7)
    assert rate.mean == pytest.approx(2.571800, abs=5e-7)
    assert rate.variance == pytest.approx(0.452091, abs=5e-7)
    assert rate.interval(0.9) == pytest.approx((1.5744, 3.7683), abs=5e-5)
    assert (rate.events, rate.exposure, rate.untimed_days) == (10, 3.875, 1)


def test_predict_the_day_after_six_days():
    ahead = predict(demand_rate(SIX_DAYS, prior_rate=1.5), [1.0])

    assert ahead.shape == pytest.approx(7.549836, abs=5e-7)
    assert [ahead.at_least(k) for k in range(9)] == pytest.approx(
        [1, 0.8907, 0.6809, 0.4530, 0.2688, 0.1452, 0.0728, 0.0342, 0.0153], abs=5e-5
    )
    assert [ahead.quantile(q) for q in (0.5, 0.8, 0.9, 0.95, 0.99)] == [2, 4, 5, 6, 8]


# Every row of the table of records: what it adds to events and exposure at ask share .5.
@pytest.mark.parametrize(
    ("day", "events", "exposure"),
    [
        (DayRecord(4, 1, 1.5), 1, 1.5),
        (DayRecord(2, 2, 1.5, sold_out_at=0.4), 2, 0.6),
        (DayRecord(2, 2, 1.5, 0.4, requests_noted=True, asked=3), 5, 1.5 * (0.4 + 0.5 * 0.6)),
        (DayRecord(0, 0, 1.5, requests_noted=True, asked=2), 2, 0.75),
        (DayRecord(0, 0, 1.5), 0, 0),
    ],
)
def test_demand_rate_adds_what_each_record_shows(day, events, exposure):
    rate = demand_rate([day], prior_rate=2.0)

    assert rate.events == events
    assert rate.exposure == pytest.approx(exposure)
    assert (rate.a, rate.b) == pytest.approx((2 + events, 1 + exposure))


def test_untimed_sell_out_with_requests_counts_both_towards_at_least():
    noted = demand_rate([DayRecord(3, 3, requests_noted=True, asked=2)], 1.5)
    bigger = demand_rate([DayRecord(5, 5)], 1.5)

    assert (noted.a, noted.b) == pytest.approx((bigger.a, bigger.b))
    assert (noted.events, noted.exposure, noted.untimed_days) == (0, 0, 1)


def test_noting_requests_counts_even_when_nobody_asked():
    # Tied to "asked > 0" the quiet days would vanish and the rate would read too high.
    quiet = DayRecord(0, 0, requests_noted=True)
    asked = DayRecord(0, 0, requests_noted=True, asked=1)

    rate = demand_rate([quiet, quiet, asked], prior_rate=1.5)

    assert (rate.events, rate.exposure) == (1, 1.5)


def test_requests_of_a_day_that_was_not_noted_are_not_read():
    assert demand_rate([DayRecord(0, 0, asked=4)], 1.5) == demand_rate([], 1.5)


def test_requests_while_stock_was_left_are_not_unmet_demand():
    assert DayRecord(3, 1, requests_noted=True, asked=2).wanted == 1


def test_one_early_sale_does_not_make_a_wild_rate():
    # The raw reading, 1 sale in .02 days, would be 50 a day.
    rate = demand_rate([DayRecord(1, 1, sold_out_at=0.02)], prior_rate=1.5)

    assert rate.mean < 2.3


def test_sell_out_in_the_first_minute_has_no_exposure_and_still_a_rate():
    rate = demand_rate([DayRecord(2, 2, sold_out_at=0.0)], prior_rate=1.5)

    assert rate.exposure == 0
    assert rate.mean == pytest.approx(4 / (4 / 3))
    assert not rate.guess


def test_sold_out_days_are_kept_and_raise_the_rate():
    left = [DayRecord(3, 1)] * 3
    out = [DayRecord(2, 2)] * 3

    assert demand_rate(left + out, 1.5).mean > demand_rate(left, 1.5).mean


def test_a_time_typed_afterwards_reads_lower_than_no_time():
    # Which is why such times are to be dropped.
    typed = demand_rate([DayRecord(2, 2, sold_out_at=1.0)] * 4, 1.5).mean
    untimed = demand_rate([DayRecord(2, 2)] * 4, 1.5).mean

    assert typed < untimed


def test_pair_fetched_from_the_van_counts_for_the_whole_time():
    # Two on the table, one fetched on request: three brought, in stock until the third sale.
    rate = demand_rate([DayRecord(3, 3, sold_out_at=0.8)], 1.5)

    assert (rate.events, rate.exposure) == (3, 0.8)


def test_time_before_a_refill_shortens_the_exposure():
    refilled = demand_rate([DayRecord(5, 4, empty_share=0.25)], 1.5)
    noted = demand_rate([DayRecord(5, 4, empty_share=0.25, requests_noted=True, asked=1)], 1.5)

    assert (refilled.events, refilled.exposure) == (4, 0.75)
    assert (noted.events, noted.exposure) == (5, 0.875)


def test_time_before_a_refill_shortens_an_untimed_day_too():
    refilled = demand_rate([DayRecord(4, 4, empty_share=0.25)], 1.5)
    short_day = demand_rate([DayRecord(4, 4, factor=0.75)], 1.5)

    assert (refilled.a, refilled.b) == pytest.approx((short_day.a, short_day.b))


def test_substitute_sale_is_demand_for_the_other_kind():
    # Wanted L, took M: M was sold 2 and wanted once; L was asked for.
    medium = demand_rate([DayRecord(4, 2, substitutes=1)], 1.5)
    large = demand_rate([DayRecord(0, 0, requests_noted=True, asked=1)], 1.5)

    assert (medium.events, medium.exposure) == (1, 1)
    assert (large.events, large.exposure) == (1, 0.5)


def test_a_later_return_takes_the_event_and_leaves_the_exposure():
    rate = demand_rate([DayRecord(3, 3, sold_out_at=0.5, returned=1)], 1.5)

    assert (rate.events, rate.exposure) == (2, 0.5)


def test_untimed_sell_out_returned_whole_says_nothing():
    rate = demand_rate([DayRecord(1, 1, returned=1)], 1.5)

    assert (rate.a, rate.b) == (2, 2 / 1.5)


def test_three_pairs_to_one_customer_who_wanted_one_more_is_four_wanted():
    day = DayRecord(3, 3, sold_out_at=0.3, requests_noted=True, asked=1)

    assert demand_rate([day], 1.5).events == 4


def test_size_of_a_day_scales_its_exposure():
    half = demand_rate([DayRecord(3, 1, factor=0.5)] * 4, 1.5)
    whole = demand_rate([DayRecord(3, 1)] * 4, 1.5)

    assert half.exposure == 2
    assert half.mean > whole.mean


def test_kind_without_record_shows_the_prior_and_says_guess():
    rate = demand_rate([], prior_rate=1.5)

    assert rate.guess
    assert rate.mean == pytest.approx(1.5)
    assert (rate.events, rate.exposure) == (0, 0)


def test_memory_fades_older_days():
    # After a change of price the older half weighs less: .9 a day back.
    days = [DayRecord(9, 5)] + [DayRecord(9, 1)] * 2

    rate = demand_rate(days, 1.5, memory=0.9)

    assert rate.events == pytest.approx(5 * 0.81 + 0.9 + 1)
    assert rate.exposure == pytest.approx(0.81 + 0.9 + 1)
    assert demand_rate(days, 1.5).events == 7


def test_memory_fades_untimed_days_too():
    days = [DayRecord(6, 6), DayRecord(9, 1)]

    assert demand_rate(days, 1.5, memory=0.5).mean < demand_rate(days, 1.5).mean


@given(any_days, st.floats(0.3, 4))
@settings(max_examples=60, derandomize=True, database=None, deadline=None)
def test_demand_rate_always_has_an_ordered_interval(days, prior):
    rate = demand_rate(days, prior)

    low, high = rate.interval(0.8)
    assert 0 < low < rate.mean < high


@given(any_days)
@settings(max_examples=40, derandomize=True, database=None, deadline=None)
def test_an_untimed_sell_out_never_lowers_the_rate(days):
    before = demand_rate(days, 1.5)
    after = demand_rate([*days, DayRecord(3, 3)], 1.5)

    assert after.mean > before.mean - 1e-6


def test_order_of_days_is_of_no_account_without_forgetting():
    forth, back = demand_rate(SIX_DAYS, 1.5), demand_rate(SIX_DAYS[::-1], 1.5)

    assert (forth.a, forth.b) == pytest.approx((back.a, back.b))


def test_pooled_rate_adds_one_pair_of_guess():
    kinds = [[DayRecord(5, 2)] * 3, [DayRecord(5, 1)] * 2, []]

    assert pooled_rate(kinds, guess=2.0) == pytest.approx((8 + 1) / (5 + 1 / 2))


def test_pooled_rate_is_the_guess_before_any_market():
    assert pooled_rate([], guess=1.7) == pytest.approx(1.7)


def test_pooled_rate_does_not_lose_the_untimed_sell_outs():
    calm = [[DayRecord(5, 1)] * 3]

    assert pooled_rate([*calm, [DayRecord(4, 4)] * 2], 1.0) > pooled_rate(calm, 1.0)


def test_day_noise_is_the_usual_one_before_any_day():
    assert day_noise([], []) == 0.06


def test_day_noise_shrinks_the_moment_estimate():
    # Moments: ((20-10)^2 - 20 + (4-10)^2 - 4) / 200 = .56; two days against eight.
    assert day_noise([20, 4], [10, 10]) == pytest.approx((8 * 0.06 + 2 * 0.56) / 10)


def test_day_noise_of_days_quieter_than_chance_is_below_the_usual():
    assert day_noise([10] * 8, [10] * 8) == pytest.approx(0.03)


def test_predict_without_day_noise_keeps_the_shape_of_the_rate():
    ahead = predict(Rate(6, 4), (1, 1), day_noise=0)

    assert (ahead.mean, ahead.shape) == pytest.approx((3, 6))


def test_predict_takes_one_number_for_one_day():
    assert predict(Rate(6, 4), 0.5) == predict(Rate(6, 4), [0.5])


def test_expected_sales_and_losses_add_up_to_the_mean():
    law = Prediction(2, 4)

    assert law.expected_sales(0) == 0
    assert law.expected_sales(60) == pytest.approx(2)
    assert law.expected_sales(3) == pytest.approx(0.80247 + 0.53909 + 0.31962, abs=2e-5)


def test_prediction_of_nothing_is_nothing():
    law = Prediction(0.0)

    assert [law.at_least(k) for k in (0, 1, 2)] == [1, 0, 0]
    assert law.quantile(0.99) == 0


def test_prediction_tails_fall():
    law = Prediction(3.7, 0.4)

    tails = [law.at_least(k) for k in range(80)]
    assert tails == sorted(tails, reverse=True)
    assert min(tails) > 0


def test_prediction_tails_below_zero_are_certain():
    assert Prediction(3, 4).at_least(-2) == 1


def test_quantile_at_an_exact_share_is_not_one_too_many():
    # Shape 1 is the geometric law: P(D <= k) = 1 - (m / (1 + m))^(k + 1).
    for mean in (0.5, 1, 2, 3, 7):
        law = Prediction(mean, 1)
        shares = [1 - (mean / (1 + mean)) ** (k + 1) for k in range(20)]

        assert [law.quantile(share) for share in shares] == list(range(20))


def test_quantile_of_a_share_next_to_one_ends():
    assert Prediction(3.0, inf).quantile(1 - 1e-16) < 60


def test_rate_spread_is_that_of_a_gamma():
    assert sqrt(Rate(16, 4).variance) == pytest.approx(1)


def test_records_cannot_be_changed():
    with pytest.raises(FrozenInstanceError):
        TIMED_DAYS[0].sold = 9


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({"brought": -1, "sold": 0}, r"brought=-1 must be a whole number, 0 or more"),
        ({"brought": 2, "sold": 3}, r"sold=3 must be a whole number, from 0 to 2"),
        ({"brought": 2, "sold": 1.5}, r"sold=1.5 must be a whole number"),
        ({"brought": 2, "sold": 1, "factor": 0}, r"factor=0 must be a number above 0"),
        ({"brought": 2, "sold": 1, "factor": inf}, r"factor=inf must be a number above 0"),
        ({"brought": 2, "sold": 2, "sold_out_at": 1.2}, r"sold_out_at=1.2 .* from 0 to 1"),
        ({"brought": 2, "sold": 1, "sold_out_at": 0.5}, r"sold_out_at=0.5 needs a sell-out"),
        ({"brought": 0, "sold": 0, "sold_out_at": 0.5}, r"sold_out_at=0.5 needs a sell-out"),
        ({"brought": 2, "sold": 1, "asked": -1}, r"asked=-1 must be a whole number, 0 or more"),
        ({"brought": 2, "sold": 1, "returned": 2}, r"returned=2 .* from 0 to 1"),
        (
            {"brought": 3, "sold": 2, "returned": 1, "substitutes": 2},
            r"substitutes=2 .* from 0 to 1",
        ),
        ({"brought": 2, "sold": 1, "empty_share": 2}, r"empty_share=2 .* from 0 to 1"),
    ],
)
def test_day_record_refuses_what_cannot_have_happened(fields, message):
    with pytest.raises(ValueError, match=message):
        DayRecord(**fields)


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({"prior_rate": 0}, r"prior_rate=0 must be a number above 0"),
        ({"prior_rate": 1, "strength": 0.4}, r"strength=0.4 must be a number, 0.5 or more"),
        ({"prior_rate": 1, "ask_share": 0}, r"ask_share=0 must be above 0 and at most 1"),
        ({"prior_rate": 1, "ask_share": 1.1}, r"ask_share=1.1 must be above 0 and at most 1"),
        ({"prior_rate": 1, "memory": 0}, r"memory=0 must be above 0 and at most 1"),
    ],
)
def test_demand_rate_names_what_is_out_of_range(options, message):
    with pytest.raises(ValueError, match=message):
        demand_rate([], **options)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: predict(Rate(2, 1), []), r"factors=\[\] must hold at least one day"),
        (lambda: predict(Rate(2, 1), [1, 0]), r"factors=0 must be a number above 0"),
        (lambda: predict(Rate(2, 1), [1], -0.1), r"day_noise=-0.1 must be a number, 0 or more"),
        (lambda: Rate(0, 1), r"a=0 must be a number above 0"),
        (lambda: Rate(2, 1).interval(1), r"level=1 must be above 0 and below 1"),
        (lambda: Prediction(-1, 2), r"mean=-1 must be a number, 0 or more"),
        (lambda: Prediction(1, 0), r"shape=0 must be above 0"),
        (lambda: Prediction(1, 2).quantile(1), r"q=1 must be a share, from 0 up to but not 1"),
        (lambda: day_noise([1], []), r"expected has 0 days; it must have 1"),
        (lambda: pooled_rate([], 0), r"guess=0 must be a number above 0"),
    ],
)
def test_predictions_name_what_is_out_of_range(call, message):
    with pytest.raises(ValueError, match=message):
        call()
