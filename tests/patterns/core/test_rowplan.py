import timeit

import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.core.choice import wanted_sock_foot_mm
from patterns.core.fit import fit_range
from patterns.core.gauge import Gauge
from patterns.core.rowplan import plan_sock

SOCK_GAUGE = Gauge.per_inch(8, 11)
CYLINDERS = (36, 48, 54, 60, 64, 72, 80, 84, 96, 100)


def plan(foot_mm=270.9, ball_in=9.85, height_in=8.0, **changes):
    asked = {
        "foot_length_mm": foot_mm,
        "ball_mm": ball_in * 25.4,
        "height_mm": height_in * 25.4,
        "gauge": SOCK_GAUGE,
        "cylinders": CYLINDERS,
        "tex": 250,
    }
    return plan_sock(**asked | changes)


# Worked by hand from the formulas: washed gauge 8 x 11 per inch, 250 tex, ease 0.10.
WORKED = [
    # foot mm, ball in, height in, needles, centre, passes, circ in, ease, wanted foot in
    # then leg, heel, foot, toe, total, loops, m a pair, g a pair, machine min
    (90.3, 4.50, 2.5, 36, 6, 12, 4.5, 0.000, 3.378, 16, 24, 13, 24, 77, 1620, 42.2, 10.5, 38.7),
    (149.6, 6.00, 4.5, 48, 8, 16, 6.0, 0.000, 5.594, 34, 32, 30, 32, 128, 4096, 106.6, 26.7, 45.3),
    (224.4, 8.47, 6.5, 60, 10, 20, 7.5, 0.115, 8.392, 52, 40, 52, 40, 184, 7840, 204.1, 51.0, 52.3),
    (245.5, 9.09, 7.0, 64, 10, 22, 8.0, 0.120, 9.183, 55, 44, 57, 44, 200, 9016, 234.7, 58.7, 54.9),
    (
        *(270.9, 9.85, 8.0, 72, 12, 24, 9.0, 0.086, 10.167),
        *(64, 48, 64, 48, 224, 11520, 299.8, 75.0, 58.1),
    ),
    (
        *(321.7, 11.36, 8.5, 80, 14, 26, 10.0, 0.120, 12.167),
        *(68, 52, 82, 52, 254, 14808, 385.4, 96.4, 61.7),
    ),
]


@pytest.mark.parametrize("row", WORKED, ids=["C1", "C8", "W6", "W8.5", "M10", "M16"])
def test_plan_sock_gives_the_worked_rows(row):
    foot_mm, ball_in, height_in, needles, centre, passes, circ_in, ease, wanted_in, *rest = row
    leg, heel, foot, toe, total, loops, metres, grams, minutes = rest

    sock = plan(foot_mm, ball_in, height_in)

    assert (sock.needles, sock.turn.centre, sock.turn.passes) == (needles, centre, passes)
    assert (sock.leg_rows, sock.heel_rows, sock.foot_rows, sock.toe_rows) == (leg, heel, foot, toe)
    assert (sock.total_rows, sock.loops) == (total, loops)
    assert sock.circumference_mm / 25.4 == pytest.approx(circ_in, abs=1e-9)
    assert sock.ease == pytest.approx(ease, abs=0.0005)
    assert wanted_sock_foot_mm(foot_mm) / 25.4 == pytest.approx(wanted_in, abs=0.002)
    assert sock.loop_cm == pytest.approx(1.3014, abs=0.00005)
    assert 2 * sock.metres == pytest.approx(metres, abs=0.051)
    assert 2 * sock.grams == pytest.approx(grams, abs=0.051)
    assert sock.machine_minutes == pytest.approx(minutes, abs=0.051)
    assert sock.seam_minutes == 17.5


def test_plan_sock_names_the_runner_up_and_why():
    sock = plan(321.7, 11.36, 8.5)

    reasons = {one.needles: one.reason for one in sock.considered}
    assert sock.runner_up == 84
    assert reasons[80] == "chosen: 1.8 needles from the wanted circumference"
    assert reasons[84] == "second best: 2.2 needles from the wanted circumference"
    assert [one.needles for one in sock.considered] == sorted(CYLINDERS)


