"""Demand against scipy, textbooks and public data sets typed in here."""

import random
from math import exp, inf, lgamma, log, sqrt

import pytest
from scipy import integrate, optimize, stats

from sales.core.arrivals import fit_rows_and_columns
from sales.core.demand import DayRecord, Prediction, Rate, demand_rate, predict

# R vcd::HorseKicks (Bortkiewicz 1898): corps-years with 0, 1, 2 ... deaths.
HORSE_KICKS = [109, 65, 22, 3, 1]
# R vcd::Federalist (Mosteller & Wallace): blocks of text with 0, 1, 2 ... "may".
FEDERALIST = [156, 63, 29, 8, 4, 1, 1]
# Bliss & Fisher 1953, red mites on apple leaves (from memory).
RED_MITES = [70, 38, 17, 10, 9, 3, 2, 1]
# Gaver & O'Muircheartaigh 1987; George, Makov & Smith 1993: pump failures and hours.
PUMPS = [
    (5, 94.320, 0.0609),
    (1, 15.720, 0.1073),
    (5, 62.880, 0.0908),
    (14, 125.760, 0.1167),
    (3, 5.240, 0.5881),
    (19, 31.440, 0.6062),
    (1, 1.048, 0.7899),
    (1, 1.048, 0.7899),
    (4, 2.096, 1.4374),
    (22, 10.480, 1.9441),
]
PUMP_SHAPE, PUMP_RATE = 0.822269, 1.258954


def days_with(counts, factor=1.0):
    """Return days on which stock was left, so that sales are demand."""
    return [DayRecord(brought=n + 1, sold=n, factor=factor) for n in counts]


def quad_belief(a, b, untimed):
    """Return mean and variance of the rate after untimed sell-outs, by scipy quadrature."""

    def density(rate, power):
        tail = sum(log(stats.poisson.sf(s - 1, rate * f)) for s, f in untimed)
        return exp(power * log(rate) + (a - 1) * log(rate) - b * rate + tail - top)

    def log_density(rate):
        tail = sum(stats.poisson.logsf(s - 1, rate * f) for s, f in untimed)
        return (a - 1) * log(rate) - b * rate + tail

    peak = optimize.minimize_scalar(
        lambda x: -log_density(exp(x)), bounds=(-4, 5), method="bounded"
    ).x
    top = log_density(exp(peak))
    far = exp(peak) * 12 + 20 / b
    moments = [
        integrate.quad(
            density, 1e-9, far, args=(p,), points=[exp(peak)], limit=400, epsabs=1e-13, epsrel=1e-12
        )[0]
        for p in (0, 1, 2)
    ]
    mean = moments[1] / moments[0]
    return mean, moments[2] / moments[0] - mean**2


@pytest.mark.parametrize(
    ("prior_rate", "strength", "untimed"),
    [
        (2.0, 2.0, [(3, 1.0)]),
        (1.5, 2.0, [(1, 1.0)]),
        (1.5, 2.0, [(3, 1.0), (2, 0.5), (4, 1.5)]),
        (10.0, 0.5, [(5, 1.0)] * 8),
        (0.4, 1.0, [(6, 1.0)]),
        (3.0, 4.0, [(1, 0.25), (2, 1.0), (7, 2.0)]),
    ],
)
def test_untimed_sell_outs_equal_scipy_quad(prior_rate, strength, untimed):
    days = [DayRecord(brought=s, sold=s, factor=f) for s, f in untimed]

    rate = demand_rate(days, prior_rate, strength)

    mean, variance = quad_belief(strength, strength / prior_rate, untimed)
    assert rate.mean == pytest.approx(mean, rel=1e-7)
    assert rate.variance == pytest.approx(variance, rel=1e-6)


def test_untimed_sell_outs_on_a_well_known_rate_equal_scipy_quad():
    days = days_with([4] * 50) + [DayRecord(brought=4, sold=4)] * 20

    rate = demand_rate(days, 4.0)

    mean, variance = quad_belief(202, 50.5, [(4, 1.0)] * 20)
    assert (rate.mean, rate.variance) == pytest.approx((mean, variance), rel=1e-6)


def test_one_untimed_sell_out_equals_the_closed_form():
    # Gamma(2, 1), three or more wanted: (2 - 1) / (5/16) and its variance, by hand.
    rate = demand_rate([DayRecord(brought=3, sold=3)], prior_rate=2.0)

    assert rate.mean == pytest.approx(3.2, abs=1e-8)
    assert rate.variance == pytest.approx(2.36, abs=1e-8)
    assert (rate.a, rate.b) == pytest.approx((4.338983, 1.355932), abs=5e-7)


