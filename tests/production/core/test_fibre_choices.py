"""Choices left to the maker, unknown stock, scaled percents and earlier labels."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.core.fibre import (
    Choices,
    Part,
    drift,
    fibre_label,
    label_by_choice,
    scaled_to_100,
)
from production.core.fibre.earlier import stated_percents
from production.core.fibre.unknown import unknown_label

SOCK = [Part({"wool": 75, "nylon": 25}, 60), Part({"nylon": 100}, 3, "added", "toe and heel")]


def test_thirds_are_scaled_to_a_hundred():
    assert scaled_to_100({"wool": 33, "silk": 33, "nylon": 33}) == {
        "wool": Decimal("33.34"), "silk": Decimal("33.33"), "nylon": Decimal("33.33"),
    }  # fmt: skip


@given(st.dictionaries(st.text(min_size=1), st.integers(1, 200), min_size=1, max_size=6))
def test_scaled_percents_total_a_hundred_and_keep_their_order(percents):
    scaled = scaled_to_100(percents)

    assert sum(scaled.values()) == 100
    for a in percents:
        assert all(scaled[a] >= scaled[b] for b in percents if percents[a] > percents[b])


@pytest.mark.parametrize("percents", [{}, {"wool": 0}, {"wool": -1}, {"wool": float("nan")}])
def test_scaling_refuses_what_has_no_proportion(percents):
    with pytest.raises(ValueError, match="percents"):
        scaled_to_100(percents)


def test_counting_the_added_strand_gives_the_totals_form():
    # 16 CFR 303.23 speaks of an additional fibre; counted, 45 and 18 of 63 g are 71 and 29 %.
    label = label_by_choice(SOCK, "us", Choices(count_added=True))

    assert label.lines == ("71% Wool", "29% Nylon")


def test_choices_of_the_us_do_not_touch_other_rules():
    chosen = Choices(functional=("nylon, wear",), count_added=True, by_section=True)

    assert label_by_choice(SOCK, "eu", chosen) == fibre_label(SOCK, "eu")


def test_a_functional_fibre_carries_the_reason_into_the_steps():  # 16 CFR 300.3(b)
    label = label_by_choice(
        [Part({"wool": 98, "nylon": 2}, 60)], "us", Choices(functional=("nylon, wear",))
    )

    assert label.lines == ("98% Wool", "2% Nylon")
    assert any("for its function (wear" in step for step in label.steps)


def test_unknown_stock_is_worded_only_where_something_is_unknown():
    chosen = Choices(unknown_stock="scraps")

    assert label_by_choice(SOCK, "us", chosen) == fibre_label(SOCK, "us")


def test_unknown_stock_beside_wool_is_a_problem():
    label = unknown_label([Part({"wool": 60, "unknown": 40}, 60)], "odd lots")

    assert label.lines == ()
    assert "ask the regulator" in label.problems[0]


def test_unknown_stock_pools_what_is_small_behind_it():  # 303.16(a)(1): other fiber is last
    label = unknown_label([Part({"cotton": 36, "silk": 4, "unknown": 60}, 60)], "scraps")

    assert label.lines == ("36% Cotton", "60% Unknown fibers--scraps", "4% Other Fiber")


@pytest.mark.parametrize(
    ("parts", "stock", "said"), [([], "scraps", "parts is empty"), (SOCK, "mystery", "stock is")]
)
def test_unknown_stock_refuses_nonsense(parts, stock, said):
    with pytest.raises(ValueError, match=said):
        unknown_label(parts, stock)


@pytest.mark.parametrize(
    ("lines", "stated"),
    [
        (["75% Wool", "25% Nylon", "Except 5% Nylon added to toe and heel"],
         {"wool": 75, "nylon": 25}),
        (["All Cotton except 1% Nylon added to neckband"], {"cotton": 100}),
        (["75% wool, 25% polyamide"], {"wool": 75, "nylon": 25}),
        (["70% Nylon", "30% Acetate", "Exclusive of Ornamentation"], {"nylon": 70, "acetate": 30}),
        (["main part: 100% wool", "foot: 100% cotton"], None),
        (["96% Acetate", "4% Other Fiber"], None),
    ],
)  # fmt: skip
def test_printed_lines_are_read_back(lines, stated):
    assert stated_percents(lines) == stated


def test_an_earlier_label_over_other_lots_alarms_by_its_rule():
    # 16 CFR 303.43 bears three points: 50/50 stated, 54/46 in the sock.
    now = fibre_label([Part({"cotton": 54, "nylon": 46}, 60)])

    found = drift(["50% Cotton", "50% Nylon"], now)

    assert [(one.name, one.stated, one.verdict.level) for one in found] == [
        ("cotton", 50, "alarm"), ("nylon", 50, "alarm"),
    ]  # fmt: skip


def test_a_fibre_new_to_the_sock_counts_as_stated_nothing():
    found = drift(["100% wool"], fibre_label([Part({"wool": 90, "silk": 10}, 60)], "eu"))

    assert {one.name: one.verdict.level for one in found} == {"wool": "alarm", "silk": "alarm"}
