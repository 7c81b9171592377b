import copy
import dataclasses
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from production.core.fibre import NAMES, Part, fibre, fibre_label
from production.core.fibre.shares import Entry, whole_percents

SETTINGS = settings(derandomize=True, database=None, deadline=None, max_examples=150)

RULES = st.sampled_from(["us", "eu", "uk"])
GRAMS = st.integers(1, 9000).map(lambda tenths: tenths / 100)


@st.composite
def contents(draw):
    names = draw(st.lists(st.sampled_from(NAMES), min_size=1, max_size=4, unique=True))
    cuts = sorted(
        draw(st.lists(st.integers(1, 99), min_size=len(names) - 1, max_size=len(names) - 1))
    )
    edges = [0, *cuts, 100]
    return {name: b - a for name, (a, b) in zip(names, pairwise(edges), strict=True)}


@st.composite
def socks(draw):
    base = [Part(draw(contents()), draw(GRAMS))]
    roles = st.sampled_from(["base", "section", "added", "elastic", "ornament"])
    places = st.sampled_from(["toe and heel", "cuff", "foot"])
    rest = draw(st.lists(st.tuples(contents(), GRAMS, roles, places), max_size=3))
    return base + [Part(*part) for part in rest]


def numbers(line):
    """Return the percents of a line of fibres."""
    content = line.split(": ")[-1]
    return [int(piece.split("%")[0]) for piece in content.split(", ")]


def statements(label):
    """Return the groups of percents that must each total 100."""
    plain = [line for line in label.lines if "xcept" not in line and "Exclusive" not in line]
    if label.act.startswith("16 CFR"):
        return [[number for line in plain for number in numbers(line)]] if plain else []
    return [numbers(line) for line in plain]


@SETTINGS
@given(socks(), RULES)
def test_shares_and_printed_percents_total_a_hundred(sock, rules):
    label = fibre_label(sock, rules)

    assert sum(label.shares.values()) == pytest.approx(100)
    assert all(sum(group) == 100 and min(group) >= 1 for group in statements(label))


@SETTINGS
@given(socks(), RULES)
def test_order_never_rises(sock, rules):
    label = fibre_label(sock, rules)

    assert list(label.shares.values()) == sorted(label.shares.values(), reverse=True)
    for group, line in zip(statements(label), label.lines, strict=False):
        named = group[:-1] if "Other" in " ".join(label.lines) else group
        assert named == sorted(named, reverse=True), line


@SETTINGS
@given(socks(), RULES, st.integers(2, 50))
def test_scaling_all_grams_changes_nothing(sock, rules, times):
    scaled = [dataclasses.replace(part, grams=Fraction(str(part.grams)) * times) for part in sock]

    assert fibre_label(scaled, rules).lines == fibre_label(sock, rules).lines
    assert fibre_label(scaled, rules).shares == fibre_label(sock, rules).shares


@SETTINGS
@given(st.lists(st.tuples(contents(), GRAMS), min_size=1, max_size=4), RULES, GRAMS)
def test_an_added_gram_never_lowers_the_share_of_its_fibre(yarns, rules, more):
    sock = [Part(content, grams) for content, grams in yarns]
    name = next(name for name, percent in yarns[0][0].items() if percent)

    before = fibre_label(sock, rules).shares[name] if yarns[0][0][name] else 0
    after = fibre_label([*sock, Part({name: 100}, more)], rules).shares[name]

    assert after >= before - 1e-12


@SETTINGS
@given(socks(), RULES)
def test_the_order_of_parts_does_not_matter_to_shares(sock, rules):
    assert fibre_label(sock[::-1], rules).shares == fibre_label(sock, rules).shares


@SETTINGS
@given(socks())
def test_wool_in_any_part_means_the_wool_act(sock):
    wool = any(
        fibre(name).under_wool_act for part in sock for name, pc in part.content.items() if pc
    )

    assert fibre_label(sock).act == ("16 CFR 300" if wool else "16 CFR 303")


