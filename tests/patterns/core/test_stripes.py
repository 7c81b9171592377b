import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.core.gauge import Gauge, loop_length_cm
from patterns.core.stripes import (
    cuff_rounds,
    discard_m,
    pair_need_m,
    round_m,
    rounds_per_repeat,
)

LOOP_CM = loop_length_cm(Gauge.per_inch(8, 11))


@pytest.mark.parametrize(
    ("repeat_m", "needles", "rounds"),
    # Long and short dyed sections of 10.5 and 5.25 m, and a whole repeat of 26.25 m.
    [
        (10.5, 54, 14.94),
        (5.25, 54, 7.47),
        (10.5, 60, 13.45),
        (10.5, 64, 12.61),
        (5.25, 64, 6.30),
        (10.5, 72, 11.21),
        (10.5, 80, 10.09),
        (26.25, 64, 31.52),
    ],
)
def test_rounds_per_repeat(repeat_m, needles, rounds):
    assert rounds_per_repeat(repeat_m, needles, LOOP_CM) == pytest.approx(rounds, abs=0.0051)


@pytest.mark.parametrize(
    ("used_m", "repeat_m", "discarded_m"),
    [
        (117.33, 26.25, 13.92),
        (117.33, 14, 8.67),
        (93.28, 26.25, 11.72),
        (52.5, 26.25, 0),
        (0, 9, 0),
    ],
)
def test_discard_brings_the_second_sock_to_the_same_colour(used_m, repeat_m, discarded_m):
    assert discard_m(used_m, repeat_m) == pytest.approx(discarded_m, abs=0.0051)


@given(st.floats(0, 1000), st.floats(0.01, 200))
def test_discard_is_always_less_than_a_repeat(used_m, repeat_m):
    discarded_m = discard_m(used_m, repeat_m)

    repeats = (used_m + discarded_m) / repeat_m
    assert 0 <= discarded_m < repeat_m
    assert repeats == pytest.approx(round(repeats), abs=1e-6)


def test_the_discard_can_go_into_a_longer_cuff():
    assert cuff_rounds(13.92, 64, LOOP_CM) == pytest.approx(16.7, abs=0.02)
    assert pair_need_m(117.33, 26.25) == pytest.approx(2 * 117.33 + 13.92)
    assert round_m(64, LOOP_CM) == pytest.approx(0.8329, abs=0.00006)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: discard_m(-1, 10), "used_m is -1"),
        (lambda: discard_m(10, 0), "repeat_m is 0"),
        (lambda: rounds_per_repeat(10, 63, 1.3), "needles is 63"),
        (lambda: rounds_per_repeat(10, 64, 13), "loop_cm is 13; allowed: 0.1 to 10 cm"),
    ],
)
def test_stripes_name_what_is_out_of_range(call, message):
    with pytest.raises(ValueError, match=message):
        call()
