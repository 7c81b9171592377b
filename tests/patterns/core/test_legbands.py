import pytest

from patterns.core.gauge import fit_setting
from patterns.core.legbands import leg_band

# One swatch tube: half turns from 0 to 2, loop 1.2 cm and 0.2 cm more each turn.
LINE = fit_setting([0, 0.5, 1, 1.5, 2], [1.2, 1.3, 1.4, 1.5, 1.6])


def test_leg_band_opens_the_stitch_for_a_wider_leg():
    # By hand: 72 needles around 25 cm at ease 0.10 are 22.5 cm, 3.2 wales per cm, so the
    # loop is 4.2 / 3.2 = 1.3125 cm, 0.5625 turns from her mark.
    band = leg_band(needles=72, girth_mm=250, line=LINE)

    assert band.loop_cm == pytest.approx(1.3125)
    assert band.turns == pytest.approx(0.5625)
    assert band.measured is True


def test_leg_band_says_when_no_swatch_reaches_so_far():
    calf = leg_band(needles=72, girth_mm=372, line=LINE)

    assert calf.turns > 2
    assert calf.measured is False


def test_leg_band_grows_with_the_girth():
    turns = [leg_band(needles=72, girth_mm=girth, line=LINE).turns for girth in (230, 260, 290)]

    assert turns == sorted(turns)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"girth_mm": 50}, "girth_mm is 50; allowed: 60 to 700 mm"),
        ({"ease": 0.3}, "ease is 0.3"),
        ({"kw": 42}, "kw is 42; allowed: 3 to 6"),
        ({"needles": 71}, "needles is 71"),
    ],
)
def test_leg_band_names_what_is_wrong(changes, message):
    with pytest.raises(ValueError, match=message):
        leg_band(**{"needles": 72, "girth_mm": 250, "line": LINE} | changes)
