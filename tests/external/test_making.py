"""The make plan against a solver of integer programs, and against a season solved whole."""

import random
from math import inf

import numpy as np
import pytest
from scipy import stats
from scipy.optimize import Bounds, LinearConstraint, milp

from sales.core.demand import Prediction
from sales.core.making import Kind, make, most_worth_holding

FOUR_SIZES = [
    Kind("S", 45, 35, 1, 0, 18, 1, Prediction(1.6, 4)),
    Kind("M", 50, 35, 1, 2, 18, 1, Prediction(4, 4)),
    Kind("L", 55, 40, 0, 0, 18, 1, Prediction(6, 4)),
    Kind("XL", 60, 45, 1, 1, 20, 1, Prediction(2.4, 4)),
]


def solver_value(kinds, minutes, machine_minutes):
    """Return the best worth by scipy.optimize.milp (HiGHS), each further pair a 0/1 item."""
    items = []
    for kind in kinds:
        for nth in range(1, 31):
            chance = kind.demand.at_least(kind.on_hand + nth)
            machine = 0 if nth <= kind.in_progress else kind.machine_minutes
            worth = kind.gain * chance - kind.loss * (1 - chance)
            items.append((worth, machine + kind.finish_minutes, machine))
    table = np.array(items)
    limits = [minutes, inf if machine_minutes is None else machine_minutes]
    found = milp(
        -table[:, 0],
        constraints=LinearConstraint(table[:, 1:].T, ub=limits),
        bounds=Bounds(0, 1),
        integrality=np.ones(len(items)),
        options={"mip_rel_gap": 0},
    )
    return -found.fun


def random_kind(rng, name, unit):
    return Kind(
        name=name,
        machine_minutes=unit * rng.randint(20 // unit, 80 // unit),
        finish_minutes=unit * rng.randint(5 // unit, 50 // unit),
        on_hand=rng.randint(0, 3),
        in_progress=rng.randint(0, 3),
        gain=rng.uniform(5, 25),
        loss=rng.choice([0, 0.5, 1, 3]),
        demand=Prediction(rng.uniform(0.3, 6), rng.choice([0.7, 2, 4, inf])),
    )


@pytest.mark.parametrize(
    ("minutes", "machine_minutes", "counts", "value"),
    [
        (300, None, (0, 3, 1, 1), 63.9090),
        (600, None, (0, 2, 5, 1), 109.1320),
        (1200, None, (1, 4, 7, 2), 152.8520),
        (900, 300, (0, 2, 5, 1), 109.1320),
    ],
)
def test_make_equals_the_solver_on_four_sizes(minutes, machine_minutes, counts, value):
    plan = make(FOUR_SIZES, minutes, machine_minutes)

    assert plan.counts == counts
    assert plan.value == pytest.approx(value, abs=5e-5)
    assert plan.value == pytest.approx(solver_value(FOUR_SIZES, minutes, machine_minutes), abs=1e-7)


@pytest.mark.parametrize("unit", [1, 5])
@pytest.mark.parametrize("limited", [False, True])
def test_make_equals_the_solver_on_random_weeks(unit, limited):
    rng = random.Random(100 * unit + limited)
    for _ in range(60):
        kinds = [random_kind(rng, str(i), unit) for i in range(rng.randint(1, 7))]
        minutes = rng.randint(0, 1500)
        machine_minutes = rng.randint(0, minutes) if limited else None

        plan = make(kinds, minutes, machine_minutes)

        # HiGHS stops within its own feasibility tolerance.
        assert plan.value == pytest.approx(solver_value(kinds, minutes, machine_minutes), abs=1e-6)
        assert plan.minutes <= minutes
        assert machine_minutes is None or plan.machine_minutes <= machine_minutes


def test_make_equals_the_solver_on_many_kinds():
    rng = random.Random(7)
    kinds = [random_kind(rng, str(i), 1) for i in range(40)]

    assert make(kinds, 2403, 1001).value == pytest.approx(solver_value(kinds, 2403, 1001), abs=1e-6)


def best_levels(weeks, price, cost, keeping, carried, room=26):
    """Return the best stock before each market, first to last, by backward induction."""
    masses = [stats.nbinom.pmf(k, 4, 4 / 6) for k in range(120)]
    value = [carried * stock for stock in range(room + 1)]
    levels = []
    for _ in range(weeks):
        after = []
        for stock in range(room + 1):
            total = 0.0
            for demand, mass in enumerate(masses):
                sold = min(stock, demand)
                total += mass * (price * sold - keeping * (stock - sold) + value[stock - sold])
            after.append(total - cost * stock)
        level = max(range(room + 1), key=after.__getitem__)
        levels.append(level)
        # Pairs already on hand are worth their cost until the level is passed.
        value = [
            max(after[s] for s in range(stock, room + 1)) + cost * stock
            for stock in range(room + 1)
        ]
    return levels[::-1]


def test_most_worth_holding_is_never_below_the_season_solved_whole():
    # NB(4, mean 2) a week, price 30, cost 9, keeping .2, worth 5 next year.
    levels = best_levels(6, 30, 9, 0.2, 5)

    assert levels == [7, 7, 7, 6, 5, 4]
    for weeks_left, level in zip(range(6, 0, -1), levels, strict=True):
        # Independent weeks add up to NB(4 n, 2 n).
        rest = Prediction(2 * weeks_left, 4 * weeks_left)
        assert level <= most_worth_holding(rest, 30, 9, 5)


def test_most_worth_holding_equals_scipy_quantiles():
    for weeks_left, expected in [(1, 4), (2, 6), (3, 9), (6, 16)]:
        rest = Prediction(2 * weeks_left, 4 * weeks_left)

        assert most_worth_holding(rest, 30, 9, 5) == expected
        assert stats.nbinom.ppf(21 / 25, 4 * weeks_left, 4 / 6) == expected
