import pytest

from production.core.children import (
    GROUPS,
    child_cautions,
    tag_lines,
    tracking_line,
)


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