def test_plan_sock_has_no_runner_up_on_one_cylinder():
    assert plan(cylinders=[72, 72]).runner_up is None


def test_plan_sock_takes_the_smaller_of_two_equally_near():
    # 9 in at ease 0 wants 72 needles: 70 and 74 are two off each.
    sock = plan(ball_in=9.0, ease=0, cylinders=[74, 70])

    assert (sock.needles, sock.runner_up) == (70, 74)


def test_plan_sock_passes_over_a_cylinder_too_big_for_a_baby():
    sock = plan(90.3, 4.5, 2.5, cylinders=[36, 60])

    (reason,) = (one.reason for one in sock.considered if one.needles == 60)
    assert sock.needles == 36
    assert sock.runner_up is None
    assert "-3 foot rows" in reason


def test_plan_sock_refuses_when_no_cylinder_is_left():
    with pytest.raises(ValueError, match=r"cylinders is 60, 64; none can make this sock"):
        plan(90.3, 4.5, 2.5, cylinders=[60, 64])


def test_plan_sock_refuses_a_sock_lower_than_its_heel():
    with pytest.raises(ValueError, match="heel of 72 needles alone is higher than this sock"):
        plan(height_in=1.0, cylinders=[72])


def test_plan_sock_counts_a_hem_in_yarn_but_not_in_height():
    plain, hemmed = plan(), plan(hem_rows=10)

    # 11 more rounds (10 inside and the turning row) of 72 stitches.
    assert hemmed.total_rows == plain.total_rows
    assert hemmed.sock_height_mm == plain.sock_height_mm
    assert hemmed.loops - plain.loops == 72 * 11
    assert hemmed.machine_minutes - plain.machine_minutes == pytest.approx(2 * 11 * 2 / 60)
    assert [part.name for part in hemmed.sections] == ["hem", "leg", "heel", "foot", "toe"]
    assert hemmed.sections[0].rows == 21


def test_plan_sock_hung_hem_takes_the_known_extra_yarn():
    # N 64, k 10: 704 loops, 9.16 m.
    plain, hemmed = plan(245.5, 9.09, 7.0), plan(245.5, 9.09, 7.0, hem_rows=10)

    assert hemmed.loops - plain.loops == 704
    assert hemmed.metres - plain.metres == pytest.approx(9.16, abs=0.005)


def test_plan_sock_refuses_a_hem_longer_than_the_leg():
    with pytest.raises(ValueError, match="hem_rows is 65; allowed: 0 to the leg's 64 rows"):
        plan(hem_rows=65)


def test_sections_add_up_to_the_sock():
    sock = plan(hem_rows=8)

    assert sum(part.loops for part in sock.sections) == sock.loops
    assert sum(part.metres for part in sock.sections) == pytest.approx(sock.metres)
    assert sum(part.grams for part in sock.sections) == pytest.approx(sock.grams)
    assert sum(part.rows for part in sock.sections) == sock.total_rows + 8 + 1


def test_graft_tail_is_its_own_figure():
    # N 64: 32 stitches of 1.3014 cm and 20 cm to hold.
    assert plan(245.5, 9.09, 7.0).graft_tail_cm == pytest.approx(62, abs=0.5)


def test_a_heel_that_gives_less_length_leaves_more_foot_rows():
    sock = plan(heel_factor=0.5, toe_factor=0.75)

    # Wanted 10.165 in = 111.8 rows; 12 of the heel's 24 and 18 of the toe's count.
    assert sock.foot_rows == 82
    assert sock.leg_rows == 88 - 12
    assert sock.sock_foot_mm == pytest.approx((12 + 82 + 18) / 11 * 25.4)


def test_own_centres_and_a_deep_heel_change_both_turns():
    sock = plan(centre=10, toe_centre=14, deep_heel=2)

    assert (sock.turn.held, sock.turn.centre, sock.turn.passes) == (38, 10, 28)
    assert (sock.toe_turn.held, sock.toe_turn.centre, sock.toe_turn.passes) == (36, 14, 22)
    assert sock.foot_rows == 112 - 28 - 22


def test_a_centre_that_does_not_suit_a_cylinder_passes_it_over():
    # 54 needles hold 27: an even centre cannot be reached in equal steps.
    sock = plan(245.5, 9.09, 7.0, centre=10, cylinders=[54, 64])

    assert sock.needles == 64
    assert "27 are held" in sock.considered[0].reason


