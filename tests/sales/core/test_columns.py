import pytest

from sales.core.columns import even_cut


@pytest.mark.parametrize(
    ("heights", "left"),
    [
        ([], 0),
        ([4], 1),
        ([3, 3], 1),
        ([1, 1, 1], 2),
        ([9, 1, 1, 1], 1),
        ([1, 1, 1, 9], 3),
        ([3, 4, 3, 5, 3, 4, 2], 3),
    ],
)
def test_even_cut_leaves_the_columns_as_even_as_their_order_lets_them(heights, left):
    difference = [abs(sum(heights[:cut]) - sum(heights[cut:])) for cut in range(len(heights) + 1)]

    assert even_cut(heights) == left
    assert difference[left] == min(difference)


@pytest.mark.parametrize("height", [-1, float("nan"), float("inf")])
def test_even_cut_refuses_a_height_that_is_none(height):
    with pytest.raises(ValueError, match=r"heights\[1\]"):
        even_cut([1, height])
