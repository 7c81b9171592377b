import pytest

from sales.core.counts import (
    faster_odds,
    per_exposure,
    poisson_interval,
    sell_through,
)


def test_poisson_interval_of_nothing_starts_at_nothing():
    low, high = poisson_interval(0)

    assert low == 0
    assert high == pytest.approx(3.688879, abs=5e-7)


def test_poisson_interval_holds_its_count_and_widens_with_the_level():
    for n in range(1, 40):
        low, high = poisson_interval(n, 0.8)
        wider_low, wider_high = poisson_interval(n, 0.95)

        assert wider_low < low < n < high < wider_high


def test_per_exposure_of_no_sales_keeps_its_doubt():
    rate, (low, high) = per_exposure(0, 6)

    assert (rate, low) == (0, 0)
    assert high == pytest.approx(3.688879 / 6, abs=1e-6)


def test_faster_odds_of_equals_are_even():
    assert faster_odds(7.3, 2, 7.3, 2) == pytest.approx(0.5)


def test_faster_odds_of_both_ways_add_up():
    assert faster_odds(9, 4, 5.5, 3) + faster_odds(5.5, 3, 9, 4) == pytest.approx(1)


def test_sell_through_names_its_denominator():
    assert sell_through(14, 6) == pytest.approx(0.7)
    assert sell_through(14, 20, of="received") == pytest.approx(0.7)
    assert sell_through(14, 28, of="received") == pytest.approx(0.5)


def test_sell_through_of_nothing_is_not_a_number():
    assert sell_through(0, 0) is None
    assert sell_through(0, 0, of="received") is None


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: poisson_interval(-1), r"n=-1 must be a whole number, 0 or more"),
        (lambda: poisson_interval(2.5), r"n=2.5 must be a whole number, 0 or more"),
        (lambda: poisson_interval(2, 95), r"level=95 must be above 0 and below 1"),
        (lambda: poisson_interval(2, 0), r"level=0 must be above 0 and below 1"),
        (lambda: per_exposure(2, 0), r"exposure=0 must be a number above 0"),
        (lambda: faster_odds(0, 1, 1, 1), r"shape_a=0 must be a number above 0"),
        (lambda: faster_odds(1, 1, 1, -1), r"rate_b=-1 must be a number above 0"),
        (lambda: sell_through(-1, 1), r"sold=-1 must be a whole number, 0 or more"),
        (lambda: sell_through(1, 1, of="made"), r"of='made' must be 'available' or 'received'"),
    ],
)
def test_counts_name_what_is_out_of_range(call, message):
    with pytest.raises(ValueError, match=message):
        call()
