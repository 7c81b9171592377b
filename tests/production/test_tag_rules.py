"""What tags say of the yarns in a pair under three sets of rules, one row a case.

US: 16 CFR 303 (no wool) and 300 (any wool), 2015 edition; children's tracking: cpsc.gov pages on
tracking labels. EU: Reg. (EU) 1007/2011, Annexes I and VII. UK: SI 2012/1102, from the guidance of
trading-standards offices. Origin: 303.15, 303.33. Wording where the rules leave room is our own.
"""

import pytest

from production.services import tags
from socktrade.models import Workshop
from tests.factories.socktrade import WorkshopFactory
from tests.factories.tags import make_lot, waiting_pair

pytestmark = pytest.mark.django_db

# yarn content, grams of nylon added at heel and toe to 30 g a sock, source, lines by rules
FIBRES = {
    "wool": (
        {"wool": 100}, 0, "300.3; EU Art. 7",
        ("100% Wool",), ("100% wool",), "16 CFR 300",
    ),
    "cotton": (
        {"cotton": 100}, 0, "303.16, 303.27; EU Art. 7",
        ("100% Cotton",), ("100% cotton",), "16 CFR 303",
    ),
    "blend": (
        {"wool": 75, "nylon": 25}, 0, "300.3; EU Art. 9(1), Annex I no. 26 and 41 (from memory)",
        ("75% Wool", "25% Nylon"), ("75% wool, 25% polyamide",), "16 CFR 300",
    ),
    "blend with a trace": (
        {"cotton": 96, "polyester": 4}, 0, "303.3(a): under 5 % is other fiber; EU Art. 9(1)",
        ("96% Cotton", "4% Other Fiber"), ("96% cotton, 4% polyester",), "16 CFR 303",
    ),
    "a little wool": (
        {"cotton": 97, "wool": 3}, 0, "300.3, 15 U.S.C. 68b: wool has no floor",
        ("97% Cotton", "3% Wool"), ("97% cotton, 3% wool",), "16 CFR 300",
    ),
    "reinforced wool": (
        {"wool": 100}, 1.5, "300.27; EU Annex VII 1(e)",
        ("All Wool except 5% Nylon added to toe and heel",), ("100% wool",), "16 CFR 300",
    ),
    "reinforced blend": (
        {"wool": 75, "nylon": 25}, 1.5, "300.27 with its own example; EU Annex VII 1(e)",
        ("75% Wool", "25% Nylon", "Except 5% Nylon added to toe and heel"),
        ("75% wool, 25% polyamide",), "16 CFR 300",
    ),
}  # fmt: skip
ACTS = {"us": None, "eu": "EU 1007/2011", "uk": "UK SI 2012/1102"}


def text_of(pair, rules, **of_shop):
    facts = {"identity": "Gullwing Lane Socks", "town": "Port Ellery", "label_rules": rules}
    if rules != "us":
        facts["country"] = "Ireland" if rules == "eu" else "United Kingdom"
    Workshop.objects.update(**{**facts, **of_shop})
    [tag] = tags.tags_of(
        tags.pairs_numbered([pair.number]), workshop=Workshop.current(), site="https://book.example"
    )
    return tag


@pytest.fixture(autouse=True)
def _workshop():
    WorkshopFactory()


@pytest.mark.parametrize("rules", ["us", "eu", "uk"])
@pytest.mark.parametrize("case", FIBRES)
def test_fibre_lines_of(case, rules):
    content, nylon_g, _source, us_lines, other_lines, us_act = FIBRES[case]
    strand = {"strand_lot": make_lot(content={"nylon": 100}), "strand_g": nylon_g}
    pair = waiting_pair(lot=make_lot(content=content), **(strand if nylon_g else {}))
    text = text_of(pair, rules).text

    assert tuple(text["fibre"]) == (us_lines if rules == "us" else other_lines)
    assert text["act"] == (ACTS[rules] or us_act)


@pytest.mark.parametrize(
    ("rules", "origin", "systems"),
    [
        # 303.15(d), 303.33: country on the front, one step back to the yarn.
        ("us", "Made in USA", ["US women", "US men"]),
        # No origin mark is asked for there (EU: the Regulation leaves it out; UK: trade note).
        ("eu", "Made in Ireland", ["EU"]),
        ("uk", "Made in United Kingdom", ["UK", "EU"]),
    ],
)
def test_origin_and_sizes_of_a_grown_ups_sock(rules, origin, systems):
    text = text_of(waiting_pair(), rules).text

    assert text["origin"] == origin
    assert [size["system"] for size in text["sizes"]] == systems
    assert text["tracking"] == ""
    assert text["cautions"] == []


@pytest.mark.parametrize("rules", ["us", "eu", "uk"])
@pytest.mark.parametrize("group", ["baby", "child"])
def test_childrens_socks_carry_maker_place_date_and_batch(group, rules):
    # CPSC: maker, place, date, batch; under the others a batch mark is wanted (from memory).
    tag = text_of(waiting_pair(group), rules)

    assert tag.text["tracking"].startswith("Gullwing Lane Socks, Port Ellery, ")
    assert "Made 2026-06. Batch 1." in tag.text["tracking"]
    loose = ["Turn inside out and check for loose threads before each use."]
    assert tag.text["cautions"] == (loose if group == "baby" else [])
    assert any("Local law decides" in caution for caution in tag.draft.cautions)


@pytest.mark.parametrize("rules", ["us", "eu", "uk"])
def test_a_second_names_its_fault_beside_the_same_fibre(rules):
    # Not of a fibre rule: honest selling, common practice.
    first = text_of(waiting_pair(), rules).text
    second = text_of(waiting_pair(faults={1: "ladder at the heel, mended"}), rules).text

    assert second["fault"] == "Second: ladder at the heel, mended"
    assert second["fibre"] == first["fibre"]
    assert (first["price"], second["price"]) == ("$28.00", "$18.00")


@pytest.mark.parametrize(("rules", "blocks"), [("us", True), ("eu", False), ("uk", False)])
def test_care_is_asked_for_where_the_rules_want_it(rules, blocks):
    # 16 CFR 423; EU and UK: voluntary (from memory).
    tag = text_of(waiting_pair(lot=make_lot(care="")), rules)

    assert [gap.blocks for gap in tag.draft.gaps if gap.kind == "care"] == [blocks]
