"""Drawn seasons, profiles and started pairs against scipy and against every plan there is."""

from itertools import product
from random import Random

import numpy as np
import pytest
from scipy import stats

from sales.core.arrivals import clock_of_share, share_of_day
from sales.core.demand import Prediction, Rate
from sales.core.making import Kind, Started, make
from sales.core.packing import pair_worth
from sales.core.seasons import SeasonKind, draw_count, run_season


def test_drawn_counts_are_poisson_by_scipy():
    # scipy.stats.poisson, chi-square over 0..9 and more
    chance = Random(11)
    draws = np.array([draw_count(chance, 3.2) for _ in range(20_000)])
    seen = [int((draws == k).sum()) for k in range(10)] + [int((draws >= 10).sum())]
    law = stats.poisson(3.2)
    expected = [20_000 * law.pmf(k) for k in range(10)] + [20_000 * law.sf(9)]

    assert stats.chisquare(seen, expected).pvalue > 0.001


def test_long_means_are_drawn_in_parts():
    chance = Random(2)
    draws = [draw_count(chance, 2000) for _ in range(300)]

    assert np.mean(draws) == pytest.approx(2000, abs=4 * (2000 / 300) ** 0.5)


@pytest.mark.parametrize("noise", [0.0, 0.16])
def test_bands_of_one_day_equal_scipy_quantiles(noise):
    # With unlimited stock sales are demand: gamma rate, gamma day, Poisson buyers.
    rate = Rate(12, 4, 10, 4)
    kind = SeasonKind("M", rate, 10_000, 60, 30, 9, 5, 1)
    run = run_season([kind], [1.5], [(0,)], day_noise=noise, seasons=4000, seed=5)
    draw = np.random.default_rng(1)
    rates = draw.gamma(12, 1 / 4, 400_000) * 1.5
    if noise:
        rates = rates * draw.gamma(1 / noise, noise, 400_000)
    demand = draw.poisson(rates)

    assert run.sold[0].low == pytest.approx(np.quantile(demand, 0.05), abs=1)
    assert run.sold[0].middle == pytest.approx(np.quantile(demand, 0.5), abs=1)
    assert run.sold[0].high == pytest.approx(np.quantile(demand, 0.95), abs=1)
    if not noise:
        law = stats.nbinom(12, 12 / (12 + 4.5))
        assert run.sold[0].middle == pytest.approx(law.median(), abs=1)


def _ladder(kind, count):
    minutes = machine = 0
    worth = 0.0
    for nth in range(1, count + 1):
        began = kind.started[nth - 1] if nth <= len(kind.started) else None
        chance = kind.demand.at_least(kind.on_hand + nth)
        worth += pair_worth(kind.demand, kind.on_hand + nth, kind.gain, kind.loss)
        worth += began.sunk * chance if began else 0
        machine += began.machine_minutes if began else kind.machine_minutes
        minutes += began.minutes if began else kind.machine_minutes + kind.finish_minutes
    return worth, minutes, machine


@pytest.mark.parametrize("seed", range(40))
def test_no_plan_beats_make_with_pairs_begun(seed):
    """Every plan of up to five of each of three kinds, one by one."""
    chance = Random(seed)
    kinds = []
    for name in "abc":
        minutes = sorted(chance.randrange(2, 40) for _ in range(chance.randrange(3)))
        started = [Started(m, 0, 9) for m in minutes]
        if chance.random() < 0.6:
            started.append(Started(62, 25, 4.5))
        kinds.append(
            Kind(
                name, 50, 35, chance.randrange(3), 0, chance.choice((15, 21)), 0.3,
                Prediction(chance.uniform(0.5, 5), 4), 5, tuple(started),
            )
        )  # fmt: skip
    total, at_machine = chance.choice((120, 260, 400)), chance.choice((60, 150, 400))

    plan = make(kinds, total, at_machine)

    best = 0.0
    for counts in product(range(6), repeat=3):
        if any(k.on_hand + n > k.most for k, n in zip(kinds, counts, strict=True) if n):
            continue
        rows = [_ladder(k, n) for k, n in zip(kinds, counts, strict=True)]
        if sum(r[1] for r in rows) <= total and sum(r[2] for r in rows) <= at_machine:
            best = max(best, sum(r[0] for r in rows))
    assert plan.value == pytest.approx(best, abs=1e-9)


def test_clock_and_custom_undo_each_other():
    weights = (0.4, 2.1, 1.5, 0.8, 0.7, 0.5)
    for share in np.linspace(0, 1, 41):
        clock = clock_of_share(float(share), weights)
        assert share_of_day(clock, 0, 1, weights) == pytest.approx(share, abs=1e-12)
