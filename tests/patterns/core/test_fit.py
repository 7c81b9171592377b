import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.core.feet import shoe_size
from patterns.core.fit import fit_range, turn_factor
from patterns.core.gauge import Gauge

SOCK_GAUGE = Gauge.per_inch(8, 11)


def test_fit_range_of_a_72_needle_sock():
    fits = fit_range(needles=72, foot_rows=64, gauge=SOCK_GAUGE, centre=12)

    low_mm, high_mm = fits.foot_mm
    assert fits.sock_foot_mm / 25.4 == pytest.approx(10.182, abs=0.0005)
    assert (low_mm, high_mm) == pytest.approx((258.6, 287.4), abs=0.06)
    sizes = [
        (shoe_size(system, low_mm), shoe_size(system, high_mm))
        for system in ("us_men", "us_women", "eu")
    ]
    assert sizes[0] == pytest.approx((8.55, 11.94), abs=0.006)
    assert sizes[1] == pytest.approx((10.05, 13.44), abs=0.006)
    assert sizes[2] == pytest.approx((40.8, 45.1), abs=0.06)
    assert [mm / 25.4 for mm in fits.ball_mm] == pytest.approx([9.0, 11.25])


def test_fit_range_of_an_84_needle_sock():
    fits = fit_range(needles=84, foot_rows=40, gauge=Gauge.per_inch(9, 10), centre=14)

    assert fits.sock_foot_mm / 25.4 == pytest.approx(9.6)
    assert fits.foot_mm == pytest.approx((243.8, 270.9), abs=0.06)
    sizes = [shoe_size("us_men", mm) for mm in fits.foot_mm]
    assert sizes == pytest.approx([6.8, 10.0], abs=0.01)


@given(st.integers(0, 300), st.sampled_from([36, 48, 54, 60, 64, 72, 80, 84, 96, 100]))
def test_more_foot_rows_fit_a_larger_foot(rows, needles):
    shorter = fit_range(needles=needles, foot_rows=rows, gauge=SOCK_GAUGE)
    longer = fit_range(needles=needles, foot_rows=rows + 1, gauge=SOCK_GAUGE)

    assert longer.foot_mm[0] > shorter.foot_mm[0]
    assert longer.foot_mm[1] > shorter.foot_mm[1]
    assert longer.ball_mm == shorter.ball_mm


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"needles": 71}, "needles is 71"),
        ({"foot_rows": -1}, "foot_rows is -1; allowed: a whole number, 0 to 5000"),
        ({"centre": 11}, "centre is 11"),
        ({"heel_factor": 2}, "heel_factor is 2"),
        ({"gauge": Gauge.per_inch(8, 11, "raw")}, "gauge.state is 'raw'"),
    ],
)
def test_fit_range_names_what_is_wrong(changes, message):
    known = {"needles": 72, "foot_rows": 64, "gauge": SOCK_GAUGE}

    with pytest.raises(ValueError, match=message):
        fit_range(**known | changes)


@given(st.floats(0.3, 1.3), st.integers(4, 120))
def test_turn_factor_is_learned_back_from_the_sock_it_made(factor, rows):
    sock_mm = fit_range(
        needles=72, foot_rows=rows, gauge=SOCK_GAUGE, heel_factor=factor, toe_factor=factor
    ).sock_foot_mm

    learned = turn_factor(sock_foot_mm=sock_mm, foot_rows=rows, needles=72, gauge=SOCK_GAUGE)

    assert learned == pytest.approx(factor)


def test_turn_factor_is_held_between_its_ends():
    known = {"foot_rows": 64, "needles": 72, "gauge": SOCK_GAUGE}

    assert turn_factor(sock_foot_mm=150, **known) == 0.3
    assert turn_factor(sock_foot_mm=400, **known) == 1.3
