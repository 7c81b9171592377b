import pytest

from production.core import flow


def test_learned_minutes_waits_for_enough():
    assert flow.learned_minutes([5] * 7, 8.75) == 8.75
    assert flow.learned_minutes([5, 5, 5, 5, 7, 7, 7, 90], 8.75) == 6
    assert flow.learned_minutes([3, 4, 9], 8.75, enough=3) == 4


def test_age_flag_waits_for_enough():
    assert flow.age_flag_days([1] * 7, 21) == 21
    assert flow.age_flag_days([4] * 8, 21) == 4


@pytest.mark.parametrize(
    ("waiting", "to_market", "wash"), [(8, 9, True), (7, 9, False), (3, 2, True), (0, 1, False)]
)
def test_wash_when_full_or_when_the_market_is_near(waiting, to_market, wash):
    assert flow.wash_now(waiting, 8, to_market, 3) is wash


def test_an_empty_queue_is_clear_even_without_time():
    assert flow.clear_time(0, 35, 0, 3).days == 0


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: flow.time_in_system(5, 0), "per_day"),
        (lambda: flow.time_in_system(-1, 2), "waiting"),
        (lambda: flow.time_in_system(float("inf"), 2), "waiting"),
        (lambda: flow.clear_time(5, 0, 90), "minutes_each"),
        (lambda: flow.clear_time(5, 35, float("nan")), "minutes_a_day"),
        (lambda: flow.batch_wait(0, 2), "size"),
        (lambda: flow.batch_wait(8, 0), "arrivals_a_day"),
        (lambda: flow.wash_now(1, 0, 1, 1), "full_load"),
        (lambda: flow.learned_minutes([-1], 5), "values"),
        (lambda: flow.learned_minutes([], 5, enough=0), "enough"),
        (lambda: flow.age_flag_days([-1], 5), "cycle_days"),
    ],
)
def test_numbers_that_cannot_be_are_refused_by_name(call, name):
    with pytest.raises(ValueError, match=name):
        call()
