import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.core.shaping import third, turn

even_needles = st.integers(6, 100).map(lambda half: 2 * half)


@given(even_needles)
def test_loops_are_what_the_passes_knit(needles):
    shape = turn(needles)

    assert sum(shape.working) == shape.loops
    assert len(shape.working) == shape.rows
    assert shape.working[-1] == shape.held
    assert min(shape.working) == shape.centre


@given(even_needles)
def test_the_default_centre_is_the_nearest_third_of_the_same_parity(needles):
    shape = turn(needles)

    assert (shape.held - shape.centre) % 2 == 0
    assert abs(3 * shape.centre - shape.held) < 3
    assert shape.centre == third(shape.held)


def test_extra_needles_make_a_deeper_heel():
    assert turn(72, extra=2).held == 38
    assert turn(72, centre=12, extra=4).passes == 28


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((71,), "needles is 71; allowed: an even number, 12 to 200"),
        ((10,), "needles is 10; allowed: a whole number, 12 to 200"),
        ((202,), "needles is 202"),
        ((72.0,), "needles is 72.0; allowed: a whole number"),
        ((True,), "needles is True"),
        ((72, 11), "centre is 11; allowed: even, 2 to 35, as 36 are held"),
        ((54, 10), "centre is 10; allowed: odd, 2 to 26"),
        ((72, 36), "centre is 36; allowed: a whole number, 2 to 35"),
        ((72, 0), "centre is 0"),
        ((72, 12, 1), "extra is 1; allowed: 0, 2 or 4"),
        ((72, 12, 6), "extra is 6"),
    ],
)
def test_turn_refuses_what_cannot_be_stepped(arguments, message):
    with pytest.raises(ValueError, match=message):
        turn(*arguments)
