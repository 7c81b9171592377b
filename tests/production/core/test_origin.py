import pytest

from production.core.origin import is_us, origin_line


@pytest.mark.parametrize("name", ["USA", "U.S.A.", "us", "United  States", "u.s."])
def test_the_us_by_its_usual_names(name):
    assert is_us(name)
    assert origin_line(name, [name]) == "Made in USA"


def test_a_maker_elsewhere_names_the_country_alone():  # 16 CFR 303.33(e)
    assert origin_line(" New   Zealand ", ["USA"]) == "Made in New Zealand"


@pytest.mark.parametrize("made_in", ["", "CA", "C.A.", "NZ"])
def test_abbreviated_countries_are_refused(made_in):  # 16 CFR 303.33(e)
    with pytest.raises(ValueError, match="made_in"):
        origin_line(made_in)


@pytest.mark.parametrize("yarns", [[], ["USA", ""]])
def test_a_us_line_needs_the_origin_of_every_yarn(yarns):  # 16 CFR 303.33(b)
    with pytest.raises(ValueError, match="yarn_made_in"):
        origin_line("USA", yarns)
