from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sales.core.demand import Prediction
from sales.core.making import Kind, make, most_worth_holding


def a_kind(**changes):
    fields = {
        "name": "M",
        "machine_minutes": 50,
        "finish_minutes": 35,
        "on_hand": 0,
        "in_progress": 0,
        "gain": 18.0,
        "loss": 1.0,
        "demand": Prediction(4, 4),
    }
    return Kind(**(fields | changes))


kinds_strategy = st.lists(
    st.builds(
        Kind,
        name=st.just("kind"),
        machine_minutes=st.integers(0, 40),
        finish_minutes=st.integers(0, 20),
        on_hand=st.integers(0, 2),
        in_progress=st.integers(0, 2),
        gain=st.integers(0, 20),
        loss=st.integers(0, 3),
        demand=st.builds(Prediction, st.floats(0.2, 3), st.just(4.0)),
        most=st.one_of(st.none(), st.integers(0, 3)),
    ),
    max_size=3,
)


def worth_and_minutes(kind, count):
    worth = total = machine = 0
    for nth in range(1, count + 1):
        chance = kind.demand.at_least(kind.on_hand + nth)
        worth += kind.gain * chance - kind.loss * (1 - chance)
        started = nth <= kind.in_progress
        machine += 0 if started else kind.machine_minutes
        total += kind.finish_minutes + (0 if started else kind.machine_minutes)
    return worth, total, machine


@given(kinds_strategy, st.integers(0, 150), st.one_of(st.none(), st.integers(0, 100)))
@settings(max_examples=80, derandomize=True, database=None, deadline=None)
def test_no_plan_beats_make(kinds, minutes, machine_minutes):
    plan = make(kinds, minutes, machine_minutes)

    best = 0.0
    ranges = [range(8 if k.most is None else max(0, k.most - k.on_hand) + 1) for k in kinds]
    for counts in product(*ranges):
        parts = [worth_and_minutes(k, n) for k, n in zip(kinds, counts, strict=True)]
        worth, total, machine = (sum(p[i] for p in parts) for i in range(3))
        if total <= minutes and (machine_minutes is None or machine <= machine_minutes):
            best = max(best, worth)
    assert plan.value >= best - 1e-9
    assert plan.minutes <= minutes


def test_make_finishes_what_is_in_progress_first():
    plan = make([a_kind(in_progress=2)], minutes=35 + 35 + 85)

    assert plan.counts == (3,)
    assert plan.lines[0].to_finish == 2
    assert (plan.minutes, plan.machine_minutes) == (155, 50)


def test_make_with_no_machine_time_only_finishes():
    plan = make([a_kind(in_progress=1), a_kind(name="L")], minutes=600, machine_minutes=0)

    assert plan.counts == (1, 0)
    assert plan.machine_minutes == 0


def test_make_counts_pairs_on_hand_before_making_more():
    empty = make([a_kind()], minutes=2000).counts[0]

    assert make([a_kind(on_hand=3)], minutes=2000).counts == (empty - 3,)


def test_make_uses_a_minute_exactly():
    assert make([a_kind()], minutes=85).counts == (1,)
    assert make([a_kind()], minutes=84).counts == (0,)
    assert make([a_kind(machine_minutes=49)], minutes=84).counts == (1,)


def test_make_rounds_learned_minutes_up_and_time_left_down():
    assert make([a_kind(machine_minutes=49.2, finish_minutes=34.7)], minutes=84.9).counts == (0,)
    assert make([a_kind(machine_minutes=49.2, finish_minutes=34.7)], minutes=85.0).counts == (1,)


def test_make_value_is_the_sum_of_its_lines():
    plan = make([a_kind(), a_kind(name="L", machine_minutes=55)], minutes=500)

    assert plan.value == pytest.approx(sum(line.worth for line in plan.lines))
    assert plan.minutes == sum(line.minutes for line in plan.lines)
    assert plan.counts == tuple(line.count for line in plan.lines)


