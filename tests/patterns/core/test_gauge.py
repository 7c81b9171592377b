import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.core.gauge import (
    USUAL_LENGTH_SHRINK,
    USUAL_WIDTH_SHRINK,
    Gauge,
    fit_setting,
    gauge_from_count,
    loop_from_round_cm,
    loop_length_cm,
    relaxed,
    tightness,
)
from tests.patterns.loops import gauge_of_loop


@pytest.mark.parametrize(
    ("wales", "courses", "loop_cm"),
    [
        (6.5, 9, 1.5961),
        (7, 9.5, 1.4970),
        (8, 11, 1.3014),
        (8.5, 12, 1.2088),
        (9, 12, 1.1747),
        (10, 13.5, 1.0507),
    ],
)
def test_loop_length_follows_from_the_washed_gauge(wales, courses, loop_cm):
    gauge = Gauge.per_inch(wales, courses)

    assert loop_length_cm(gauge) == pytest.approx(loop_cm, abs=0.00006)


def test_loop_length_is_refused_for_a_raw_gauge():
    with pytest.raises(ValueError, match=r"gauge.state is 'raw'; allowed: 'washed'"):
        loop_length_cm(Gauge.per_inch(8, 11, "raw"))


def test_relaxed_gives_more_stitches_and_rows():
    # Raw 7.3 x 10 shrinking 9 % in width and 8 % in length washes to 8.02 x 10.87.
    washed = relaxed(Gauge.per_inch(7.3, 10, "raw"), 0.09, 0.08)

    assert washed.state == "washed"
    assert washed.wales_per_inch == pytest.approx(8.02, abs=0.005)
    assert washed.courses_per_inch == pytest.approx(10.87, abs=0.005)


def test_relaxed_refuses_what_was_washed_already():
    with pytest.raises(ValueError, match="has shrunk already"):
        relaxed(Gauge.per_inch(8, 11), 0.09, 0.08)


@pytest.mark.parametrize("shrink", [-0.01, 0.51, math.nan])
def test_relaxed_refuses_impossible_shrinkage(shrink):
    raw = Gauge.per_inch(8, 11, "raw")

    with pytest.raises(ValueError, match="width_shrink is"):
        relaxed(raw, shrink, 0.1)
    with pytest.raises(ValueError, match="length_shrink is"):
        relaxed(raw, 0.1, shrink)


def test_usual_shrinkage_is_dry_to_fully_relaxed_wool():
    assert pytest.approx(0.091, abs=0.0005) == USUAL_LENGTH_SHRINK
    assert pytest.approx(0.095, abs=0.0005) == USUAL_WIDTH_SHRINK


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((7, 40), "wales_per_10cm is 7; allowed: 8 to 80"),
        ((30, 121), "courses_per_10cm is 121; allowed: 8 to 120"),
        ((30, 40, "wet"), "state is 'wet'; allowed: raw, washed"),
    ],
)
def test_gauge_refuses_what_no_tube_has(arguments, message):
    with pytest.raises(ValueError, match=message):
        Gauge(*arguments)


def test_gauge_per_inch_catches_a_count_per_ten_centimetres():
    with pytest.raises(ValueError, match=r"wales is 31; allowed: 2.032 to 20.32 per inch"):
        Gauge.per_inch(31, 43)


@given(st.floats(2.04, 20.3), st.floats(2.04, 30.4))
def test_gauge_per_inch_goes_round(wales, courses):
    gauge = Gauge.per_inch(wales, courses)

    assert gauge.wales_per_inch == pytest.approx(wales)
    assert gauge.courses_per_inch == pytest.approx(courses)
    assert gauge.wales_per_10cm == pytest.approx(wales * 3.937, rel=1e-4)


def test_gauge_from_count_is_per_ten_centimetres():
    # 8 per inch counted over 4 in.
    assert gauge_from_count(32, 101.6) == pytest.approx(31.496, abs=0.001)
    with pytest.raises(ValueError, match="over_mm is 0"):
        gauge_from_count(32, 0)
    with pytest.raises(ValueError, match="stitches is 0"):
        gauge_from_count(0, 100)


@given(st.floats(0.7, 4))
def test_loop_length_is_the_way_back_from_a_gauge_of_that_loop(loop_cm):
    # kc x kw and ks are the same constant: 5.5 x 4.2 = 23.1.
    assert loop_length_cm(gauge_of_loop(loop_cm)) == pytest.approx(loop_cm)


@pytest.mark.parametrize(
    ("wales", "courses", "tex", "factor"),
    [(6.5, 9, 250, 9.91), (6.5, 9, 400, 12.53), (8, 11, 250, 12.15), (10, 13.5, 250, 15.05)],
)
def test_tightness_of_usual_socks(wales, courses, tex, factor):
    loop_cm = loop_length_cm(Gauge.per_inch(wales, courses))

    assert tightness(tex, loop_cm) == pytest.approx(factor, abs=0.006)


def test_loop_from_round_divides_by_the_needles():
    assert loop_from_round_cm(93.7, 72) == pytest.approx(1.3014, abs=0.0001)
    with pytest.raises(ValueError, match=r"round_cm / needles is 0.01"):
        loop_from_round_cm(1, 100)
    with pytest.raises(ValueError, match="round_cm is None; allowed: 1 to 2000 cm"):
        loop_from_round_cm(None, 72)


@given(st.floats(0.8, 1.6), st.floats(0.02, 0.2), st.integers(2, 6))
def test_fit_setting_finds_the_line_its_bands_lie_on(intercept, slope, bands):
    turns = [0.5 * step for step in range(bands)]

    line = fit_setting(turns, [intercept + slope * turn for turn in turns])

    assert line.intercept_cm == pytest.approx(intercept)
    assert line.slope_cm == pytest.approx(slope)
    assert line.turns == (0, turns[-1])
    assert line.turns_for(line.loop_cm(1.25)) == pytest.approx(1.25)


def test_fit_setting_averages_what_does_not_lie_on_a_line():
    # By hand: mean turns 1, mean loop 1.2; slope (0.1 + 0.2) / 2, intercept 1.05.
    line = fit_setting([0, 1, 2], [1.1, 1.1, 1.4])

    assert line.slope_cm == pytest.approx(0.15)
    assert line.intercept_cm == pytest.approx(1.05)


@pytest.mark.parametrize(
    ("turns", "loops", "message"),
    [
        ([0, 1], [1.2], "loop_lengths has 1 values"),
        ([1, 1], [1.2, 1.3], "turns has 1 different settings"),
        ([0, math.inf], [1.2, 1.3], "turns is inf"),
        ([0, 1], [12, 13], "loop_lengths is 12; allowed: 0.1 to 10 cm"),
    ],
)
def test_fit_setting_refuses_bands_without_a_line(turns, loops, message):
    with pytest.raises(ValueError, match=message):
        fit_setting(turns, loops)


def test_a_flat_setting_line_cannot_choose_a_setting():
    line = fit_setting([0, 1], [1.2, 1.2])

    with pytest.raises(ValueError, match="slope_cm is 0"):
        line.turns_for(1.3)
