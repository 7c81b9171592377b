"""Counts against scipy, R and statsmodels examples, and printed definitions."""

import pytest
from scipy import stats

from sales.core.counts import (
    faster_odds,
    per_exposure,
    poisson_interval,
)

# Exact intervals as printed to four places by scipy.stats.chi2.
PRINTED = {
    0: ((0, 3.6889), (0, 2.9957)),
    1: ((0.0253, 5.5716), (0.0513, 4.7439)),
    2: ((0.2422, 7.2247), (0.3554, 6.2958)),
    3: ((0.6187, 8.7673), (0.8177, 7.7537)),
    4: ((1.0899, 10.2416), (1.3663, 9.1535)),
    6: ((2.2019, 13.0595), (2.6130, 11.8424)),
    7: ((2.8144, 14.4227), (3.2853, 13.1481)),
    8: ((3.4538, 15.7632), (3.9808, 14.4346)),
    9: ((4.1154, 17.0848), (4.6952, 15.7052)),
    10: ((4.7954, 18.3904), (5.4254, 16.9622)),
}


@pytest.mark.parametrize("level", [0.5, 0.8, 0.9, 0.95, 0.99, 0.999])
def test_poisson_interval_equals_scipy_chi2(level):
    tail = (1 - level) / 2

    for n in range(138):
        low, high = poisson_interval(n, level)

        assert low == pytest.approx(stats.chi2.ppf(tail, 2 * n) / 2 if n else 0, abs=1e-8)
        assert high == pytest.approx(stats.chi2.ppf(1 - tail, 2 * n + 2) / 2, abs=1e-8)


def test_poisson_interval_stays_exact_for_a_count_of_many_seasons():
    low, high = poisson_interval(12_345)

    assert low == pytest.approx(stats.chi2.ppf(0.025, 24_690) / 2, rel=1e-8)
    assert high == pytest.approx(stats.chi2.ppf(0.975, 24_692) / 2, rel=1e-8)


@pytest.mark.parametrize("n", PRINTED)
def test_poisson_interval_equals_the_printed_table(n):
    at_95, at_90 = PRINTED[n]

    assert poisson_interval(n) == pytest.approx(at_95, abs=5e-5)
    assert poisson_interval(n, 0.9) == pytest.approx(at_90, abs=5e-5)


def test_per_exposure_equals_the_example_of_r_poisson_test():
    # R stats, ?poisson.test: poisson.test(137, 24.19893).
    rate, interval = per_exposure(137, 24.19893)

    assert rate == pytest.approx(5.661407, abs=5e-7)
    assert interval == pytest.approx((4.753125, 6.692709), abs=5e-7)


@pytest.mark.parametrize(
    ("n", "units", "expected"),
    [(3, 4, (0.154668, 2.191818)), (4, 5, (0.217973, 2.048318))],
)
def test_per_exposure_equals_statsmodels_exact_interval(n, units, expected):
    # statsmodels.stats.rates.confint_poisson(n, units, method="exact-c").
    _, interval = per_exposure(n, units)

    assert interval == pytest.approx(expected, abs=5e-7)


def test_per_exposure_equals_the_leukaemia_data():
    # Gehan 1965, R MASS::gehan: remissions ended per week at risk.
    assert per_exposure(9, 359)[0] == pytest.approx(0.0250696, abs=5e-8)
    assert per_exposure(21, 182)[0] == pytest.approx(0.1153846, abs=5e-8)


def test_faster_odds_equals_scipy_betainc_and_the_binomial_sum():
    # scipy.special.betainc(6, 12, 5 / 10.2).
    assert faster_odds(12, 5.2, 6, 5) == pytest.approx(0.9164925889, abs=1e-10)
    assert faster_odds(12, 5.2, 6, 5) == pytest.approx(stats.binom.sf(5, 17, 5 / 10.2), abs=1e-12)