def test_make_lines_tell_the_pair_taken_and_the_pair_left_out():
    kind = a_kind(on_hand=1)

    (line,) = make([kind], minutes=2 * 85).lines

    assert [step.nth for step in line.steps] == [1, 2]
    assert line.steps[1].chance == kind.demand.at_least(3)
    assert line.steps[1].worth == pytest.approx(19 * kind.demand.at_least(3) - 1)
    assert line.next_step.nth == 3
    assert line.next_step.minutes == 85


def test_make_does_not_flicker_between_equal_kinds():
    kinds = [a_kind(name="first"), a_kind(name="second")]

    plans = {make(kinds, minutes=3 * 85).counts for _ in range(5)}

    assert len(plans) == 1
    assert sorted(plans.pop()) == [1, 2]


def test_make_beats_taking_the_best_per_minute():
    # Best per minute is the small one, which leaves no room for the two that fill the time.
    small = a_kind(
        name="small",
        machine_minutes=51,
        finish_minutes=0,
        gain=60,
        loss=0,
        demand=Prediction(0.9),
        most=1,
    )
    big = a_kind(
        name="big", machine_minutes=50, finish_minutes=0, gain=55, loss=0, demand=Prediction(8.0)
    )

    assert make([small, big], minutes=100).counts == (0, 2)


def test_make_with_no_time_or_no_kinds_makes_nothing():
    assert make([a_kind()], minutes=0).counts == (0,)
    empty = make([], minutes=300)
    assert (empty.counts, empty.value, empty.lines) == ((), 0, ())


def test_make_holds_no_more_than_the_season_can_take():
    plan = make([a_kind(on_hand=1, most=3)], minutes=5000)

    assert plan.counts == (2,)
    assert make([a_kind(on_hand=5, most=3)], minutes=5000).counts == (0,)


def test_make_late_in_the_season_stops_earlier():
    # Two market days ahead look the same in July and in the last week; the guard does not.
    kinds = [a_kind(gain=21, loss=0.2, most=most_worth_holding(Prediction(4, 8), 30, 9, 5))]
    unguarded = [a_kind(gain=21, loss=0.2)]

    assert make(kinds, 5000).counts[0] < make(unguarded, 5000).counts[0]


def test_make_leaves_pairs_in_progress_that_nobody_will_want():
    plan = make([a_kind(in_progress=9, demand=Prediction(0.5, 4))], minutes=5000)

    assert plan.counts[0] < 9


def test_make_takes_steps_that_cost_no_time():
    plan = make([a_kind(in_progress=2, finish_minutes=0)], minutes=0)

    assert plan.counts == (2,)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"machine_minutes": -1}, r"machine_minutes=-1 must be a number, 0 or more"),
        ({"finish_minutes": float("nan")}, r"finish_minutes=nan must be a number, 0 or more"),
        ({"on_hand": -1}, r"on_hand=-1 must be a whole number, 0 or more"),
        ({"in_progress": 0.5}, r"in_progress=0.5 must be a whole number, 0 or more"),
        ({"loss": -1}, r"loss=-1 must be a number, 0 or more"),
        ({"gain": float("inf")}, r"gain=inf must be a number"),
        ({"most": -1}, r"most=-1 must be a whole number, 0 or more"),
    ],
)
def test_kind_names_what_is_out_of_range(changes, message):
    with pytest.raises(ValueError, match=message):
        a_kind(**changes)


def test_make_names_minutes_out_of_range():
    with pytest.raises(ValueError, match=r"^minutes=-5 must be a number, 0 or more"):
        make([a_kind()], -5)
    with pytest.raises(ValueError, match=r"machine_minutes=-5 must be a number, 0 or more"):
        make([a_kind()], 5, -5)


def test_most_worth_holding_wants_price_over_cost_over_carried_worth():
    with pytest.raises(ValueError, match=r"cost=31 must be above 5 and below 30"):
        most_worth_holding(Prediction(4, 4), 30, 31, 5)
