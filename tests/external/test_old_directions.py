"""Old directions against what makers know of the socks they make (common practice)."""

import pytest

from patterns.core.bounds import MM_PER_INCH
from patterns.core.directions import foot_readings, leg_readings
from patterns.core.feet import foot_length_mm
from patterns.core.gauge import Gauge
from patterns.core.rowplan import plan_sock

SOCK_GAUGE = Gauge.per_inch(8, 11)


def test_leg_50_and_foot_65_on_36_needles_is_a_very_small_sock():
    # Common practice. At 8 x 11 per inch it is one only when the 65 count heel, foot and
    # toe (17 foot rows, a 3.73 in sock); as foot rows alone the tube would be 8.1 in long
    # and 4 1/2 in around, which is no foot.
    foot, with_toe, with_all = foot_readings(needles=36, count=65, gauge=SOCK_GAUGE)

    assert [r.foot_rows for r in (foot, with_toe, with_all)] == [65, 41, 17]
    assert with_all.usual
    assert with_all.fit.sock_foot_mm / MM_PER_INCH == pytest.approx(41 / 11)
    # A baby's US child 1 to 3: 3.56 to 4.22 in of foot.
    assert with_all.foot_mm < foot_length_mm("us_child", 3)
    assert not foot.sane
    assert "far too narrow" in foot.why
    assert with_toe.sane
    assert not with_toe.usual


def test_a_coarse_gauge_makes_another_reading_the_sane_one():
    # Common practice: one machine makes other sizes by stitch size and yarn alone. At 5 x 7
    # per inch, foot and toe is the reading that fits: a 9.3 in foot, 7.2 in around.
    foot, with_toe, with_all = foot_readings(needles=36, count=65, gauge=Gauge.per_inch(5, 7))

    assert [r.usual for r in (foot, with_toe, with_all)] == [False, True, False]
    assert with_toe.fit.sock_foot_mm / MM_PER_INCH == pytest.approx(65 / 7)


def test_the_sane_reading_plans_to_exactly_its_rows():
    reading = foot_readings(needles=36, count=65, gauge=SOCK_GAUGE)[2]
    leg = leg_readings(needles=36, count=50, gauge=SOCK_GAUGE)[1]

    plan = plan_sock(
        foot_length_mm=reading.foot_mm,
        ball_mm=reading.fit.ball_mm[0] / 0.9,
        height_mm=leg.height_mm,
        gauge=SOCK_GAUGE,
        cylinders=[36],
        tex=250,
    )

    assert (plan.leg_rows, plan.foot_rows) == (26, 17)


def test_one_machine_goes_from_a_baby_to_a_mans_16():
    # Common practice: needles, stitch size and yarn together span the range.
    cylinders = (36, 48, 54, 60, 64, 72, 80, 84)

    def plan(foot_mm, ball_in, height_in, gauge, tex):
        return plan_sock(
            foot_length_mm=foot_mm,
            ball_mm=ball_in * MM_PER_INCH,
            height_mm=height_in * MM_PER_INCH,
            gauge=gauge,
            cylinders=cylinders,
            tex=tex,
        )

    baby = plan(foot_length_mm("us_child", 1), 4.5, 2.5, SOCK_GAUGE, 250)
    large = plan(foot_length_mm("us_men", 16), 11.36, 8.5, SOCK_GAUGE, 250)
    coarse = plan(foot_length_mm("us_men", 16), 11.36, 8.5, Gauge.per_inch(6.5, 9), 400)
    assert (baby.needles, large.needles) == (36, 80)
    assert coarse.needles < large.needles
    assert coarse.sock_foot_mm == pytest.approx(large.sock_foot_mm, rel=0.01)