@pytest.mark.parametrize(
    ("shares", "printed"),
    [
        (["100/3", "100/3", "100/3"], [34, 33, 33]),
        (["99.7", "0.1", "0.1", "0.1"], [97, 1, 1, 1]),
        (["60.1", "39.4", "0.25", "0.25"], [59, 39, 1, 1]),
        (["50.9", "48.8", "0.3"], [51, 48, 1]),
        (["99.6", "0.4"], [99, 1]),
        (["50.5", "49.5"], [51, 49]),
    ],
)
def test_whole_percents_by_largest_remainder(shares, printed):  # worked by hand
    entries = [Entry(chr(65 + i), Fraction(share), 3) for i, share in enumerate(shares)]

    assert whole_percents(entries) == printed


def test_three_equal_yarns_keep_the_order_of_the_list():
    sock = [Part({name: 100}, 20) for name in ("cotton", "nylon", "wool")]

    assert fibre_label(sock).lines == ("34% Wool", "33% Cotton", "33% Nylon")


def test_a_part_keeps_its_content_when_the_form_goes_on():
    typed = {"wool": 100.0}
    part = Part(typed, 60)

    typed["wool"] = 50

    assert part.content == {"wool": 100.0}


def test_label_and_part_are_frozen_and_copy():
    label = fibre_label([Part({"wool": 100}, 60)])

    with pytest.raises(dataclasses.FrozenInstanceError):
        label.lines = ()
    assert copy.deepcopy(label) == label


def test_strands_of_one_yarn_in_one_place_are_one_addition():
    sock = [
        Part({"cotton": 100}, 60),
        Part({"nylon": 100}, 1.5, "added", "heel"),
        Part({"polyamide": 100}, 1.5, "added", " heel "),
    ]

    assert fibre_label(sock).lines == ("All Cotton except 5% Nylon added to heel",)


def test_several_small_additions_that_grow_large_together_are_a_caution():
    sock = [
        Part({"cotton": 100}, 100),
        Part({"nylon": 100}, 6, "added", "heel"),
        Part({"nylon": 100}, 6, "added", "toe"),
    ]
    label = fibre_label(sock)

    assert label.lines == (
        "All Cotton except 6% Nylon added to heel",
        "Except 6% Nylon added to toe",
    )
    assert any("12 %" in caution for caution in label.cautions)


@pytest.mark.parametrize(
    ("role", "place", "counts"),
    [
        ("added", "both heels", False),
        ("added", "heel/toe", False),
        ("added", "toe cap", False),
        ("added", "cuff", True),
        ("added", "", True),
        ("elastic", "inside of the cuff", False),
        ("elastic", "Top", False),
        ("elastic", "heel", True),
        ("elastic", "", True),
    ],
)
def test_places_are_read_word_by_word_in_the_eu(role, place, counts):
    sock = [Part({"wool": 100}, 90), Part({"nylon": 100}, 10, role, place)]

    assert ("nylon" in fibre_label(sock, "eu").shares) is counts


def test_eu_omissions_on_request_are_weighed():  # EU Art. 20(3), Annex VII
    blend = Part({"wool": 75, "nylon": 25}, 60)
    sole, much = (Part({"nylon": 100}, grams, "added", "sole") for grams in (1, 5))
    elastic = Part({"spandex": 100}, 2, "elastic", "foot")

    assert fibre_label([blend, sole], "eu", exclude=("added",)).problems == ()
    assert fibre_label([blend, much], "eu", exclude=("added",)).problems
    label = fibre_label([blend, elastic], "eu", exclude=("elastic", "base"))
    assert label.lines == ("75% wool, 25% polyamide",)
    assert any("limited points" in caution for caution in label.cautions)
    assert any("base" in caution for caution in label.cautions)


def test_eu_ornament_over_seven_percent_stays_counted_on_request():  # EU Art. 10
    sock = [Part({"wool": 100}, 90), Part({"metallic": 100}, 10, "ornament")]
    label = fibre_label(sock, "eu", exclude=("ornament",))

    assert label.lines == ("90% wool, 10% metallic",)
    assert any("over 7 %" in caution for caution in label.cautions)


