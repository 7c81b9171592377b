"""What a row card says of one machine."""

import pytest

from patterns.core.machine import Machine
from patterns.core.rowcard import Hanging, row_card

MENS = {"needles": 72, "leg_rows": 64, "foot_rows": 64}


def test_a_toe_on_the_heels_half_has_its_seam_on_top():
    # Common practice: the toe folds over and is closed on the half that did not knit it.
    (note,) = Machine().toe_notes()

    assert note == "The toe is knitted on the heel's half: its seam lies on top of the toes."


@pytest.mark.parametrize(("heel", "toe"), [("front", "back"), ("back", "front")])
def test_a_toe_on_the_other_half_is_named_by_it(heel, toe):
    machine = Machine(heel_half=heel, toe_half="other")

    assert machine.heel_notes() == (f"The {heel} half knits the heel.",)
    assert f"on the {toe} half: its seam lies under the toes" in machine.toe_notes()[0]


def test_a_carrier_that_rests_at_a_side_begins_there():
    (note,) = Machine(carrier="left").heel_notes()

    assert "carrier at the left" in note
    assert "after the last pass it stands there again" in note


def test_a_carrier_that_rests_mid_half_stops_a_quarter_early():
    assert "a quarter early, at the side" in Machine(carrier="back").heel_notes()[0]


@pytest.mark.parametrize("name", ["carrier", "heel_half", "toe_half"])
def test_a_machine_refuses_unknown_words(name):
    with pytest.raises(ValueError, match=f"{name} is 'sideways'; allowed"):
        Machine(**{name: "sideways"})


def test_heel_and_toe_carry_their_own_notes():
    steps = row_card(socks=1, **MENS, heel_notes=("H",), toe_notes=("T",))

    said = {step.section: step.cautions[-1] for step in steps}
    assert (said["heel"], said["toe"]) == ("H", "T")


def test_lengths_under_weights_count_the_cuff_by_its_own_rows():
    # 20 rounds of rib at 10 rows per inch and 44 plain at 11: 2 + 4 in flat, 1.2 times hung.
    hanging = Hanging(11 / 0.254, 1.2, 10 / 0.254)
    steps = row_card(socks=1, **MENS, cuff_rows=20, top="mock_rib", hanging=hanging)

    hung = {step.section: step.hangs_mm / 25.4 for step in steps}
    assert hung["cuff"] == pytest.approx(2.4)
    assert hung["leg"] == pytest.approx(7.2)
    assert hung["foot"] == pytest.approx(64 / 11 * 1.2)
    assert hung["heel"] == 0


def test_a_cuff_says_which_needles_knit():
    # Every third needle out of 72 leaves 48 (common practice); 3 x 1 sends every fourth over.
    mock = row_card(socks=1, **MENS, cuff_rows=20, top="mock_rib")[1].prompt
    ribbed = row_card(socks=1, **MENS, cuff_rows=20, top="rib_3_1")[1].prompt

    assert "(48 needles knit): 20 rounds" in mock
    assert "54 needles in the cylinder, 18 on the ribber, 20 rounds" in ribbed


def test_a_picot_hem_moves_every_other_stitch_on_the_turning_round():
    hem = row_card(socks=1, **MENS, hem_rows=10, top="picot_hem")[1]

    assert "every other stitch moved over" in hem.prompt
    assert hem.rows == 21


@pytest.mark.parametrize("factor", [0.7, 2.1])
def test_a_hanging_factor_out_of_reach_is_refused(factor):
    with pytest.raises(ValueError, match="factor"):
        Hanging(43.3, factor)