def test_a_measured_loop_replaces_the_computed_one():
    sock = plan(loop_cm=1.4)

    assert sock.loop_cm == 1.4
    assert sock.metres == pytest.approx(11520 * 0.014)


def test_half_a_row_per_inch_moves_a_sock_by_more_than_a_shoe_size():
    # The worked sensitivity: 101 rows at 10.5 or 11.5 instead of 11 per inch.
    rows = plan(245.5, 9.09, 7.0).foot_rows

    lengths = [
        fit_range(needles=64, foot_rows=rows, gauge=Gauge.per_inch(8, courses)).sock_foot_mm / 25.4
        for courses in (10.5, 11, 11.5)
    ]
    assert lengths == pytest.approx([9.62, 9.18, 8.78], abs=0.005)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"foot_mm": 59}, "foot_length_mm is 59; allowed: 60 to 400 mm"),
        ({"foot_mm": float("nan")}, "foot_length_mm is nan"),
        ({"ball_in": 20}, "ball_mm is .*; allowed: 60 to 450 mm"),
        ({"height_in": 0.5}, "height_mm is 12.7; allowed: 20 to 600 mm"),
        ({"tex": 5}, "tex is 5; allowed: 10 to 2000"),
        ({"ease": 0.26}, "ease is 0.26; allowed: 0 to 0.25"),
        ({"ease": -0.01}, "ease is -0.01"),
        ({"ks": 231}, "ks is 231; allowed: 10 to 40"),
        ({"hem_rows": -1}, "hem_rows is -1"),
        ({"hem_rows": 2.5}, "hem_rows is 2.5; allowed: a whole number"),
        ({"heel_factor": 1.4}, "heel_factor is 1.4; allowed: 0.3 to 1.3"),
        ({"toe_factor": 0.2}, "toe_factor is 0.2"),
        ({"loop_cm": 0}, "loop_cm is 0"),
        ({"cylinders": []}, "cylinders is empty"),
        ({"cylinders": [71]}, "cylinders is 71; allowed: an even number, 12 to 200"),
        ({"cylinders": [202]}, "cylinders is 202"),
        ({"deep_heel": 3}, "deep_heel is 3; allowed: 0, 2 or 4"),
        ({"gauge": Gauge.per_inch(8, 11, "raw")}, "gauge.state is 'raw'; allowed: 'washed'"),
    ],
)
def test_plan_sock_names_what_is_out_of_range(changes, message):
    with pytest.raises(ValueError, match=message):
        plan(**changes)


def test_a_rib_cuff_takes_rows_and_yarn_of_its_own():
    # 2 in of rib at 9 rows per inch are 18 rounds; 6 in of plain at 11 are 66, less the heel.
    sock = plan(cuff_mm=50.8, cuff_courses_per_10cm=900 / 25.4, cuff_yarn_share=0.8)

    cuff, leg = sock.sections[:2]
    assert (cuff.name, cuff.rows, leg.name, leg.rows) == ("cuff", 18, "leg", 66 - 24)
    assert (sock.cuff_rows, sock.leg_rows) == (18, 60)
    assert cuff.metres == pytest.approx(18 * 72 * 0.013014 * 0.8, rel=1e-4)
    assert sock.sock_height_mm == pytest.approx(8 * 25.4)


def test_a_cuff_without_its_own_gauge_is_counted_like_the_leg():
    plain, cuffed = plan(), plan(cuff_mm=50.8)

    assert cuffed.cuff_rows == 22
    assert cuffed.leg_rows == plain.leg_rows
    assert cuffed.metres == pytest.approx(plain.metres)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"cuff_mm": 50, "hem_rows": 5}, "hem_rows is 5; allowed: 0 with a cuff"),
        ({"cuff_mm": 300}, "cuff_mm is 300; allowed: 0 to 203.2 mm"),
        ({"cuff_mm": 50, "cuff_courses_per_10cm": 5}, "cuff_courses_per_10cm is 5"),
        ({"cuff_mm": 50, "cuff_yarn_share": 0}, "cuff_yarn_share is 0"),
    ],
)
def test_plan_sock_refuses_an_impossible_cuff(changes, message):
    with pytest.raises(ValueError, match=message):
        plan(**changes)


