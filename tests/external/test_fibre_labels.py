"""Fibre lines against the rules' own examples and sums worked by hand.

`REG` rows rebuild the examples printed in 16 CFR (2015 annual edition); `CALC` rows are worked
from the section named. 16 CFR 303: no wool; 16 CFR 300: any wool; EU: Reg. (EU) 1007/2011.
"""

import pytest

from production.core.fibre import Part, fibre_label, tolerance_check
from production.core.fibre.unknown import unknown_label
from production.core.origin import origin_line


def lines(parts, rules="us", **choices):
    label = fibre_label(parts, rules=rules, **choices)
    assert label.problems == ()
    return list(label.lines)


YARN = {"wool": 75, "nylon": 25}
HEEL_AND_TOE = Part({"nylon": 100}, 3, "added", "toe and heel")


def test_a_functional_fibre_under_five_percent_is_named():  # REG 303.3(a)
    sock = [Part({"acetate": 96, "spandex": 4}, 60)]

    assert lines(sock, functional=("spandex",)) == ["96% Acetate", "4% Spandex"]
    assert lines(sock) == ["96% Acetate", "4% Other Fiber"]  # CALC, the tick taken off


def test_reinforcement_is_an_exception_over_the_base():  # REG 303.23
    sock = [
        Part({"cotton": 55, "rayon": 45}, 100),
        Part({"nylon": 100}, 5, "added", "toe and heel"),
    ]

    assert lines(sock) == ["55% Cotton", "45% Rayon", "Except 5% Nylon added to toe and heel"]


def test_one_base_fibre_and_one_addition_share_a_line():  # REG 303.23
    sock = [Part({"cotton": 100}, 100), Part({"nylon": 100}, 1, "added", "neckband")]

    assert lines(sock) == ["All Cotton except 1% Nylon added to neckband"]


def test_wool_reinforcement_reads_the_same():  # REG 300.27
    sock = [
        Part({"recycled wool": 55, "rayon": 45}, 100),
        Part({"nylon": 100}, 5, "added", "toe and heel"),
    ]
    label = fibre_label(sock)

    assert label.act == "16 CFR 300"
    assert list(label.lines) == [
        "55% Recycled Wool",
        "45% Rayon",
        "Except 5% Nylon added to toe and heel",
    ]


def test_functional_nylon_in_wool_is_named():  # REG 300.3(b)
    sock = [Part({"wool": 98, "nylon": 2}, 60)]

    assert lines(sock, functional=("nylon",)) == ["98% Wool", "2% Nylon"]


def test_ornament_up_to_five_percent_may_be_left_out():  # REG 303.26
    sock = [Part({"nylon": 70, "acetate": 30}, 100), Part({"metallic": 100}, 4, "ornament")]

    assert lines(sock, exclude=("ornament",)) == [
        "70% Nylon",
        "30% Acetate",
        "Exclusive of Ornamentation",
    ]


def test_wool_ornament_phrase():  # REG 300.16
    sock = [
        Part({"wool": 50, "recycled wool": 25, "cotton": 25}, 100),
        Part({"metallic": 100}, 3, "ornament"),
    ]

    assert lines(sock, exclude=("ornament",)) == [
        "50% Wool",
        "25% Recycled Wool",
        "25% Cotton",
        "Exclusive of Ornamentation",
    ]


@pytest.mark.parametrize(
    ("stated", "actual", "ok"),
    [(40, 37.0, True), (40, 43.0, True), (40, 36.9, False), (40, 43.1, False), (100, 99.9, False)],
)
def test_tolerance_is_three_points_and_none_for_all(stated, actual, ok):  # REG 303.43
    assert tolerance_check(stated, actual, "16 CFR 303").ok is ok


def test_speciality_hair_and_rabbit_by_name():  # REG 300.18, 303.6(b)
    camel = fibre_label([Part({"alpaca": 55, "camel": 45}, 60)])
    rabbit = fibre_label([Part({"angora rabbit": 80, "nylon": 20}, 60)])

    assert (camel.act, camel.lines) == ("16 CFR 300", ("55% Alpaca", "45% Camel Hair"))
    assert (rabbit.act, rabbit.lines) == ("16 CFR 303", ("80% Rabbit Hair", "20% Nylon"))


