"""Break-even against printed teaching examples."""

import pytest

from sales.core.pricing import break_even_pairs


@pytest.mark.parametrize(
    ("fixed", "price", "cost", "profit", "pairs"),
    [
        # Managerial accounting demonstration problem 11-4 (lecture note for the textbook of
        # ISBN 978-0077862374): 5600 fixed, 350 price, 210 variable cost.
        (5600, 350, 210, 0, 40),
        (5600, 350, 210, 4900, 75),
        # A craft-fair booth in a public homework question: 270 fixed, 50 price, 20 cost.
        (270, 50, 20, 0, 9),
    ],
)
def test_break_even_equals_printed_examples(fixed, price, cost, profit, pairs):
    assert break_even_pairs(fixed, price, cost, 0, 0, profit) == pairs
