"""Feet and shoe sizes against published cells, retail scales and surveys."""

import pytest

from patterns.core.feet import foot_length_mm, guess_ball_mm, hosiery_size, shoe_size
from patterns.core.notices import HEEL_DIAGONAL_PER_BALL, stretch_needed


@pytest.mark.parametrize(
    ("system", "size", "foot_mm"),
    # Cells of ISO 19407 as quoted in a UK calendar shop's size FAQ.
    [
        ("uk_adult", 6, 245.53),
        ("uk_adult", 10, 279.4),
        ("eu", 39, 246.67),
        ("eu", 44, 280.0),
    ],
)
def test_foot_length_agrees_with_quoted_iso_19407_cells(system, size, foot_mm):
    assert foot_length_mm(system, size) == pytest.approx(foot_mm, abs=0.07)


def test_us_men_scale_starts_where_a_shoe_fitter_puts_it():
    # healthystepsdfw, 2010: size 1 is 7 2/3 in, then 1/3 in a size.
    assert foot_length_mm("us_men", 1) == pytest.approx((7 + 2 / 3) * 25.4)
    step_mm = foot_length_mm("us_men", 2) - foot_length_mm("us_men", 1)
    assert step_mm == pytest.approx(25.4 / 3)


@pytest.mark.parametrize(
    ("system", "size", "inches"),
    # Retail charts: men 10 and 16 from razmery.info, women 7 from mindingmyownstitches.
    # Two charts may differ by 0.2 in.
    [("us_men", 10, 10 + 9 / 16), ("us_men", 16, 12.5), ("us_women", 7, 9.15)],
)
def test_retail_charts_agree_within_a_fifth_of_an_inch(system, size, inches):
    assert foot_length_mm(system, size) / 25.4 == pytest.approx(inches, abs=0.2)


@pytest.mark.parametrize(
    ("size", "foot_mm"),
    # Newborn retail chart, embracingchaoswithlove.
    [(0, 83), (1, 89), (2, 95), (3, 105), (4, 114), (5, 121), (6, 130)],
)
def test_baby_sizes_agree_with_a_newborn_chart(size, foot_mm):
    assert foot_length_mm("us_child", size) == pytest.approx(foot_mm, abs=4)


@pytest.mark.parametrize(
    ("us_child", "uk_child", "eu"), [(0, -0.33, 14.3), (5, 4.67, 20.6), (10, 9.67, 27.0)]
)
def test_child_scales_keep_their_usual_distance(us_child, uk_child, eu):
    # The same last-length formulas (isegoria.net, 2012) moved to foot length.
    foot_mm = foot_length_mm("us_child", us_child)

    assert shoe_size("uk_child", foot_mm) == pytest.approx(uk_child, abs=0.006)
    assert shoe_size("eu", foot_mm) == pytest.approx(eu, abs=0.06)


# US Army survey 2012, report NATICK/TR-15/007, public data files: means in mm.
ARMY = {
    "men": {"foot": 271.18, "ball": 252.02, "heel_diagonal": 343.47},
    "women": {"foot": 246.29, "ball": 228.11, "heel_diagonal": 310.32},
}


@pytest.mark.parametrize("group", ["men", "women"])
def test_guessed_ball_is_near_the_army_means(group):
    guess = guess_ball_mm(ARMY[group]["foot"])

    # One line serves both sexes, so each mean lies a little to its own side.
    assert guess.mean == pytest.approx(ARMY[group]["ball"], abs=0.4 * guess.sd)
    assert guess.extrapolated is False


def test_guessed_ball_is_the_army_regression_line():
    # Fitted on 6,068 men and women of the same files: 45.83 + 0.7541 x foot, sd 10.57.
    assert guess_ball_mm(250).mean == pytest.approx(45.83 + 0.7541 * 250)
    assert guess_ball_mm(250).sd == pytest.approx(10.57)


def test_heel_diagonal_ratio_is_the_army_one():
    for group in ARMY.values():
        assert group["heel_diagonal"] / group["ball"] == pytest.approx(
            HEEL_DIAGONAL_PER_BALL, abs=0.005
        )


def test_stretch_at_usual_ease_is_the_trade_rule_of_a_half():
    # "Fabric should stretch 50 %": circular sock machine forum.
    assert stretch_needed(0.10) == pytest.approx(0.50, abs=0.02)
    with pytest.raises(ValueError, match="ease is 1; allowed: below 1"):
        stretch_needed(1)


def test_baby_girth_agrees_with_the_craft_chart():
    # 4 1/2 in around for the smallest feet: published craft chart, from memory.
    assert guess_ball_mm(90.3).mean / 25.4 == pytest.approx(4.5, abs=0.05)


def test_fourth_graders_feet_read_as_the_sizes_they_wear():
    # KidsFeet, 39 children of 9 and 10 years, Ann Arbor 1997: mean 24.723 cm, 21.6 to 27.5.
    low, mean, high = (shoe_size("us_youth", mm) for mm in (216.0, 247.23077, 275.0))

    assert low > 2
    assert mean == pytest.approx(6.5, abs=0.1)
    assert high < 10


def test_fourth_graders_widths_match_the_girth_line():
    # KidsFeet: width = 2.862276 + 0.247948 length (cm); army foot breadth to ball girth is
    # 101.86 / 252.02 for men and 92.71 / 228.11 for women.
    width_mm = 10 * (2.862276 + 0.247948 * 24.723077)
    girth_mm = width_mm * (252.02 + 228.11) / (101.86 + 92.71)

    assert width_mm == pytest.approx(89.92308, abs=0.001)
    guess = guess_ball_mm(247.23077)
    assert guess.mean == pytest.approx(girth_mm, abs=guess.sd)


def test_no_shortness_rule_of_the_stocking_trade():
    # English stocking trade handbook, ho-hose.co.uk p56: 8 3/4 in is marked 8 1/2.
    assert hosiery_size(8.75 * 25.4) == 8.5
