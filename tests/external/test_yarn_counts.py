"""Yarn counts against ASTM D2260's relations, an examination question and pint."""

import pint
import pytest

from patterns.core.yarncount import counts, tex_of


@pytest.fixture(scope="module")
def units():
    registry = pint.UnitRegistry()
    # Not built in; hank lengths from the scope of ASTM D2260.
    registry.define("worsted_count = 560 * yard / pound")
    registry.define("woollen_run = 1600 * yard / pound")
    registry.define("linen_lea = 300 * yard / pound")
    registry.define("yorkshire_skein = 256 * yard / pound")
    return registry


def test_worsted_is_one_and_a_half_times_cotton():
    # ASTM D2260 example: Ne 10 is worsted 15.
    assert tex_of("Ne 10") == pytest.approx(tex_of("worsted 15"))


def test_thirty_tex_is_cotton_19_7():
    # ASTM D2260 example.
    assert counts(30).ne == pytest.approx(19.7, abs=0.05)


@pytest.mark.parametrize(("system", "per_cotton"), [("worsted", 1.5), ("run", 0.525), ("lea", 2.8)])
def test_indirect_systems_keep_the_relations_of_astm_d2260(system, per_cotton):
    assert tex_of(f"{system} {8 * per_cotton:g}") == pytest.approx(tex_of("Ne 8"))


def test_twenty_tex_in_the_other_notations():
    # GATE 1992 textile question: 20 tex = 29.5 Ne = 180 den = Nm 50.
    yarn = counts(20)

    assert yarn.ne == pytest.approx(29.5, abs=0.05)
    assert yarn.denier == pytest.approx(180)
    assert yarn.nm == pytest.approx(50)


@pytest.mark.parametrize(
    ("text", "expression"),
    [
        ("Ne 10", "10 * number_english"),
        ("Nm 4", "4 * number_meter"),
        ("2250 den", "2250 * denier"),
        ("2500 dtex", "2500 * dtex"),
        ("worsted 15", "15 * worsted_count"),
        ("run 2", "2 * woollen_run"),
        ("lea 20", "20 * linen_lea"),
        ("ysw 16", "16 * yorkshire_skein"),
        ("100 g / 437 yd", "100 * gram / (437 * yard)"),
        ("437 yd/100 g", "437 * yard / (100 * gram)"),
        ("1 3/4 oz / 231 yd", "1.75 * ounce / (231 * yard)"),
    ],
)
def test_tex_agrees_with_pints_textile_units(units, text, expression):
    with units.context("textile"):
        reference = units.parse_expression(expression).to("tex").magnitude

    assert tex_of(text) == pytest.approx(reference, rel=1e-9)


def test_label_lengths_are_the_known_counts():
    # 100 g / 400 m is 250 tex, Nm 4 and 2250 den by the definition of each (ISO 1144,
    # from memory); 100 g / 420 m is 238.10 tex.
    yarn = counts(tex_of("100 g / 400 m"))

    assert (yarn.tex, yarn.nm, yarn.denier) == pytest.approx((250, 4, 2250))
    assert tex_of("100 g / 420 m") == pytest.approx(238.10, abs=0.005)


def test_yards_per_pound_constant():
    # 1 tex is 496,055 yards a pound: 453.59237 g and 0.9144 m, exact definitions.
    assert counts(100).yd_per_lb == pytest.approx(4960.546, abs=0.01)
