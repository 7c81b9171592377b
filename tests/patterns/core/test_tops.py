import pytest

from patterns.core.tops import (
    hem_rounds,
    mock_rib_yarn_share,
    needle_pitch_mm,
    top_needles,
    tops_for,
)

COUNTS = (36, 48, 54, 60, 64, 72, 80, 84, 96, 100)


@pytest.mark.parametrize(
    ("kind", "refused"),
    # Common practice: every-third work needs a count that divides by 3, 3 x 1 rib by 4.
    [
        ("rib_1_1", ()),
        ("mock_rib", (64, 80, 100)),
        ("rib_2_1", (64, 80, 100)),
        ("rib_3_1", (54,)),
        ("hung_hem", ()),
    ],
)
def test_tops_need_a_cylinder_their_repeat_goes_into(kind, refused):
    suited = [needles for needles in COUNTS if kind in {top.kind for top in tops_for(needles)}]

    assert suited == [needles for needles in COUNTS if needles not in refused]


@pytest.mark.parametrize(
    ("kind", "needles", "working"),
    [
        ("plain", 72, (72, 0)),
        ("mock_rib", 72, (48, 0)),
        ("rib_1_1", 64, (32, 32)),
        ("rib_2_1", 72, (48, 24)),
        ("rib_3_1", 64, (48, 16)),
    ],
)
def test_top_needles_splits_them_between_cylinder_and_ribber(kind, needles, working):
    assert top_needles(kind, needles) == working


def test_top_needles_says_what_the_cylinder_could_make_instead():
    with pytest.raises(
        ValueError, match=r"needles is 64; Mock rib.* divides by 3.*rib_1_1, rib_3_1"
    ):
        top_needles("mock_rib", 64)
    with pytest.raises(ValueError, match="kind is 'lace'; allowed: plain, hung_hem"):
        top_needles("lace", 64)


@pytest.mark.parametrize(("hem_rows", "rounds"), [(0, 0), (1, 3), (10, 21)])
def test_hem_rounds_are_outside_turning_row_and_inside(hem_rows, rounds):
    assert hem_rounds(hem_rows) == rounds


@pytest.mark.parametrize(
    ("diameter_in", "needles", "pitch_in"),
    [
        (4.5, 60, 0.2356),
        (4.5, 64, 0.2209),
        (4.5, 72, 0.1963),
        (4.5, 84, 0.1683),
        (4.5, 100, 0.1414),
        (3.5, 36, 0.3054),
        (3.5, 54, 0.2036),
    ],
)
def test_needle_pitch_of_usual_cylinders(diameter_in, needles, pitch_in):
    pitch_mm = needle_pitch_mm(diameter_in * 25.4, needles)

    assert pitch_mm / 25.4 == pytest.approx(pitch_in, abs=0.00006)


def test_mock_rib_takes_about_four_fifths_of_the_yarn():
    assert mock_rib_yarn_share(needle_pitch_mm(114.3, 72), 1.3014) == pytest.approx(0.8, abs=0.01)
    with pytest.raises(ValueError, match="pitch_mm is 0"):
        mock_rib_yarn_share(0, 1.3)
    with pytest.raises(ValueError, match=r"diameter_mm is 4.5; allowed: 50 to 300"):
        needle_pitch_mm(4.5, 72)
