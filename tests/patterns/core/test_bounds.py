import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.core.bounds import nearest, require, require_whole


@pytest.mark.parametrize(
    ("value", "rows"),
    # Python's own round() sends 84.5 to 84; the hair under an exact half must not lose a row.
    [(84.5, 85), (85.5, 86), (84.49999999999999, 85), (84.4, 84), (-0.5, 0), (-3.2, -3)],
)
def test_nearest_rounds_halves_up(value, rows):
    assert nearest(value) == rows


@given(st.floats(-1e6, 1e6))
def test_nearest_is_never_further_than_half(value):
    assert abs(nearest(value) - value) <= 0.5 + 1e-9


def test_require_takes_its_ends_and_other_number_types():
    assert require("tex", 10, (10, 20)) == 10.0
    assert require("tex", Decimal("20"), (10, 20)) == 20.0


@pytest.mark.parametrize(
    "value", [9.999, 20.001, math.nan, math.inf, -math.inf, None, "15", [], 1j]
)
def test_require_refuses_outside_and_no_numbers(value):
    with pytest.raises(ValueError, match=r"^tex is .*; allowed: 10 to 20 g/km$"):
        require("tex", value, (10, 20), "g/km")


@pytest.mark.parametrize("value", [0, 11, 2.0, "3", None, True])
def test_require_whole_refuses_outside_and_parts(value):
    with pytest.raises(ValueError, match=r"^rows is .*; allowed: a whole number, 1 to 10$"):
        require_whole("rows", value, (1, 10))
