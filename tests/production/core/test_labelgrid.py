import dataclasses

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from production.core.labelgrid import Grid

SHEET = Grid(
    page_width_mm=210,
    page_height_mm=297,
    columns=3,
    rows=8,
    margin_left_mm=7,
    margin_top_mm=13,
    label_width_mm=64,
    label_height_mm=33,
    gap_x_mm=2,
    gap_y_mm=1,
)


def test_labels_run_row_by_row_and_over_pages():
    places = SHEET.positions(25)

    assert places[0] == (1, 7, 13)
    assert places[1] == (1, 73, 13)
    assert places[3] == (1, 7, 47)
    assert places[23] == (1, 139, 251)
    assert places[24] == (2, 7, 13)


def test_a_used_sheet_starts_later_and_skips_on_its_first_page_only():
    places = SHEET.positions(24, start=3, skip=(4, 4))

    assert places[:2] == [(1, 139, 13), (1, 73, 47)]
    assert [place.page for place in places].count(1) == 21
    assert places[21:] == [(2, 7, 13), (2, 73, 13), (2, 139, 13)]


def test_a_shift_moves_every_label_by_tenths():
    shifted = dataclasses.replace(SHEET, shift_x_tenths=-5, shift_y_tenths=12)

    assert shifted.positions(2) == [(1, 6.5, 14.2), (1, 72.5, 14.2)]


@settings(derandomize=True, database=None, deadline=None)
@given(st.integers(0, 90), st.integers(1, 24), st.sets(st.integers(1, 24), max_size=24))
def test_positions_are_as_many_as_asked_and_never_twice(count, start, skip):
    places = SHEET.positions(count, start, skip)

    assert len(set(places)) == count
    assert all(7 <= x <= 210 - 64 and 13 <= y <= 297 - 33 for _, x, y in places)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"columns": 4}, "columns is 4.*3 columns would fit, or a label_width_mm up to 49.25"),
        ({"label_height_mm": 40}, "rows is 8.*6 rows would fit, or a label_height_mm up to 34.62"),
        ({"columns": 0}, "columns is 0"),
        ({"rows": 2.5}, "rows is 2.5"),
        ({"page_width_mm": 0}, "page_width_mm is 0"),
        ({"gap_x_mm": -1}, "gap_x_mm is -1"),
        ({"margin_top_mm": float("nan")}, "margin_top_mm is nan"),
        ({"columns": float("inf")}, "columns is inf"),
        ({"shift_x_tenths": 101}, "shift_x_tenths is 101"),
    ],
)
def test_sheets_that_cannot_be_are_refused_with_what_would_do(change, said):
    with pytest.raises(ValueError, match=said):
        dataclasses.replace(SHEET, **change)


@pytest.mark.parametrize(
    ("given", "name"), [((-1,), "count"), ((1, 25), "start"), ((1, 1, (0,)), "skip")]
)
def test_places_off_the_sheet_are_refused(given, name):
    with pytest.raises(ValueError, match=name):
        SHEET.positions(*given)