def test_a_strand_of_two_fibres_takes_a_line_for_each():
    strand = Part({"nylon": 80, "polyester": 20}, 5, "added", "heel")

    assert fibre_label([Part({"cotton": 60, "linen": 40}, 100), strand]).lines == (
        "60% Cotton",
        "40% Linen",
        "Except 4% Nylon added to heel",
        "Except 1% Polyester added to heel",
    )


def test_a_small_omission_in_a_blend_is_a_caution():
    sock = [Part({"cotton": 55, "nylon": 45}, 60), Part({"nylon": 100}, 1, "added", "heel")]
    label = fibre_label(sock, exclude=("added",))

    assert label.problems == ()
    assert label.lines == ("55% Cotton", "45% Nylon")
    assert any("0.9 points" in caution for caution in label.cautions)


def test_no_omission_stands_behind_a_claim_of_one_fibre():
    sock = [Part({"cotton": 100}, 99), Part({"nylon": 100}, 1, "added", "heel")]

    assert any("303.43" in problem for problem in fibre_label(sock, exclude=("added",)).problems)


@pytest.mark.parametrize("role", ["base", "section"])
def test_the_body_may_not_be_left_out_in_the_us(role):
    sock = [Part({"cotton": 100}, 50), Part({"linen": 100}, 10, "section", "heel")]
    label = fibre_label(sock, exclude=(role,))

    assert label.lines == ("83% Cotton", "17% Linen")
    assert any(role in caution for caution in label.cautions)


def test_a_nameless_section_is_a_problem_where_sections_are_stated():
    sock = [Part({"wool": 100}, 50), Part({"cotton": 100}, 10, "section")]

    assert any("place" in problem for problem in fibre_label(sock, "eu").problems)
    assert any("place" in problem for problem in fibre_label(sock, by_section=True).problems)
    assert fibre_label(sock).problems == ()


def test_sections_alike_are_one_line_in_the_eu():
    sock = [Part({"wool": 100}, 50), Part({"merino": 100}, 30, "section", "foot")]

    assert fibre_label(sock, "eu").lines == ("100% wool",)


def test_counted_yarn_belongs_to_the_section_it_sits_in():
    sock = [
        Part({"wool": 100}, 50),
        Part({"cotton": 100}, 30, "section", "foot"),
        Part({"spandex": 100}, 10, "elastic", "foot"),
    ]

    assert fibre_label(sock, "eu").lines == (
        "main part: 100% wool",
        "foot: 75% cotton, 25% elastane",
    )


def test_a_sock_of_sections_only_needs_no_main_part():
    sock = [
        Part({"wool": 100}, 40, "section", "leg"),
        Part({"cotton": 100}, 20, "section", "foot"),
        Part({"metallic": 100}, 10, "ornament"),
    ]

    assert fibre_label(sock, "eu").lines == (
        "leg: 80% wool, 20% metallic",
        "foot: 100% cotton",
    )


def test_elastic_left_out_of_wool_says_where_trim_is_ruled():
    sock = [Part({"wool": 100}, 58), Part({"spandex": 100}, 2, "elastic", "cuff")]
    label = fibre_label(sock, exclude=("elastic",))

    assert label.lines == ("100% Wool", "Exclusive of Elastic")
    assert any("300.23" in caution for caution in label.cautions)


def test_a_reason_may_follow_the_functional_fibre():
    label = fibre_label([Part({"cotton": 96, "nylon": 4}, 60)], functional=("nylon, wear",))

    assert label.lines == ("96% Cotton", "4% Nylon")
    assert any("wear" in step for step in label.steps)


def test_one_bare_word_is_one_choice():
    assert fibre_label([Part({"cotton": 96, "nylon": 4}, 60)], functional="nylon").lines == (
        "96% Cotton",
        "4% Nylon",
    )
