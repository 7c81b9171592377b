"""Fabric, turns and whole socks against textbooks, patterns and scales."""

import pytest

from patterns.core.fit import fit_range
from patterns.core.gauge import (
    KC_WASHED,
    KS_WASHED,
    KW_WASHED,
    Gauge,
    loop_length_cm,
    tightness,
)
from patterns.core.rowplan import plan_sock
from patterns.core.shaping import turn
from patterns.core.stripes import rounds_per_repeat

SOCK_GAUGE = Gauge.per_inch(8, 11)


def plan(foot_mm, ball_in, height_in, cylinders):
    return plan_sock(
        foot_length_mm=foot_mm,
        ball_mm=ball_in * 25.4,
        height_mm=height_in * 25.4,
        gauge=SOCK_GAUGE,
        cylinders=cylinders,
        tex=250,
    )


def examination_gauge(loop_cm):
    """Return the washed gauge of a loop."""
    # GATE 2015 textile question 54: courses/cm = 5.5 / l, wales/cm = 4.2 / l.
    return Gauge(10 * 4.2 / loop_cm, 10 * 5.5 / loop_cm)


def test_stitch_density_of_the_examination_question():
    # GATE 2015 textile question 54: kc 5.5, kw 4.2, loop 0.5 cm, answer 92 loops/cm2.
    # Taken from the other end: fabric of 92 loops/cm2 must have loops of 0.5 cm.
    gauge = Gauge(80, 115)

    assert gauge.wales_per_10cm * gauge.courses_per_10cm / 100 == 92
    assert loop_length_cm(gauge) == pytest.approx(0.5, abs=0.002)
    assert pytest.approx(KC_WASHED * KW_WASHED) == KS_WASHED


@pytest.mark.parametrize("loop_cm", [1.05, 1.3014, 1.5961])
def test_loop_length_goes_back_to_the_loop_of_the_examination_constants(loop_cm):
    gauge = examination_gauge(loop_cm)

    assert loop_length_cm(gauge) == pytest.approx(loop_cm)
    assert gauge.courses_per_10cm / 10 == pytest.approx(KC_WASHED / loop_cm)
    assert gauge.wales_per_10cm / 10 == pytest.approx(KW_WASHED / loop_cm)


@pytest.mark.parametrize(
    ("wales", "courses"), [(6.5, 9), (7, 9.5), (8, 11), (8.5, 12), (9, 12), (10, 13.5)]
)
def test_real_sock_gauges_lie_near_the_textbook_constants(wales, courses):
    # kc 5.5 and kw 4.2, GATE 2015 textile question 54; sock gauges seen in patterns.
    loop_cm = loop_length_cm(Gauge.per_inch(wales, courses))

    assert courses / 2.54 * loop_cm == pytest.approx(5.5, rel=0.04)
    assert wales / 2.54 * loop_cm == pytest.approx(4.2, rel=0.04)


def test_area_mass_by_two_textbook_routes():
    # Textile handbook (fliphtml5, p150): WPI x CPI x loop mm x 39.37^2 x tex / 10^6; 443.8 g/m2.
    loop_mm = 10 * loop_length_cm(SOCK_GAUGE)

    per_cm2 = SOCK_GAUGE.wales_per_10cm * SOCK_GAUGE.courses_per_10cm / 100
    by_centimetres = per_cm2 * loop_mm * 250 / 100
    by_inches = 8 * 11 * loop_mm * 39.37**2 * 250 / 1e6
    assert by_centimetres == pytest.approx(443.8, abs=0.1)
    assert by_inches == pytest.approx(by_centimetres, rel=1e-4)


def test_usual_sock_fabric_is_a_little_looser_than_the_plain_range():
    # Tightness note, scribd 469140556: plain fabric usually 13 to 15.
    assert 12 < tightness(250, loop_length_cm(SOCK_GAUGE)) < 15


@pytest.mark.parametrize(
    ("needles", "held", "centre", "passes", "loops"),
    # Short-row counts, common practice; 72 and 84 to 12 are close to needlesofsteel's.
    [
        (36, 18, 6, 12, 288),
        (48, 24, 8, 16, 512),
        (54, 27, 9, 18, 648),
        (60, 30, 10, 20, 800),
        (64, 32, 10, 22, 924),
        (72, 36, 12, 24, 1152),
        (80, 40, 14, 26, 1404),
        (84, 42, 14, 28, 1568),
        (96, 48, 16, 32, 2048),
        (100, 50, 16, 34, 2244),
    ],
)
def test_turns_match_the_trade_counts(needles, held, centre, passes, loops):
    shape = turn(needles)

    assert (shape.held, shape.centre, shape.passes) == (held, centre, passes)
    assert (shape.rows, shape.loops) == (2 * passes, loops)