def test_one_yarn_in_both_systems():  # CALC 300.3, EU Art. 9(1)
    sock = [Part(YARN, 62)]

    assert lines(sock) == ["75% Wool", "25% Nylon"]
    assert lines(sock, "eu") == ["75% wool, 25% polyamide"]


def test_a_nylon_strand_counts_in_the_us_and_not_in_the_eu():  # CALC 303.23, EU Annex VII (e)
    sock = [Part(YARN, 60), HEEL_AND_TOE]
    label = fibre_label(sock)
    totals = [Part(YARN, 60), Part({"nylon": 100}, 3, "section", "toe and heel")]

    assert list(label.lines) == ["75% Wool", "25% Nylon", "Except 5% Nylon added to toe and heel"]
    assert any("additional fibre" in caution for caution in label.cautions)
    assert lines(totals) == ["71% Wool", "29% Nylon"]
    assert lines(sock, "eu") == ["75% wool, 25% polyamide"]


def test_a_plain_us_label_over_a_nylon_strand_alarms():  # CALC: 75 - 45/63 = 3.57 points
    label = fibre_label([Part(YARN, 60), HEEL_AND_TOE], exclude=("added",))

    assert any("3.57 points" in problem for problem in label.problems)
    assert not tolerance_check(75, 100 * 45 / 63, "16 CFR 300").ok


def test_small_fibres_pool_in_the_us_and_are_named_in_the_eu():  # CALC 303.3, EU Art. 9
    sock = [
        Part({"cotton": 100}, 57),
        Part({"silk": 100}, 1.8),
        Part({"linen": 100}, 1.2),
    ]

    assert lines(sock) == ["95% Cotton", "5% Other Fibers"]
    assert lines(sock, "eu") == ["95% cotton, 3% silk, 2% linen"]


def test_any_wool_brings_the_wool_act_and_its_percent():  # CALC 15 U.S.C. 68b(a)(2)(A)
    label = fibre_label([Part({"cotton": 100}, 58.2), Part({"wool": 100}, 1.8)])

    assert label.act == "16 CFR 300"
    assert label.lines == ("97% Cotton", "3% Wool")
    assert fibre_label([Part({"cotton": 97, "wool": 3}, 60)], "eu").lines == (
        "97% cotton, 3% wool",
    )


def test_speciality_hair_keeps_its_own_name():  # CALC 300.18
    sock = [Part({"wool": 100}, 42), Part({"alpaca": 100}, 18)]

    assert lines(sock) == ["70% Wool", "30% Alpaca"]
    assert lines(sock, hair_as_wool=True) == ["100% Wool"]
    assert lines(sock, "eu") == ["70% wool, 30% alpaca"]


def test_bamboo_is_printed_as_rayon_or_viscose():  # CALC; an FTC attorney's digest of the guide
    sock = [Part({"bamboo": 100}, 39), Part({"cotton": 100}, 21)]
    label = fibre_label(sock)

    assert label.lines == ("65% Rayon", "35% Cotton")
    assert lines(sock, "eu") == ["65% viscose, 35% cotton"]
    assert any("Bamboo" in caution for caution in label.cautions)


def test_origin_line_looks_back_one_step():  # REG/CALC 303.33; the mixed wording is ours
    assert origin_line("USA", ["USA", "United States"]) == "Made in USA"
    assert origin_line("USA", ["Peru", "Italy"]) == "Knitted in USA of imported yarn"
    assert origin_line("USA", ["USA", "Peru"]) == "Knitted in USA of US and imported yarn"
    assert origin_line("Canada") == "Made in Canada"


@pytest.mark.parametrize("content", [{}, {"unknown": 100}, {"cotton": 60, "unknown": 40}])
@pytest.mark.parametrize("rules", ["us", "eu", "uk"])
def test_unknown_content_prints_nothing(content, rules):  # CALC 303.14
    label = fibre_label([Part(content, 62)], rules)

    assert label.lines == ()
    assert any("303.14" in problem for problem in label.problems)
    assert any("303.14" in caution for caution in label.cautions)


def test_unknown_waste_keeps_the_known_percent():  # REG 303.14, its own example
    label = unknown_label([Part({"cotton": 60, "unknown": 40}, 60)], "waste materials")

    assert label.lines == ("60% Cotton", "40% Unknown fibers--waste materials")
    assert label.problems == ()
