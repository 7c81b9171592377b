import re
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sales.core.charts import Bar, axis_ticks, bar_chart

SVG = "{http://www.w3.org/2000/svg}"


def drawn(*bars):
    return parsed(bar_chart(bars, "Sold by size"))


def parsed(markup):
    return ElementTree.fromstring(markup)  # noqa: S314 - drawn by the code under test


def shapes(root, kind):
    return [node for node in root.iter() if node.get("class") == kind]


def share(text):
    return float(text.rstrip("%"))


def test_the_longest_bar_is_as_long_as_its_tick_and_half_of_it_half_as_long():
    root = drawn(Bar("M", 10), Bar("L", 5))

    long, short = shapes(root, "bar")
    ticks = {node.text: share(node.get("x")) for node in shapes(root, "tick-figure")}
    assert share(long.get("width")) == pytest.approx(ticks["10"], abs=0.01)
    assert share(short.get("width")) * 2 == pytest.approx(ticks["10"], abs=0.02)


def test_the_ghost_starts_where_the_solid_bar_ends():
    root = drawn(Bar("M", 6, ghost=3))

    [bar], [ghost] = shapes(root, "bar"), shapes(root, "bar-ghost")
    assert ghost.get("x") == bar.get("width")
    assert share(ghost.get("width")) * 2 == pytest.approx(share(bar.get("width")), abs=0.02)


def test_nothing_sold_draws_no_bar():
    root = drawn(Bar("M", 0), Bar("L", 2))

    assert len(shapes(root, "bar")) == 1
    assert [node.text for node in shapes(root, "bar-label")] == ["M", "L"]


def test_the_whisker_runs_from_its_low_to_its_high_end():
    root = drawn(Bar("M", 4, low=2, high=8))

    flat = next(n for n in shapes(root, "whisker") if n.get("y1") == n.get("y2"))
    [bar] = shapes(root, "bar")
    assert share(flat.get("x1")) * 2 == pytest.approx(share(bar.get("width")), abs=0.02)
    assert share(flat.get("x2")) == pytest.approx(2 * share(bar.get("width")), abs=0.02)


def test_a_guess_is_marked_by_the_kind_of_line():
    root = drawn(Bar("M", 0, low=0, high=3, guess=True))

    assert shapes(root, "whisker is-guess")
    assert not shapes(root, "whisker")


def test_words_are_escaped_and_the_picture_carries_its_title():
    markup = bar_chart([Bar('<script>"&', 1, words="1 < 2")], "A & B")

    assert "<script>" not in markup
    root = parsed(markup)
    assert root.find(f"{SVG}title").text == "A & B"
    assert root.get("role") == "img"
    assert shapes(root, "bar-label")[0].text == '<script>"&'


def test_no_colour_and_no_style_is_written_into_the_picture():
    markup = bar_chart([Bar("M", 4, ghost=1, low=2, high=8)], "Sold")

    assert not re.search(r"style=|fill=|stroke=|#[0-9a-f]{3}", markup)


@pytest.mark.parametrize(
    ("figures", "said"),
    [
        ({"value": -1}, "value"),
        ({"value": float("nan")}, "value"),
        ({"value": float("inf")}, "value"),
        ({"value": 1, "ghost": -2}, "ghost"),
        ({"value": 1, "low": 1}, "both ends"),
        ({"value": 1, "low": 3, "high": 2}, "low=3"),
    ],
)
def test_lengths_that_cannot_be_drawn_are_refused(figures, said):
    with pytest.raises(ValueError, match=said):
        Bar("M", **figures)


def test_an_empty_chart_is_refused():
    with pytest.raises(ValueError, match="at least one row"):
        bar_chart([], "Sold")


@pytest.mark.parametrize(
    ("reach", "ticks"),
    [
        (0, [0, 1]),
        (1, [0, 1]),
        (3, [0, 1, 2, 3]),
        (5, [0, 1, 2, 3, 4, 5]),
        (12, [0, 5, 10, 15]),
        (31.5, [0, 10, 20, 30, 40]),
        (480, [0, 100, 200, 300, 400, 500]),
    ],
)
def test_ticks_are_round_figures(reach, ticks):
    assert axis_ticks(reach) == ticks


@given(st.floats(0, 1e7))
def test_ticks_cover_any_reach_with_at_most_five_steps(reach):
    ticks = axis_ticks(reach)

    assert ticks[0] == 0
    assert ticks[-1] >= reach
    assert ticks[-2] < reach or reach == 0
    assert 2 <= len(ticks) <= 6
    steps = {b - a for a, b in pairwise(ticks)}
    assert len(steps) == 1


@given(
    st.lists(
        st.tuples(st.integers(0, 500), st.integers(0, 50), st.floats(0, 300), st.floats(0, 300)),
        min_size=1,
        max_size=8,
    )
)
def test_everything_drawn_stays_inside_the_picture(rows):
    bars = [
        Bar("M", sold, ghost=asked, low=min(a, b), high=max(a, b)) for sold, asked, a, b in rows
    ]

    root = drawn(*bars)

    for node in root.iter(f"{SVG}rect"):
        assert share(node.get("x")) + share(node.get("width")) <= 100
        assert float(node.get("y")) + float(node.get("height")) <= float(root.get("height"))
    for node in root.iter(f"{SVG}line"):
        assert 0 <= share(node.get("x1")) <= share(node.get("x2")) <= 100


def test_no_grid_line_runs_through_the_words_of_a_row():
    # Light grid lines that do not distract: UK Government Analysis Function, "Charts: a
    # checklist" [seen]. Letters stand on their base line and reach 16 px up (body of 15 px).
    root = drawn(Bar("M", 4, words="4 sold"), Bar("L", 8, words="8 sold"))

    bases = [int(node.get("y")) for node in shapes(root, "bar-words")]
    for line in shapes(root, "grid"):
        drawn_px, gap = map(int, line.get("stroke-dasharray").split())
        dashes = range(int(line.get("y1")), int(line.get("y2")), drawn_px + gap)
        assert [top + drawn_px for top in dashes]
        for top in dashes:
            assert not [base for base in bases if top < base and base - 16 < top + drawn_px]


def test_every_bar_has_a_piece_of_the_grid_beside_it():
    root = drawn(Bar("M", 4), Bar("L", 8), Bar("S", 2))

    line = shapes(root, "grid")[0]
    drawn_px, gap = map(int, line.get("stroke-dasharray").split())
    tops = list(range(int(line.get("y1")), int(line.get("y2")), drawn_px + gap))
    bars = shapes(root, "bar")
    assert len(tops) == len(bars)
    for top, bar in zip(tops, bars, strict=True):
        low, high = int(bar.get("y")), int(bar.get("y")) + int(bar.get("height"))
        assert top < low < high < top + drawn_px