@pytest.mark.parametrize("seed", range(6))
def test_one_untimed_sell_out_equals_the_negative_binomial_form(seed):
    # E[rate] = (A/B - sum p_k (A+k)/(B+f)) / (1 - sum p_k), p_k from scipy nbinom.
    rng = random.Random(seed)
    a, b, f = rng.uniform(0.5, 9), rng.uniform(0.3, 6), rng.uniform(0.3, 2)
    s = rng.randint(1, 9)
    p = [stats.nbinom.pmf(k, a, b / (b + f)) for k in range(s)]
    missing = sum(p[k] * (a + k) / (b + f) for k in range(s))
    expected = (a / b - missing) / (1 - sum(p))

    rate = demand_rate([DayRecord(brought=s, sold=s, factor=f)], a / b, a)

    assert rate.mean == pytest.approx(expected, rel=1e-8)


def test_matched_gamma_predicts_like_the_exact_posterior():
    untimed = [(3, 1.0), (2, 1.0), (4, 1.0)]
    days = days_with([2, 1, 2]) + [DayRecord(brought=s, sold=s) for s, _ in untimed]

    ahead = predict(demand_rate(days, prior_rate=2.0), [1], day_noise=0)

    def weight(rate):
        tail = 1.0
        for s, f in untimed:
            tail *= stats.poisson.sf(s - 1, rate * f)
        return stats.gamma.pdf(rate, 7, scale=1 / 4) * tail

    total = integrate.quad(weight, 0, 30)[0]
    for k in range(12):
        exact = integrate.quad(lambda x, k=k: weight(x) * stats.poisson.pmf(k, x), 0, 30)[0]
        mass = ahead.at_least(k) - ahead.at_least(k + 1)
        assert mass == pytest.approx(exact / total, abs=2e-4)


@pytest.mark.parametrize(
    ("shape", "prior_days", "counts", "factor", "expected"),
    [
        # Gelman et al., Bayesian Data Analysis, 3rd ed., sec. 2.6, asthma deaths (from memory).
        (3, 5, [3], 2.0, (6, 7)),
        (3, 5, [3] * 10, 2.0, (33, 25)),
        # Johnson, Ott & Dogucu, Bayes Rules!, ch. 5, fraud calls.
        (10, 2, [6, 2, 2, 1], 1.0, (21, 6)),
    ],
)
def test_demand_rate_equals_textbook_updates(shape, prior_days, counts, factor, expected):
    rate = demand_rate(days_with(counts, factor), shape / prior_days, strength=shape)

    assert (rate.a, rate.b) == pytest.approx(expected)
    assert rate.mean == pytest.approx(expected[0] / expected[1])


def test_demand_rate_spread_equals_the_textbook_figure():
    # Bayes Rules!, ch. 5: Gamma(21, 6) has standard deviation 0.763763.
    assert sqrt(demand_rate(days_with([6, 2, 2, 1]), 5, 10).variance) == pytest.approx(
        0.763763, abs=5e-7
    )


def test_demand_rate_equals_the_pump_posteriors():
    # Posterior means at the marginal maximum likelihood of the published data.
    prior = PUMP_SHAPE / PUMP_RATE

    for failures, hours, expected in PUMPS:
        rate = demand_rate(days_with([failures], hours), prior, PUMP_SHAPE)

        assert rate.mean == pytest.approx(expected, abs=5e-5)


def test_predictive_counts_give_the_pump_likelihood():
    # scipy.stats.nbinom.logpmf summed over the ten pumps: -32.263067.
    total = 0.0
    for failures, hours, _ in PUMPS:
        ahead = predict(Rate(PUMP_SHAPE, PUMP_RATE), [hours], day_noise=0)
        total += log(ahead.at_least(failures) - ahead.at_least(failures + 1))

    assert total == pytest.approx(-32.263067, abs=5e-6)


def test_horse_kicks_are_poisson_as_printed():
    days = days_with([k for k, times in enumerate(HORSE_KICKS) for _ in range(times)])
    # A prior worth half a pair leaves 122 deaths in 200 corps-years almost alone.
    assert demand_rate(days, 0.61, 0.5).mean == pytest.approx(0.61)

    law = Prediction(0.61, inf)
    expected = [200 * (law.at_least(k) - law.at_least(k + 1)) for k in range(5)]

    # Poisson expectations of R vcd::HorseKicks at mean .61.
    assert expected == pytest.approx([108.670, 66.289, 20.218, 4.111, 0.627], abs=6e-4)


@pytest.mark.parametrize(
    ("table", "mean", "shape", "within"),
    [
        # statsmodels NegativeBinomial on vcd::Federalist: 1.186333.
        (FEDERALIST, 0.656489, 1.186333, 1e-5),
        # Bliss & Fisher 1953 print 1.02459 (from memory).
        (RED_MITES, 1.146667, 1.024587, 1e-5),
    ],
)
def test_prediction_is_the_law_that_fits_public_counts(table, mean, shape, within):
    n = sum(table)
    average = sum(k * times for k, times in enumerate(table)) / n

    def loss(log_shape):
        law = Prediction(average, exp(log_shape))
        return -sum(
            times * log(law.at_least(k) - law.at_least(k + 1)) for k, times in enumerate(table)
        )

    fitted = exp(
        optimize.minimize_scalar(loss, bounds=(-3, 3), method="bounded", options={"xatol": 1e-9}).x
    )

    assert average == pytest.approx(mean, abs=5e-7)
    assert fitted == pytest.approx(shape, abs=within)


