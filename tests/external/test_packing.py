"""Packing against newsvendor examples from textbooks, and against trying every plan."""

import random
from itertools import product
from math import inf

import pytest
from scipy import stats

from sales.core.demand import Prediction
from sales.core.packing import pack, pair_worth


class Table:
    """Demand given as a table of probabilities."""

    def __init__(self, chances):
        self.chances = chances

    def at_least(self, k):
        return sum(p for size, p in self.chances.items() if size >= k)


# Four sizes, negative binomial of shape 4; brute force over all plans gives the figures.
SIZES = [Prediction(mean, 4) for mean in (0.8, 2, 3, 1.2)]
GAINS = (18, 18, 18, 20)


def value_of(counts, demands, gains, losses):
    """Return what a plan is expected to bring over bringing nothing, pair by pair."""
    return sum(
        pair_worth(demand, k, gain, loss)
        for count, demand, gain, loss in zip(counts, demands, gains, losses, strict=True)
        for k in range(1, count + 1)
    )


def cost_of(stock, law, short, over):
    """Return expected cost of a stock: `over` per pair left, `short` per pair missing."""
    left = sum(1 - law.at_least(k) for k in range(1, stock + 1))
    missing = law.mean - sum(law.at_least(k) for k in range(1, stock + 1))
    return over * left + short * missing


@pytest.mark.parametrize(
    ("mean", "short", "over", "stock", "cost"),
    [
        # Snyder & Shen, Fundamentals of Supply Chain Theory, 2nd ed.; data of Ex. 4.3 with
        # Poisson demand, as stockpyl newsvendor_poisson computes it.
        (50, 0.70, 0.18, 56, 1.797235211809178),
        # The same, Ex. 4.7 (stockpyl newsvendor_discrete).
        (6, 4, 1, 8, 3.5701069457709416),
    ],
)
def test_pack_equals_the_poisson_newsvendor(mean, short, over, stock, cost):
    law = Prediction(mean, inf)

    assert pack([law], short, over) == [stock]
    assert cost_of(stock, law, short, over) == pytest.approx(cost, abs=1e-10)


def test_a_stock_off_the_best_costs_what_the_textbook_says():
    # Snyder & Shen, Ex. 4.7 at stock 5 (stockpyl newsvendor_discrete).
    assert cost_of(5, Prediction(6, inf), 4, 1) == pytest.approx(6.590296024616343, abs=1e-10)


def test_pack_equals_the_newsvendor_with_explicit_prices():
    # Snyder & Shen, data of Ex. 4.2: revenue 1, cost .3, salvage .12, Poisson 50.
    law = Prediction(50, inf)

    counts = pack([law], gain=1 - 0.3, loss=0.3 - 0.12)

    assert counts == [56]
    assert value_of(counts, [law], [0.7], [0.18]) == pytest.approx(33.20276478819082, abs=1e-9)


# Winston & Albright, Practical Management Science, Walton Bookstore calendars.
CALENDARS = {100: 0.30, 150: 0.20, 200: 0.30, 250: 0.15, 300: 0.05}


@pytest.mark.parametrize(
    ("cost", "price", "refund", "profits", "best"),
    [
        (7.5, 10, 2.5, (250, 262.5, 200, 25, -206.25), 150),
        # Winston, Operations Research, news-vendor example (from memory).
        (2, 4.5, 0.75, (250, 318.75, 350, 325, 271.875), 200),
    ],
)
def test_pack_equals_the_calendar_example(cost, price, refund, profits, best):
    demand, gain, loss = Table(CALENDARS), price - cost, cost - refund

    values = [value_of([order], [demand], [gain], [loss]) for order in CALENDARS]

    assert values == pytest.approx(profits)
    assert pack([demand], gain, loss) == [best]


@pytest.mark.parametrize(
    ("places", "counts", "value"),
    [
        (4, [0, 1, 2, 1], 55.8416),
        (8, [1, 2, 3, 2], None),
        (12, [2, 3, 5, 2], 107.6628),
        (None, [3, 6, 8, 4], 118.7102),
    ],
)
def test_pack_equals_brute_force_on_four_sizes(places, counts, value):
    assert pack(SIZES, GAINS, 0.5, places) == counts
    if value is not None:
        assert value_of(counts, SIZES, GAINS, [0.5] * 4) == pytest.approx(value, abs=5e-5)


def test_unlimited_pack_is_the_critical_ratio_quantile_of_scipy():
    expected = [
        stats.nbinom.ppf(u / (u + 0.5), 4, 4 / (4 + law.mean))
        for law, u in zip(SIZES, GAINS, strict=True)
    ]

    assert pack(SIZES, GAINS, 0.5) == expected


def test_negative_binomial_tails_equal_the_printed_ones():
    # scipy.stats.nbinom.sf, shape 4, mean 2.
    law = Prediction(2, 4)

    assert [law.at_least(k) for k in range(6)] == pytest.approx(
        [1, 0.80247, 0.53909, 0.31962, 0.17330, 0.08794], abs=5e-6
    )


@pytest.mark.parametrize("seed", range(60))
def test_no_plan_beats_pack(seed):
    rng = random.Random(seed)
    demands = [Prediction(rng.uniform(0.2, 4), rng.choice([0.7, 2, 4, inf])) for _ in range(3)]
    gain = [rng.uniform(2, 20) for _ in demands]
    loss = [rng.uniform(0, 4) for _ in demands]
    places = rng.randint(0, 8)

    best = max(
        value_of(plan, demands, gain, loss)
        for plan in product(range(places + 1), repeat=3)
        if sum(plan) <= places
    )

    counts = pack(demands, gain, loss, places)
    assert sum(counts) <= places
    assert value_of(counts, demands, gain, loss) == pytest.approx(best, abs=1e-9)
