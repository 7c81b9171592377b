"""The room on a tag: everything inside, nothing over something else, or a plain refusal."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.core.taglayout import (
    LEAST_PT,
    LINE,
    MM_PER_PT,
    Beside,
    Picture,
    TagDoesNotFitError,
    Words,
    fill,
    wrap,
)


def half_em(text, size_pt, bold):
    """Return a width as if every letter were half its height."""
    return len(text) * size_pt * MM_PER_PT / 2


words = st.builds(
    Words,
    field=st.just("words"),
    lines=st.lists(st.text("abc ", min_size=1, max_size=40), min_size=1, max_size=3).map(tuple),
    size_pt=st.floats(6, 24),
)
pictures = st.builds(
    Picture, field=st.just("code"), side_mm=st.floats(10, 18), least_mm=st.floats(5, 9)
)
rows = st.tuples(words, words).map(lambda pair: Beside(((0.6, pair[0]), (0.4, pair[1]))))


@given(
    items=st.lists(words | pictures | rows, min_size=1, max_size=7),
    width=st.floats(20, 110),
    height=st.floats(15, 120),
)
def test_what_is_placed_lies_inside_and_apart(items, width, height):
    try:
        placed = [p for p in fill(items, width, height, half_em) if p.height_mm]
    except TagDoesNotFitError:
        placed = []  # refused, so nothing is printed at all

    for thing in placed:
        assert thing.x_mm >= 0
        assert thing.y_mm >= 0
        assert thing.x_mm + thing.width_mm <= width + 1e-5
        assert thing.y_mm + thing.height_mm <= height + 1e-5
    for one, other in itertools.combinations(placed, 2):
        apart = (
            one.x_mm + one.width_mm <= other.x_mm + 1e-5
            or other.x_mm + other.width_mm <= one.x_mm + 1e-5
            or one.y_mm + one.height_mm <= other.y_mm + 1e-5
            or other.y_mm + other.height_mm <= one.y_mm + 1e-5
        )
        assert apart


@given(text=st.text("abcd ", max_size=120), width=st.floats(5, 60))
def test_wrapping_keeps_every_word_in_order(text, width):
    lines = wrap(text, width, 8, bold=False, measure=half_em)

    assert " ".join(lines).split() == text.split()
    assert all(half_em(line, 8, bold=False) <= width for line in lines if " " in line)


def test_words_shrink_to_the_smallest_type_and_then_are_refused_by_name():
    long = Words("fibre content", ("wool " * 60,), 10)
    twelve_lines = 12 * LEAST_PT * LINE * MM_PER_PT  # 300 letters at the least type on 50 mm take 7

    [placed] = fill([long], 50, twelve_lines, half_em)
    assert LEAST_PT <= placed.size_pt < 10

    with pytest.raises(TagDoesNotFitError, match="most of it is the fibre content") as refusal:
        fill([Words("design", ("Plain",), 12), long], 50, 5, half_em)
    assert refusal.value.field == "fibre content"


def test_a_number_too_long_for_its_place_is_refused_not_broken():
    number = Words("pair number", ("P123456789",), 12, whole=True)

    with pytest.raises(
        TagDoesNotFitError, match=r"pair number \(P123456789\) is too wide for 8 mm"
    ):
        fill([number], 8, 40, half_em)


def test_a_label_without_room_is_refused():
    with pytest.raises(TagDoesNotFitError, match="no room"):
        fill([Words("design", ("Plain",), 12)], 10, -2, half_em)
