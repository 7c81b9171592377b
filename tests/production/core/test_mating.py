import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from production.core.mating import mate

SETTINGS = settings(derandomize=True, database=None, deadline=None, max_examples=200)


@SETTINGS
@given(st.lists(st.integers(180, 320), max_size=30), st.integers(0, 20), st.randoms())
def test_the_order_of_socks_changes_no_total(lengths, tolerance, chance):
    shuffled = list(lengths)
    chance.shuffle(shuffled)

    a, b = mate(lengths, tolerance), mate(shuffled, tolerance)

    assert (len(a.pairs), a.total_mm) == (len(b.pairs), b.total_mm)


@SETTINGS
@given(st.lists(st.integers(180, 320), max_size=30), st.integers(0, 20))
def test_a_wider_tolerance_never_makes_fewer_pairs(lengths, tolerance):
    assert len(mate(lengths, tolerance + 1).pairs) >= len(mate(lengths, tolerance).pairs)


def test_a_tolerance_edge_does_not_flicker():
    assert mate([3.0, 2.9], 0.1).pairs == ((1, 0),)
    assert mate([250.3, 250.0], 0.3).odd == ()


def test_nothing_and_one_sock():
    assert mate([], 5).total_mm == 0
    assert mate([250], 5).odd == (0,)


@pytest.mark.parametrize(
    ("lengths", "tolerance", "name"),
    [([250, float("nan")], 5, "lengths_mm"), ([-1], 5, "lengths_mm"), ([250], -1, "tolerance_mm")],
)
def test_measures_that_cannot_be_are_refused(lengths, tolerance, name):
    with pytest.raises(ValueError, match=name):
        mate(lengths, tolerance)
