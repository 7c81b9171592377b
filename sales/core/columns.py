"""Two columns of a paper, about as high as each other."""

from collections.abc import Sequence

from sales.core.bounds import within


def even_cut(heights: Sequence[float]) -> int:
    """Return how many blocks stand in the left column; the rest stands in the right one.

    The order of the blocks stays. Where two cuts are as even, the left column is the higher.

    Args:
        heights: Height of each block in any one unit, 0 or more.

    Raises:
        ValueError: If a height is negative or not finite.
    """
    for number, height in enumerate(heights):
        within(f"heights[{number}]", height, 0)
    whole, left = sum(heights), 0.0
    cuts = [(abs(whole), 0)]
    for number, height in enumerate(heights, start=1):
        left += height
        cuts.append((abs(whole - 2 * left), -number))
    return -min(cuts)[1]
