import random
from math import exp, inf

import pytest
from scipy import special, stats

from sales.core.tails import (
    beta_cdf,
    count_at_least,
    count_quantile,
    gamma_quantile,
    gamma_tails,
    log_poisson_at_least,
)


def test_log_poisson_at_least_equals_scipy_in_both_tails():
    # Below 1e-250 scipy's own tail starts to lose digits.
    for mean in (0.01, 0.5, 3, 40, 300):
        for count in (1, 2, 3, 10, 50, 320):
            expected = special.gammainc(count, mean)
            if expected > 1e-250:
                got = exp(log_poisson_at_least(count, mean))
                assert got == pytest.approx(expected, rel=1e-10)


def test_log_poisson_at_least_nothing_is_certain():
    assert log_poisson_at_least(0, 3) == 0
    assert log_poisson_at_least(0, 0) == 0
    assert log_poisson_at_least(1, 0) == -inf


@pytest.mark.parametrize("shape", [0.05, 0.5, 1, 3.7, 40, 900, 50_000])
def test_gamma_tails_and_quantiles_equal_scipy(shape):
    for p in (1e-9, 0.001, 0.2, 0.5, 0.8, 0.999, 1 - 1e-9):
        x = special.gammaincinv(shape, p)
        if x > 1e-280:
            assert gamma_tails(shape, x)[0] == pytest.approx(special.gammainc(shape, x), rel=1e-9)
            assert gamma_tails(shape, x)[1] == pytest.approx(special.gammaincc(shape, x), rel=1e-8)
            assert gamma_quantile(p, shape) == pytest.approx(x, rel=2e-8)


def test_gamma_tails_at_nothing():
    assert gamma_tails(2, 0) == (0, 1)


def test_beta_cdf_equals_scipy():
    rng = random.Random(3)
    for _ in range(300):
        a, b, x = rng.uniform(0.3, 80), rng.uniform(0.3, 80), rng.random()

        assert beta_cdf(a, b, x) == pytest.approx(special.betainc(a, b, x), rel=1e-9, abs=1e-14)
    assert (beta_cdf(2, 3, 0), beta_cdf(2, 3, 1)) == (0, 1)


def test_counts_equal_scipy_on_random_laws():
    rng = random.Random(4)
    for _ in range(200):
        mean, shape, k = rng.uniform(0.01, 30), rng.uniform(0.2, 60), rng.randint(0, 60)
        law = stats.nbinom(shape, shape / (shape + mean))
        q = rng.random()

        assert count_at_least(k, mean, shape) == pytest.approx(law.sf(k - 1), rel=1e-9, abs=1e-15)
        assert count_quantile(q, mean, shape) == law.ppf(q)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: log_poisson_at_least(1, -1), r"mean=-1 must be a number, 0 or more"),
        (lambda: count_at_least(1, 1, 0), r"shape=0 must be above 0"),
        (lambda: count_quantile(-0.1, 1, 1), r"q=-0.1 must be a share"),
        (lambda: gamma_tails(0, 1), r"shape=0 must be a number above 0"),
        (lambda: gamma_tails(1, -1), r"x=-1 must be a number, 0 or more"),
        (lambda: gamma_quantile(0, 1), r"probability=0 must be above 0 and below 1"),
        (lambda: beta_cdf(1, 1, 1.5), r"x=1.5 must be a number, from 0 to 1"),
    ],
)
def test_tails_name_what_is_out_of_range(call, message):
    with pytest.raises(ValueError, match=message):
        call()
