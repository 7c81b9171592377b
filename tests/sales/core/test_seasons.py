import pytest

from sales.core.demand import Rate
from sales.core.seasons import SeasonKind, plan_season, run_season


def kind(**facts):
    figures = {
        "name": "M", "rate": Rate(20, 10, 18, 9), "on_hand": 0, "minutes": 60, "price": 30,
        "cost": 9, "carried": 5, "last_day": 4,
    }  # fmt: skip
    return SeasonKind(**(figures | facts))


def test_the_plan_spends_no_more_minutes_than_there_are():
    plan = plan_season([kind()], [1.0] * 4, [130, 0, 50, 130])

    assert sum(plan.made[0]) <= 2
    spent = 0
    for made, given in zip(plan.made, (130, 130, 180, 310), strict=True):
        spent += 60 * sum(made)
        assert spent <= given


def test_a_kind_whose_season_is_over_is_not_made_again():
    plan = plan_season([kind(last_day=1)], [1.0] * 4, [600] * 4)

    assert [made[0] for made in plan.made][1:] == [0, 0, 0]
    assert plan.last_worth == (1,)


def test_stock_falls_towards_a_known_end_and_not_towards_an_open_one():
    days = [1.0] * 6
    ends = plan_season([kind(last_day=6)], days, [3000] * 6)
    open_ended = plan_season([kind(last_day=6, ends=False)], days, [3000] * 6)

    assert ends.expected[-1][0] < ends.expected[0][0]
    assert open_ended.expected[-1][0] >= ends.expected[-1][0]


def test_the_same_seed_draws_the_same_seasons():
    made = [(2,), (2,)]

    one = run_season([kind()], [1, 1], made, seasons=40, seed=3)

    assert run_season([kind()], [1, 1], made, seasons=40, seed=3) == one
    assert run_season([kind()], [1, 1], made, seasons=40, seed=4) != one


def test_pairs_are_sold_left_or_still_there_in_every_season():
    run = run_season([kind(on_hand=5)], [1.0] * 3, [(1,), (0,), (2,)], seasons=60)

    for sold, left in zip(
        (run.sold[0].low, run.sold[0].high), (run.left[0].high, run.left[0].low), strict=True
    ):
        assert sold + left == 8
    assert run.stock[-1] == run.left[0]


def test_stock_that_nobody_wants_any_more_stays():
    run = run_season([kind(on_hand=7, last_day=0)], [1.0], [(0,)], seasons=20)

    assert (run.sold[0].high, run.left[0].low) == (0, 7)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: plan_season([kind()], [1.0], [60, 60]), "one for each day"),
        (lambda: plan_season([kind()], [0], [60]), "factors"),
        (lambda: run_season([kind()], [1.0], [(0,)], seasons=5), "seasons"),
        (lambda: kind(cost=31), "cost"),
        (lambda: kind(carried=10), "carried"),
        (lambda: kind(minutes=0), "minutes"),
        (lambda: kind(keeping=-1), "keeping"),
    ],
)
def test_figures_out_of_range_are_named(call, message):
    with pytest.raises(ValueError, match=message):
        call()
