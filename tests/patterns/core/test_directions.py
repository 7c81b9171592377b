"""Readings of old directions."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.core.choice import foot_for_sock_mm, wanted_sock_foot_mm
from patterns.core.directions import foot_readings, leg_readings
from patterns.core.fit import COVERS
from patterns.core.gauge import Gauge

GAUGE = Gauge.per_inch(8, 11)


@given(
    needles=st.integers(6, 100).map(lambda half: 2 * half),
    count=st.integers(1, 300),
    wales=st.floats(4, 14),
)
def test_foot_readings_never_promise_a_sock_that_cannot_be(needles, count, wales):
    readings = foot_readings(needles=needles, count=count, gauge=Gauge.per_inch(wales, wales * 1.4))

    assert tuple(reading.covers for reading in readings) == COVERS
    for reading in readings:
        assert (reading.fit is None) == (reading.foot_rows < 0)
        assert not reading.usual or reading.sane
        assert not reading.sane or reading.foot_mm is not None
        assert reading.why


def test_leg_readings_take_the_heel_off_the_count():
    # 36 needles turn in 24 passes, of which 12 lie along the leg (common practice).
    alone, with_heel = leg_readings(needles=36, count=50, gauge=GAUGE)

    assert (alone.leg_rows, with_heel.leg_rows) == (50, 26)
    assert alone.height_mm / 25.4 == pytest.approx(62 / 11)
    assert with_heel.height_mm / 25.4 == pytest.approx(38 / 11)


@given(st.floats(60, 400))
def test_the_foot_for_a_sock_is_the_way_back_of_the_sock_for_a_foot(foot_mm):
    assert foot_for_sock_mm(wanted_sock_foot_mm(foot_mm)) == pytest.approx(foot_mm, abs=1e-6)


@pytest.mark.parametrize(
    ("changed", "names"),
    [({"needles": 37}, "needles is 37"), ({"count": 0}, "count is 0"), ({"centre": 7}, "centre")],
)
def test_readings_refuse_what_no_machine_does(changed, names):
    with pytest.raises(ValueError, match=names):
        foot_readings(**{"needles": 36, "count": 65, "gauge": GAUGE} | changed)


def test_readings_refuse_a_raw_gauge():
    with pytest.raises(ValueError, match="washed"):
        foot_readings(needles=36, count=65, gauge=Gauge.per_inch(8, 11, state="raw"))
