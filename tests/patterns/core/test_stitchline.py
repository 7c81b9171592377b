"""What a yarn does at each stitch setting."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.core.gauge import Gauge, loop_length_cm
from patterns.core.stitchline import Band, fit_bands
from tests.patterns.loops import gauge_of_loop


def bands(*loops, first=1.0):
    gauges = [gauge_of_loop(loop) for loop in loops]
    return [Band(first + turns, gauge, loop_length_cm(gauge)) for turns, gauge in enumerate(gauges)]


def test_the_line_gives_back_what_was_measured():
    # Loops of 1.2, 1.3 and 1.4 cm at 1, 2 and 3 turns lie on one line by construction.
    line = fit_bands(bands(1.2, 1.3, 1.4))

    reading = line.at(2)

    assert reading.loop_cm == pytest.approx(1.3)
    assert reading.gauge.wales_per_10cm == pytest.approx(42 / 1.3)
    assert reading.gauge.courses_per_10cm == pytest.approx(55 / 1.3)
    assert reading.tried


@pytest.mark.parametrize(("turns", "tried"), [(0.9, False), (1, True), (3, True), (3.1, False)])
def test_settings_outside_the_swatches_are_not_tried(turns, tried):
    assert fit_bands(bands(1.2, 1.3, 1.4)).at(turns).tried is tried


@given(st.floats(1.0, 1.3), st.floats(1.31, 1.8), st.floats(24, 44))
def test_a_wanted_gauge_and_its_setting_are_each_others_way_back(tight, loose, wales):
    line = fit_bands(bands(tight, loose))

    reading = line.for_wales(wales)

    assert reading.gauge.wales_per_10cm == pytest.approx(wales)
    assert line.at(reading.turns).loop_cm == pytest.approx(reading.loop_cm)
    assert line.for_courses(reading.gauge.courses_per_10cm).turns == pytest.approx(reading.turns)


def test_a_measured_loop_replaces_the_constant():
    # Unravelled loops 5 % longer than the gauge tells make rib-like kw and kc 5 % larger.
    plain = fit_bands(bands(1.2, 1.4))
    longer = [Band(b.turns, b.gauge, 1.05 * b.loop_cm) for b in bands(1.2, 1.4)]

    line = fit_bands(longer)

    assert line.kw == pytest.approx(1.05 * plain.kw)
    assert line.at(1.5).gauge.wales_per_10cm == pytest.approx(plain.at(1.5).gauge.wales_per_10cm)


def test_one_setting_makes_no_line():
    gauge = Gauge.per_inch(8, 11)
    with pytest.raises(ValueError, match="1 different settings"):
        fit_bands([Band(1, gauge, 1.3), Band(1, gauge, 1.31)])


def test_a_raw_swatch_is_no_band():
    with pytest.raises(ValueError, match="washed"):
        Band(1, Gauge.per_inch(8, 11, state="raw"), 1.3)