def test_thirty_sizes_on_eight_cylinders_are_planned_in_a_blink():
    # A whole size run is planned while the page waits: about 3 ms on a small machine, where
    # summing 100,000 squares takes about 5. A ratio holds on a busy or traced machine too.
    def size_run():
        for step in range(30):
            plan(80 + 8 * step, (45.83 + 0.7541 * (80 + 8 * step)) / 25.4, cylinders=CYLINDERS[:8])

    floor = min(timeit.repeat(lambda: sum(n * n for n in range(100_000)), number=1, repeat=5))
    assert min(timeit.repeat(size_run, number=1, repeat=5)) < 5 * floor


def codes(sock):
    return {notice.code for notice in sock.warnings}


def test_an_ordinary_sock_has_nothing_to_look_at():
    assert plan().warnings == ()


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"cylinders": [96]}, "loose"),
        ({"cylinders": [60]}, "tight"),
        ({"ball_in": 10.3, "cylinders": [72]}, "stretch"),
        ({"ball_in": 13.0}, "measures"),
        ({"gauge": Gauge.per_inch(8, 13)}, "stitch_shape"),
        ({"tex": 1000}, "yarn"),
        ({"tex": 200}, "firmness"),
        ({"tex": 480}, "firmness"),
        ({"height_in": 15}, "calf"),
        ({"height_in": 2.3}, "low_leg"),
    ],
)
def test_plan_sock_warns_with_reason_and_cure(changes, code):
    sock = plan(**changes)

    (notice,) = (one for one in sock.warnings if one.code == code)
    assert code not in codes(plan())
    assert notice.what in str(notice)
    assert notice.why in str(notice)
    assert notice.cure in str(notice)


def test_a_tube_as_wide_as_the_foot_is_not_called_wider():
    sock = plan(149.6, 6.0, 4.5)

    assert sock.needles == 48
    assert sock.ease == 0
    assert "loose" not in codes(sock)


feet_mm = st.floats(80, 400)
# The stitch shapes of plain sock fabric: 1.25 to 1.45 rows to a stitch.
gauges = st.builds(
    lambda wales, shape: Gauge(wales, wales * shape), st.floats(24, 40), st.floats(1.25, 1.45)
)


@given(feet_mm, gauges)
def test_a_planned_sock_fits_the_foot_it_was_planned_for(foot_mm, gauge):
    ball_mm = 45.83 + 0.7541 * foot_mm
    sock = plan_sock(
        foot_length_mm=foot_mm,
        ball_mm=ball_mm,
        height_mm=200,
        gauge=gauge,
        cylinders=range(24, 140, 2),
        tex=250,
    )

    fits = fit_range(needles=sock.needles, foot_rows=sock.foot_rows, gauge=gauge)

    assert fits.foot_mm[0] <= foot_mm <= fits.foot_mm[1]
    assert fits.ball_mm[0] <= ball_mm <= fits.ball_mm[1]
    assert fits.sock_foot_mm == pytest.approx(sock.sock_foot_mm)


@given(feet_mm, gauges)
def test_whole_rows_are_within_half_a_row_of_what_was_wanted(foot_mm, gauge):
    sock = plan(foot_mm, gauge=gauge, cylinders=[24], ease=0.1)

    half_row_mm = 50 / gauge.courses_per_10cm
    assert abs(sock.sock_foot_mm - wanted_sock_foot_mm(foot_mm)) <= half_row_mm + 1e-6


@given(st.sampled_from(CYLINDERS), st.integers(0, 60))
def test_leg_and_foot_yarn_grows_with_needles_at_equal_rows(needles, extra_rows):
    sock = plan(330, 11.0, 8.0 + extra_rows / 11, cylinders=[needles])

    straight = sum(part.loops for part in sock.sections if part.name in {"leg", "foot"})
    turned = sum(part.loops for part in sock.sections if part.name in {"heel", "toe"})
    assert straight == needles * (sock.leg_rows + sock.foot_rows)
    assert turned == 2 * (sock.turn.held**2 - sock.turn.centre**2)
