import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.core.chart import CHART, default_height_mm


@pytest.mark.parametrize(
    ("foot_in", "height_in"),
    # Chart rows from memory; where women's 10 and men's 10.5 differ, between them.
    [(3.556, 2.5), (4, 2.5), (5, 3.5), (5.889, 4.5), (8.833, 6.5), (9.667, 7), (12.667, 8.5)],
)
def test_default_height_follows_the_chart(foot_in, height_in):
    assert default_height_mm(foot_in * 25.4) == pytest.approx(height_in * 25.4)


def test_each_group_of_the_chart_grows():
    for group in ("child", "women", "men"):
        rows = [row for row in CHART if row.group == group]
        assert rows == sorted(rows, key=lambda row: (row.foot_in, row.height_in))
        assert [row.circumference_in for row in rows] == sorted(
            row.circumference_in for row in rows
        )


@given(st.floats(60, 399), st.floats(0, 1))
def test_a_longer_foot_never_gets_a_lower_sock(foot_mm, more_mm):
    assert default_height_mm(foot_mm + more_mm) >= default_height_mm(foot_mm)


def test_chart_refuses_feet_nobody_has():
    with pytest.raises(ValueError, match="foot_length_mm is 500"):
        default_height_mm(500)
