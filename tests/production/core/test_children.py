import pytest

from production.core.children import (
    GROUPS,
    child_cautions,
    is_child_size,
    size_hint,
    tag_lines,
    tracking_line,
)


@pytest.mark.parametrize(
    ("foot_mm", "group", "sure"),
    [  # US child 6 = 132.6 mm, US youth 6 = 242.7 mm, by the shoe-size formulas
        (110, "baby", True),
        (132.6, "baby", True),
        (150, "child", True),
        (220, "child", False),
        (242.7, "child", False),
        (242.8, "adult", True),
        (300, "adult", True),
    ],
)
def test_the_foot_length_hints_at_the_group(foot_mm, group, sure):
    hint = size_hint(foot_mm)

    assert (hint.group, hint.sure) == (group, sure)
    assert hint.reason


def test_what_the_maker_says_goes_before_any_hint():
    assert not is_child_size(foot_mm=220, group="adult")
    assert is_child_size(foot_mm=260, group="child")
    assert is_child_size(foot_mm=220)
    assert not is_child_size(foot_mm=270)


def test_a_child_product_is_for_twelve_or_younger():  # cpsc.gov
    assert is_child_size(age_years=12.9)
    assert not is_child_size(age_years=13, foot_mm=180)


@pytest.mark.parametrize(
    "given", [{}, {"group": "pet"}, {"age_years": -1}, {"foot_mm": 20}, {"foot_mm": float("nan")}]
)
def test_nothing_to_go_by_is_refused(given):
    with pytest.raises(ValueError, match=r"group|age_years|foot_mm"):
        is_child_size(**given)


def test_baby_socks_carry_the_loose_thread_line():
    assert tag_lines("baby") == ("Turn inside out and check for loose threads before each use.",)
    assert tag_lines("child") == tag_lines("adult") == ()


def test_cautions_never_vouch_for_the_sock():
    text = " ".join(
        line for group in GROUPS for line in (*child_cautions(group), *tag_lines(group))
    )

    assert "adviser" in text
    assert not {"compliant", "tested", "safe"} & set(text.lower().replace(".", " ").split())
    assert child_cautions("adult") == ()
    assert set(child_cautions("child")) < set(child_cautions("baby"))


@pytest.mark.parametrize("call", [child_cautions, tag_lines])
def test_unknown_groups_are_refused(call):
    with pytest.raises(ValueError, match="group is 'pet'"):
        call("pet")


def test_tracking_line_holds_maker_place_date_and_batch():  # cpsc.gov, tracking label
    line = tracking_line(
        maker="Gullwing Lane Socks", place="Port Ellery, ME", made="2026-05", batch="212"
    )

    assert line == "Gullwing Lane Socks, Port Ellery, ME. Made 2026-05. Batch 212."


def test_tracking_line_names_all_that_is_missing():
    with pytest.raises(ValueError, match="place, batch is blank"):
        tracking_line(maker="Gullwing Lane Socks", place=" ", made="2026-05", batch="")