@pytest.mark.parametrize(
    ("needles", "centre"),
    # sharonwue 32 -> 10 -> 32 on 64; needlesofsteel to 12 on the 72 cylinder.
    [(64, 10), (72, 12)],
)
def test_default_centres_are_the_published_ones(needles, centre):
    assert turn(needles).centre == centre


def test_a_turn_takes_the_three_grams_of_the_trade_note():
    # soxophoneplayer: about 3 g for each heel or toe.
    loop_cm = loop_length_cm(SOCK_GAUGE)

    assert turn(64).loops * loop_cm / 100 * 0.25 == pytest.approx(3.0, abs=0.05)


def test_baby_sock_sole_is_the_published_length():
    # slisen, 2019: 40 stitches, 9 x 12 per inch, heel 20 -> 8, 28 + 2 rows and a gathered
    # toe; sole 3.5 in. A gathered toe has no turn, so its passes are taken off.
    gauge = Gauge.per_inch(9, 12)

    heel = turn(40, 8)
    with_turned_toe = fit_range(needles=40, foot_rows=30, gauge=gauge, centre=8).sock_foot_mm
    sole_mm = with_turned_toe - heel.passes * 100 / gauge.courses_per_10cm
    assert sole_mm / 25.4 == pytest.approx(3.50, abs=0.005)


def test_teachers_rule_for_heel_and_toe():
    # sharonwue 2014/2015, 8 x 11 per inch, 64 stitches: take 4.5 to 5 in off the foot for
    # heel and toe; her 60 foot rows make women's 8 to 11.
    rows = plan(245.5, 9.09, 7.0, [64]).foot_rows

    taken_off = 245.5 / 25.4 - rows / 11
    assert 4.4 <= taken_off <= 5.0
    low_mm, high_mm = fit_range(needles=64, foot_rows=60, gauge=SOCK_GAUGE).foot_mm
    # Women's 8 and 11 on the usual retail scale: 9.5 and 10.5 in.
    assert low_mm <= 9.5 * 25.4
    assert high_mm >= 10.49 * 25.4


def test_womens_pair_weighs_what_the_scale_said():
    # knitwords: a women's 8.5 pair weighed 62 g; the plan has no margin in it.
    sock = plan(245.5, 9.09, 7.0, [60, 64, 72])

    assert 2 * sock.grams == pytest.approx(62, rel=0.06)
    assert 2 * sock.grams * 1.05 == pytest.approx(62, abs=1)


def test_a_mens_pair_comes_out_of_a_hundred_grams():
    # vikkibird, sharonwue: 100 g is enough to men's 11 or 12.
    sock = plan(287.9, 10.35, 8.0, [64, 72, 80])

    assert 2 * sock.grams * 1.05 < 100


def test_cylinders_chosen_are_the_usual_ones():
    # Common practice: 36 needles for very small socks, 72 for adults.
    assert plan(90.3, 4.5, 2.5, [36, 48, 54, 60, 64, 72, 80]).needles == 36
    assert plan(270.9, 9.85, 8.0, [36, 48, 54, 60, 64, 72, 80]).needles == 72


def test_a_pair_takes_about_an_hour_and_a_seam():
    # Common practice: about an hour at the machine, 15 to 20 minutes of seaming a pair.
    sock = plan(270.9, 9.85, 8.0, [72])

    assert sock.machine_minutes == pytest.approx(60, abs=5)
    assert 15 <= sock.seam_minutes <= 20


def test_small_cylinders_cannot_be_avoided_for_babies():
    # 60 needles at 11 rows: heel and toe alone are 3.64 in, longer than a baby sock.
    assert 2 * turn(60).passes / 11 == pytest.approx(3.64, abs=0.005)
    with pytest.raises(ValueError, match="60 needles are too many for this foot"):
        plan(90.3, 4.5, 2.5, [60])


def test_flat_bed_directions_show_why_turns_have_their_own_factor():
    # clearwaterknits, 8 x 11 per inch, 72 stitches, heel 36 -> 20, toe 36 -> 16, 93 rows for
    # men's 7-8: by rows alone 11.7 in, well over the foot, so less than all the rows count.
    heel, toe = turn(72, 20), turn(72, 16)
    by_rows_in = (heel.passes + 93 + toe.passes) / 11

    assert by_rows_in == pytest.approx(11.7, abs=0.05)
    assert by_rows_in > (8 + 22) / 3 + 1.4


@pytest.mark.parametrize(("dyed_m", "rounds"), [(10.5, 12.61), (5.25, 6.30)])
def test_stripes_of_published_dye_lengths(dyed_m, rounds):
    # catherinegamroth: 10.5 m long and 5.25 m short sections; on 64 needles.
    found = rounds_per_repeat(dyed_m, 64, loop_length_cm(SOCK_GAUGE))

    assert found == pytest.approx(rounds, abs=0.005)
