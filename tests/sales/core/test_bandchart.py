import re
import xml.etree.ElementTree as ET

import pytest

from sales.core.bandchart import LEFT, PLOT_PX, BandPoint, band_chart

POINTS = [BandPoint(f"{day} May", day, day + 2, day + 5) for day in range(1, 10)]


def corners(svg, kind):
    text = re.search(rf'class="{kind}" points="([^"]+)"', svg)[1]
    return [tuple(map(float, pair.split(","))) for pair in text.split()]


def test_the_line_stays_inside_its_band_from_edge_to_edge():
    svg = band_chart(POINTS, "Left")
    line, band = corners(svg, "band-line"), corners(svg, "band")
    tops, bottoms = band[: len(POINTS)], band[len(POINTS) :][::-1]

    assert [x for x, _ in line][:: len(line) - 1] == [0, 100]
    for (_, top), (_, middle), (_, bottom) in zip(tops, line, bottoms, strict=True):
        assert 0 <= top <= middle <= bottom <= 100


def test_the_picture_is_well_formed_has_a_name_and_escapes_words():
    svg = band_chart([BandPoint("<5 & 6>", 0, 0, 0)], "a < b")

    root = ET.fromstring(svg)  # noqa: S314 - drawn here
    assert root.attrib["role"] == "img"
    assert root[0].text == "a < b"
    assert "<5 & 6>" in [element.text for element in root.iter()]
    assert "style=" not in svg


def test_a_long_season_names_few_days():
    points = [BandPoint(str(day), 0, 1, 2) for day in range(40)]

    assert band_chart(points, "x").count(f'y="{PLOT_PX + 18}"') <= 7


def test_figures_of_the_upright_axis_stand_one_under_the_other_at_the_right():
    # "Right align values on the y-axis": UK Government Analysis Function, "Charts: a
    # checklist" [seen].
    root = ET.fromstring(band_chart([BandPoint("5", 90, 95, 99)], "x"))  # noqa: S314 - drawn here

    figures = [node for node in root.iter() if node.get("x") == f"{LEFT - 1:g}%"]
    assert len(figures) > 1
    assert {node.get("text-anchor") for node in figures} == {"end"}


@pytest.mark.parametrize("figures", [(2, 1, 3), (0, 4, 3), (-1, 0, 1)])
def test_a_band_that_crosses_itself_is_refused(figures):
    with pytest.raises(ValueError, match=r"low|middle|high"):
        BandPoint("x", *figures)


def test_no_day_is_no_picture():
    with pytest.raises(ValueError, match="points"):
        band_chart([], "x")
