"""How far a lot reaches, when yarn runs out, and what weighings teach."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.core.grams import Interval, lessons
from production.core.reach import Need, pairs_within, reach, running_low, waste_yarn_m

MONDAY = dt.date(2026, 6, 1)
grams = st.floats(0, 5000)
sock_grams = st.floats(5, 120)


def test_pairs_within_a_cone_after_the_reserve():
    # Worked by hand, common practice: gross 1120 g, tare 38 g, 20 g kept, 58.7 g a pair, 5 % to
    # spare: 1062 / 61.635 = 17.2.
    assert pairs_within(1120 - 38, sock_g=58.7 / 2, reserve_g=20) == 17


@given(grams, sock_grams, st.floats(0, 50))
def test_pairs_within_never_needs_more_than_there_is(on_hand, sock_g, reserve_g):
    pairs = pairs_within(on_hand, sock_g=sock_g, reserve_g=reserve_g)

    assert pairs == 0 or pairs * 2 * sock_g * 1.05 <= on_hand - reserve_g + 1e-6
    assert (pairs + 1) * 2 * sock_g * 1.05 > on_hand - reserve_g - 1e-6


def test_a_short_lot_warns_of_half_a_pair_and_offers_ways_out():
    # 100 g, 30 g a sock and 31.5 g with the margin: one pair is 63 g, 37 g start one sock more.
    found = reach(100, sock_g=30, turn_g=9, reserve_g=0, wanted_pairs=2, other_lot="lot B")

    assert (found.pairs, found.is_enough, found.odd_sock) == (1, False, True)
    assert found.left_g == pytest.approx(100 - 126)
    # Two pairs without heel and toe: 4 x (31.5 - 9.45) = 88.2 g.
    assert (
        found.ways[0]
        == "Knit heel and toe of lot B: leg and foot then take 88 g, and this lot reaches."
    )
    assert found.ways[1].startswith("Alternate two rounds of this lot and two of lot B")
    assert found.ways[2] == "Knit 1 pair and stop at a whole pair."


def test_a_lot_that_reaches_offers_no_way_out():
    found = reach(126, sock_g=30, turn_g=9, reserve_g=0, wanted_pairs=2)

    assert (found.is_enough, found.odd_sock, found.ways) == (True, False, ())


def test_a_lot_with_nothing_in_it_starts_no_pair():
    found = reach(12, sock_g=30, turn_g=0, reserve_g=10, wanted_pairs=1)

    assert found.ways == ("Start no pair of it: keep it for heels, toes and stripes.",)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"sock_g": 0}, "sock_g is 0"),
        ({"reserve_g": -1}, "reserve_g is -1"),
        ({"wanted_pairs": 0}, "wanted_pairs is 0"),
    ],
)
def test_reach_refuses_nonsense(change, said):
    with pytest.raises(ValueError, match=said):
        reach(100, **({"sock_g": 30, "turn_g": 9, "reserve_g": 0, "wanted_pairs": 1} | change))


def test_running_low_names_the_day_on_which_a_yarn_runs_out():
    needs = [Need("kelp", 60, MONDAY + dt.timedelta(days=n)) for n in (2, 0, 1)]

    [row] = running_low({"kelp": 130}, needs)

    assert (row.need_g, row.short_g) == (180, 50)
    assert row.runs_out_on == MONDAY + dt.timedelta(days=2)


def test_running_low_puts_the_first_to_run_out_on_top():
    needs = [Need("fog", 10, MONDAY), Need("rust", 90, MONDAY), Need("kelp", 90, MONDAY)]

    rows = running_low({"fog": 500, "kelp": 50}, needs)

    assert [row.yarn for row in rows] == ["rust", "kelp", "fog"]
    assert rows[-1].runs_out_on is None


def test_running_low_refuses_a_need_below_nothing():
    with pytest.raises(ValueError, match="grams of kelp is -1"):
        running_low({}, [Need("kelp", -1, MONDAY)])


def test_waste_yarn_of_a_string():
    # By hand: 15 rounds of 64 loops of 1.3 cm are 12.48 m; 4 socks have 5 such stretches.
    assert waste_yarn_m(socks=4, rounds=15, needles=64, loop_cm=1.3) == pytest.approx(62.4)
    with pytest.raises(ValueError, match="loop is above 0 cm"):
        waste_yarn_m(socks=4, rounds=15, needles=64, loop_cm=0)


def test_lessons_share_a_difference_by_the_plans():
    # By hand: 300 g planned, the scale misses 30 g more: a tenth more for both kinds.
    learned = lessons([Interval({"small": 100, "large": 200}, -30)])

    assert learned["small"].ratio == pytest.approx(1.1)
    assert learned["large"].used_g == pytest.approx(220)
    assert learned["large"].weighings == 1


def test_lessons_weigh_long_stretches_more_and_count_the_weighings():
    learned = lessons([Interval({"a": 100}, -10), Interval({"a": 300}, 10), Interval({}, -5)])

    # By hand: 110 g and 290 g used of 400 g planned.
    assert (learned["a"].percent, learned["a"].weighings) == (100, 2)


@given(st.lists(st.tuples(st.floats(1, 500), st.floats(-400, 400)), max_size=6))
def test_lessons_never_say_that_a_sock_takes_nothing(stretches):
    learned = lessons(Interval({"a": planned}, difference) for planned, difference in stretches)

    assert all(lesson.ratio > 0 for lesson in learned.values())


@pytest.mark.parametrize(
    ("planned", "difference", "doubtful"),
    [(100, -25, False), (100, -25.1, True), (100, 100, False), (100, 100.1, True), (0, -50, False)],
)
def test_a_use_far_from_the_plan_is_doubtful(planned, difference, doubtful):
    # Common practice: below nothing or over 1.25 times the plan.
    assert Interval({"a": planned} if planned else {}, difference).is_doubtful is doubtful