def test_federalist_likelihood_equals_statsmodels():
    law = Prediction(172 / 262, 1.186333)

    total = sum(
        times * log(law.at_least(k) - law.at_least(k + 1)) for k, times in enumerate(FEDERALIST)
    )

    assert total == pytest.approx(-291.260960, abs=5e-6)


def test_timed_sell_outs_read_the_demand_behind_capped_sales():
    # R gt::pizzaplace, one kind on 52 Saturdays, sales capped at 2 a day: 103 sold, 51 days
    # sold out, 17.589402 days in stock. True mean 303 / 52, capped mean 103 / 52.
    timed = [DayRecord(brought=2, sold=2, sold_out_at=16.589402 / 51)] * 51
    days = [*timed, DayRecord(brought=2, sold=1)]

    rate = demand_rate(days, prior_rate=2.0, strength=0.5)

    assert (rate.events, rate.exposure) == pytest.approx((103, 17.589402))
    assert rate.events / rate.exposure == pytest.approx(5.8558, abs=5e-5)
    low, high = rate.interval(0.9)
    assert 103 / 52 < low < 303 / 52 < high


@pytest.mark.parametrize("shape", [0.5, 0.7, 1, 2, 12, 14.63, 150, 4000])
@pytest.mark.parametrize("level", [0.5, 0.8, 0.9, 0.99])
def test_interval_equals_scipy_gamma(shape, level):
    low, high = Rate(shape, 1.7).interval(level)

    tail = (1 - level) / 2
    assert low == pytest.approx(stats.gamma.ppf(tail, shape, scale=1 / 1.7), rel=1e-8)
    assert high == pytest.approx(stats.gamma.ppf(1 - tail, shape, scale=1 / 1.7), rel=1e-8)


@pytest.mark.parametrize("shape", [0.7, 2, 7.549836, 50, inf])
@pytest.mark.parametrize("mean", [0.05, 1.3, 8, 60, 2000])
def test_prediction_equals_scipy_nbinom(shape, mean):
    # scipy wants shape / (shape + mean) as its probability.
    law = stats.poisson(mean) if shape == inf else stats.nbinom(shape, shape / (shape + mean))
    ahead = Prediction(mean, shape)

    for q in (0.01, 0.2, 0.5, 0.8, 0.9, 0.95, 0.99, 0.999):
        assert ahead.quantile(q) == law.ppf(q)
    for k in (0, 1, 2, 5, 20, int(mean), int(4 * mean) + 3):
        assert ahead.at_least(k) == pytest.approx(law.sf(k - 1), rel=1e-8, abs=1e-13)
    assert ahead.variance == pytest.approx(law.var())


@pytest.mark.parametrize(("factors", "variance"), [((1, 1), 5.340), ((1, 2, 1), 14.520)])
def test_predict_spread_equals_simulated_days(factors, variance):
    ahead = predict(Rate(6, 4), factors, day_noise=0.16)

    assert ahead.variance == pytest.approx(variance, abs=5e-4)
    # Moments of the model itself: gamma rate, days with independent gamma factors.
    total, squares = sum(factors), sum(f * f for f in factors)
    rate_square = 6 / 16 + (6 / 4) ** 2
    exact = 6 / 4 * total + 6 / 16 * total**2 + rate_square * 0.16 * squares
    assert ahead.variance == pytest.approx(exact)
    # Quantiles of 5e5 simulated seasons.
    expected = (5, 6, 7) if len(factors) == 2 else (9, 11, 13)
    assert tuple(ahead.quantile(q) for q in (0.8, 0.9, 0.95)) == expected


def test_fit_rows_and_columns_equals_poisson_regression():
    rng = random.Random(20)
    rows, columns = 4, 5
    time = [[rng.uniform(0.3, 3) for _ in range(columns)] for _ in range(rows)]
    counts = [[rng.randint(0, 12) for _ in range(columns)] for _ in range(rows)]

    fit = fit_rows_and_columns(counts, time, prior_rate=1, strength=0, smoothing=0)

    def loss(p):
        means = [
            (exp(p[i] + (p[rows + j] if j < columns - 1 else 0)) * time[i][j], counts[i][j])
            for i in range(rows)
            for j in range(columns)
        ]
        return sum(m - c * log(m) + lgamma(c + 1) for m, c in means)

    found = optimize.minimize(
        loss, [0.0] * (rows + columns - 1), method="BFGS", options={"gtol": 1e-7}
    )
    raw = [exp(found.x[rows + j]) if j < columns - 1 else 1.0 for j in range(columns)]
    mean = sum(raw) / columns
    assert fit.weights == pytest.approx([w / mean for w in raw], rel=1e-5)
    assert fit.rates == pytest.approx([exp(p) * mean for p in found.x[:rows]], rel=1e-5)
