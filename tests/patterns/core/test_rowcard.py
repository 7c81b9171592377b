import pytest

from patterns.core.rowcard import FINGERS, FORKS, LATCHES, WEIGHTS, row_card, string_yarn

MENS = {"needles": 72, "leg_rows": 64, "foot_rows": 64}


def readings(steps, sock=1):
    return [
        (step.section, step.counter_from, step.counter_to) for step in steps if step.sock == sock
    ]


def test_row_card_follows_the_sock_from_waste_to_waste():
    steps = row_card(socks=1, **MENS, hem_rows=10)

    assert [(step.section, step.rows) for step in steps] == [
        ("waste", 15),
        ("hem", 21),
        ("leg", 54),
        ("heel", 48),
        ("foot", 64),
        ("toe", 48),
        ("good rounds", 4),
        ("waste", 15),
    ]


def test_row_card_leaves_out_steps_without_rows():
    steps = row_card(socks=1, needles=72, leg_rows=10, foot_rows=64, hem_rows=10, good_rounds=0)

    sections = [step.section for step in steps]
    assert "leg" not in sections
    assert "good rounds" not in sections


def test_each_sock_of_a_string_has_the_same_card():
    steps = row_card(socks=6, **MENS)

    assert max(step.sock for step in steps) == 6
    assert sum(step.section == "waste" for step in steps) == 7
    assert readings(steps, 1) == readings(steps, 6)
    assert "between two socks" in steps[6].prompt
    assert "run the string off" in steps[-1].prompt


def test_the_counter_runs_on_through_a_sock():
    assert readings(row_card(socks=1, **MENS)) == [
        ("leg", 0, 64),
        ("heel", 64, 112),
        ("foot", 112, 176),
        ("toe", 176, 224),
        ("good rounds", 224, 228),
        ("waste", 228, 243),
    ]


@pytest.mark.parametrize(("counting", "foot_end"), [("pass", 176), ("round", 152), ("lifted", 128)])
def test_the_card_says_what_her_own_counter_reads(counting, foot_end):
    # A pass is half a turn: 48 trips, 24 trips or none for the heel.
    steps = row_card(socks=1, **MENS, counting=counting)

    (foot,) = (step for step in steps if step.section == "foot")
    assert foot.counter_to == foot_end


def test_the_counter_can_restart_at_each_section_or_once_a_string():
    by_section = row_card(socks=2, **MENS, restarts="section")
    by_string = row_card(socks=2, **MENS, restarts="string")

    assert {step.counter_from for step in by_section} == {0}
    assert [step.counter_to for step in by_section] == [step.rows for step in by_section]
    assert by_string[-1].counter_to == sum(step.rows for step in by_string)


def test_each_step_announces_the_next():
    steps = row_card(socks=2, **MENS)

    assert [step.next_prompt for step in steps] == [*(step.prompt for step in steps[1:]), ""]


def test_turns_are_told_needle_by_needle_with_cautions():
    steps = row_card(socks=1, **MENS, heel_notes=("Carrier at the back.",))

    heel = next(step for step in steps if step.section == "heel")
    assert "half the needles out of work (36 stay)" in heel.prompt
    assert "one needle fewer each pass, to the marked 12 in the centre (24 passes)" in heel.prompt
    assert heel.cautions == (FINGERS, LATCHES, FORKS, "Carrier at the back.")


def test_every_step_has_a_caution_and_casting_on_has_all():
    steps = row_card(socks=2, **MENS, hem_rows=8)

    assert all(step.cautions for step in steps)
    assert set(steps[0].cautions) == {FINGERS, LATCHES, WEIGHTS}


def test_the_first_sock_yarn_is_announced_with_and_without_a_hem():
    plain, hemmed = row_card(socks=1, **MENS), row_card(socks=1, **MENS, hem_rows=8)

    assert plain[1].prompt == "Change to sock yarn. Knit the leg: 64 rounds"
    assert hemmed[1].prompt.startswith("Change to sock yarn. Knit the hem: 8 rounds")
    assert hemmed[2].prompt == "Knit the leg: 56 rounds"


def test_a_rib_cuff_is_a_step_of_its_own():
    steps = row_card(socks=1, **MENS, cuff_rows=30)

    prompts = {step.section: step.prompt for step in steps}
    rows = {step.section: step.rows for step in steps}
    assert prompts["cuff"] == "Change to sock yarn. Knit the cuff: 30 rounds"
    assert prompts["leg"] == "All needles in work. Knit the leg: 34 rounds"
    assert (rows["cuff"], rows["leg"]) == (30, 34)


def test_a_deep_heel_and_an_own_toe_centre_are_on_the_card():
    steps = row_card(socks=1, **MENS, deep_heel=2, toe_centre=16)

    rows = {step.section: step.rows for step in steps}
    assert rows["heel"] == 2 * (38 - 12)
    assert rows["toe"] == 2 * (36 - 16)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"socks": 0}, "socks is 0; allowed: a whole number, 1 to 100"),
        ({"hem_rows": 65}, "hem_rows is 65"),
        ({"hem_rows": 10, "cuff_rows": 55}, "cuff_rows is 55; allowed: a whole number, 0 to 54"),
        ({"counting": "never"}, "counting is 'never'; allowed: pass, round, lifted"),
        ({"restarts": "daily"}, "restarts is 'daily'; allowed: sock, section, string"),
        ({"waste_rows": -1}, "waste_rows is -1"),
        ({"needles": 71}, "needles is 71"),
        ({"centre": 11}, "centre is 11"),
    ],
)
def test_row_card_names_what_is_wrong(changes, message):
    with pytest.raises(ValueError, match=message):
        row_card(**{"socks": 1} | MENS | changes)


def test_string_yarn_counts_tails_good_rounds_and_waste():
    # 15 rounds at N 72 are 14.1 m of waste; the tail is 36 stitches and 20 cm.
    yarn = string_yarn(socks=2, needles=72, sock_metres=149.9, loop_cm=1.3014, tex=250)

    tail_m, good_m = (36 * 1.3014 + 20) / 100, 4 * 72 * 1.3014 / 100
    assert yarn.waste_m == pytest.approx(3 * 14.05, abs=0.05)
    assert yarn.main_m == pytest.approx(2 * (149.9 + tail_m + good_m))
    assert yarn.main_g == pytest.approx(yarn.main_m / 4)


def test_string_yarn_refuses_an_impossible_loop():
    with pytest.raises(ValueError, match="loop_cm is 13"):
        string_yarn(socks=2, needles=72, sock_metres=149.9, loop_cm=13, tex=250)
