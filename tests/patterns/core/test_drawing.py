import re
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.core.drawing import needles_by_pass, sock_outline
from patterns.core.gauge import Gauge
from patterns.core.shaping import turn

SVG = "{http://www.w3.org/2000/svg}"
MENS = {
    "needles": 72,
    "leg_rows": 64,
    "heel_rows": 48,
    "foot_rows": 64,
    "toe_rows": 48,
    "gauge": Gauge.per_inch(8, 11),
}


def tree(svg):
    return ET.fromstring(svg)  # noqa: S314 - the text is our own


def parts(svg):
    return {path.get("class"): path for path in tree(svg).iter(f"{SVG}path")}


def points(paths):
    return [
        tuple(map(float, pair.split(",")))
        for path in paths
        for pair in re.findall(r"-?[\d.]+,-?[\d.]+", path.get("d"))
    ]


def test_sock_outline_has_one_named_path_for_each_part():
    drawn = parts(sock_outline(**MENS, hem_rows=10))

    titles = {name: path.findtext(f"{SVG}title") for name, path in drawn.items()}
    assert titles == {
        "sock-hem": "Hem: 10 rows",
        "sock-leg": "Leg: 54 rows",
        "sock-heel": "Heel: 48 passes",
        "sock-foot": "Foot: 64 rows",
        "sock-toe": "Toe: 48 passes",
        "sock-rows": None,
        "sock-gore": None,
    }


def test_sock_outline_leaves_out_a_hem_that_is_not_there():
    assert "sock-hem" not in parts(sock_outline(**MENS))


def test_sock_outline_is_to_scale():
    # Foot (24 + 64 + 24) rows and height (64 + 24) rows at 11 per inch, tube 4.5 in wide.
    drawn = parts(sock_outline(**MENS))

    everywhere = points(drawn.values())
    leg = points([drawn["sock-leg"]])
    assert max(x for x, _ in everywhere) == pytest.approx(112 / 11 * 25.4, abs=0.06)
    assert max(y for _, y in everywhere) == pytest.approx(88 / 11 * 25.4, abs=0.06)
    assert max(x for x, _ in leg) - min(x for x, _ in leg) == pytest.approx(4.5 * 25.4, abs=0.06)


def test_sock_outline_marks_every_tenth_row_of_leg_and_foot():
    # The leg's 54 rows below the hem begin 10 rows down, the foot's 64 end before the toe;
    # at 11 rows an inch ten rows are 23.1 mm.
    drawn = parts(sock_outline(**MENS, hem_rows=10))

    ends = points([drawn["sock-rows"]])
    lines = list(zip(ends[::2], ends[1::2], strict=True))
    ten_rows = 10 / 11 * 25.4
    across = [start[1] for start, end in lines if start[1] == end[1]]
    along = [start[0] for start, end in lines if start[0] == end[0]]
    assert across == pytest.approx([k * ten_rows for k in range(2, 7)], abs=0.06)
    assert along == pytest.approx([24 / 11 * 25.4 + k * ten_rows for k in range(1, 7)], abs=0.06)
    # Each ends on the sock: at its back, front fold or sole.
    tube = 4.5 * 25.4
    assert all(0 <= x <= tube + 0.06 for (x, y), _ in lines if y in across)


def test_sock_outline_names_the_parts_under_themselves_where_they_have_room():
    texts = {text.text: text for text in tree(sock_outline(**MENS)).iter(f"{SVG}text")}
    small = sock_outline(**MENS | {"needles": 36, "leg_rows": 20, "foot_rows": 16})

    heel, foot, toe = (
        texts[f"{name}"] for name in ("Heel: 48 passes", "Foot: 64 rows", "Toe: 48 passes")
    )
    assert heel.get("y") == foot.get("y") == toe.get("y")
    assert (foot.get("text-anchor"), toe.get("text-anchor")) == ("middle", "end")
    assert len({text.get("y") for text in tree(small).iter(f"{SVG}text")}) > 1


def test_sock_outline_carries_a_role_a_title_and_no_inline_style():
    svg = sock_outline(**MENS, title="Men's 10 & up")

    root = tree(svg)
    assert root.get("role") == "img"
    assert root.findtext(f"{SVG}title") == "Men's 10 & up"
    assert "style" not in svg
    assert [text.text for text in root.iter(f"{SVG}text")] == [
        "Leg: 64 rows",
        "Heel: 48 passes",
        "Foot: 64 rows",
        "Toe: 48 passes",
    ]


rows = st.integers(0, 200)


@given(
    st.integers(6, 100).map(lambda half: 2 * half),
    rows,
    rows,
    rows,
    rows,
    st.integers(0, 200),
)
def test_every_point_and_label_lies_in_the_view_box(needles, leg, heel, foot, toe, hem):
    svg = sock_outline(
        needles=needles,
        leg_rows=leg,
        heel_rows=heel,
        foot_rows=foot,
        toe_rows=toe,
        gauge=MENS["gauge"],
        hem_rows=min(hem, leg),
    )

    root = tree(svg)
    left, top, width, height = map(float, root.get("viewBox").split())
    labels = [(float(text.get("x")), float(text.get("y"))) for text in root.iter(f"{SVG}text")]
    for x, y in [*points(root.iter(f"{SVG}path")), *labels]:
        assert left <= x <= left + width + 0.1
        assert top - 0.1 <= y <= top + height + 0.1


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"hem_rows": 65}, "hem_rows is 65; allowed: a whole number, 0 to 64"),
        ({"foot_rows": -1}, "foot_rows is -1"),
        ({"needles": 71}, "needles is 71"),
        ({"gauge": Gauge.per_inch(8, 11, "raw")}, "gauge.state is 'raw'"),
    ],
)
def test_sock_outline_names_what_is_wrong(changes, message):
    with pytest.raises(ValueError, match=message):
        sock_outline(**MENS | changes)


@pytest.mark.parametrize(("needles", "centre"), [(72, 12), (54, None), (36, 8)])
def test_needles_by_pass_draws_the_needles_at_work(needles, centre):
    shape = turn(needles, centre)

    root = tree(needles_by_pass(needles, centre))

    bars = list(root.iter(f"{SVG}rect"))
    _, _, width, height = map(float, root.get("viewBox").split())
    lefts = [float(bar.get("x")) / 3 for bar in bars]
    lengths = [float(bar.get("width")) / 3 for bar in bars]
    assert lengths == list(shape.working)
    assert width == 3 * shape.held
    assert all(y < height for y in (float(bar.get("y")) for bar in bars))
    # One needle changes at each pass, on one side only.
    rights = [left + length for left, length in zip(lefts, lengths, strict=True)]
    for before, after in zip(range(len(bars)), range(1, len(bars)), strict=False):
        moved = abs(lefts[after] - lefts[before]) + abs(rights[after] - rights[before])
        assert moved == pytest.approx(1)
    assert [bar.get("class") for bar in bars].count("pass-narrowing") == shape.passes


def test_needles_by_pass_refuses_a_centre_of_the_wrong_parity():
    with pytest.raises(ValueError, match="centre is 11"):
        needles_by_pass(72, 11)
