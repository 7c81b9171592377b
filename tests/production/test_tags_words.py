"""What a tag says, from socks that went through the whole bench."""

import datetime as dt
import json

import pytest

from production.core.care import CareSet
from production.core.children import tag_lines
from production.core.tagfacts import Wishes
from production.services import tags
from production.services.care import follow_care, keep_care
from socktrade.models import Workshop
from tests.factories.socktrade import WorkshopFactory
from tests.factories.tags import make_lot, waiting_pair

pytestmark = pytest.mark.django_db

SITE = "https://book.example/"
WASHED = {"wash": "machine", "temperature": "cold", "bleach": "none", "dry": "flat"}
STRAND = {"strand_g": 1.5}  # 3 g in a pair of 60 g


@pytest.fixture
def workshop():
    return WorkshopFactory(town="Port Ellery", identity="Test Bench Socks")


def tag(pair, workshop, **changes):
    for name, value in changes.items():
        setattr(workshop, name, value)
    [found] = tags.tags_of(tags.pairs_numbered([pair.number]), workshop=workshop, site=SITE)
    return found


def lot_with_grounds(**care):
    """Return a lot whose yarn follows a care set of its maker's own."""
    lot = make_lot()
    kept = keep_care(
        name="Mine", care=CareSet(**WASHED | care), basis="band", basis_on=dt.date(2026, 5, 1)
    )
    lot.yarn.care = kept.name
    follow_care(lot.yarn)
    lot.yarn.save()
    return lot


def kinds(found, *, blocks=True):
    return {gap.kind for gap in found.draft.gaps if gap.blocks == blocks}


# 16 CFR 303.23 and 300.27 (added strand over base), 303.16 (order); Reg. (EU) 1007/2011
# Art. 9 and Annex VII (heel and toe strand does not count); UK SI 2012/1102 the same.
@pytest.mark.parametrize(
    ("content", "strand", "us", "eu"),
    [
        ({"wool": 100}, False, ["100% Wool"], ["100% wool"]),
        ({"cotton": 100}, False, ["100% Cotton"], ["100% cotton"]),
        (
            {"wool": 75, "nylon": 25}, False,
            ["75% Wool", "25% Nylon"], ["75% wool, 25% polyamide"],
        ),
        (
            {"wool": 75, "nylon": 25}, True,
            ["75% Wool", "25% Nylon", "Except 5% Nylon added to toe and heel"],
            ["75% wool, 25% polyamide"],
        ),
        (
            {"cotton": 100}, True,
            ["All Cotton except 5% Nylon added to toe and heel"], ["100% cotton"],
        ),
    ],
)  # fmt: skip
@pytest.mark.parametrize("rules", ["us", "eu", "uk"])
def test_fibre_lines_follow_the_rules_from_the_grams_of_both_socks(
    workshop, rules, content, strand, us, eu
):
    more = {**STRAND, "strand_lot": make_lot(content={"nylon": 100})} if strand else {}
    pair = waiting_pair(lot=make_lot(content=content), **more)

    text = tag(pair, workshop, label_rules=rules).text

    assert text["fibre"] == (us if rules == "us" else eu)
    act = {"us": "16 CFR 300" if "wool" in content else "16 CFR 303"}
    assert text["act"] == {**act, "eu": "EU 1007/2011", "uk": "UK SI 2012/1102"}[rules]
    assert "re-check" in text["rules_date"]


# Barleycorn scales: US women = 3 x inches of foot - 20.5, US men = - 22, UK = - 23; Paris
# points 0.15 a mm + 2 (last length formulas). 230 to 255.6 mm hold the half sizes below.
@pytest.mark.parametrize(
    ("rules", "sizes", "sock_size"),
    [
        ("us", [("US women", "7–9½"), ("US men", "5½–8")], "Sock size 9"),
        ("uk", [("UK", "4½–7"), ("EU", "36½–40")], ""),
        ("eu", [("EU", "36½–40")], ""),
    ],
)
def test_size_is_that_of_the_measured_socks(workshop, rules, sizes, sock_size):
    pair = waiting_pair(measured=(230, 230))

    text = tag(pair, workshop, label_rules=rules).text

    assert [(size["system"], size["range"]) for size in text["sizes"]] == sizes
    assert text["sock_size"] == sock_size


def test_a_foot_must_suit_both_socks_and_the_number_is_never_rounded_up(workshop):
    pair = waiting_pair(measured=(232, 241))  # 9.13 and 9.49 in

    text = tag(pair, workshop).text

    # 241 mm is US women 7.96, 232 / 0.9 = 257.8 mm is 9.95.
    assert text["sizes"][0] == {"system": "US women", "range": "8–9½"}
    assert text["sock_size"] == "Sock size 9"


def test_unmeasured_socks_take_the_foot_their_rows_give(workshop):
    pair = waiting_pair()

    # 64 needles: 22 passes each for heel and toe, 57 rounds, 43.3 courses in 10 cm: 233.3 mm.
    assert tag(pair, workshop).text["sizes"][0]["range"] == "7½–10"


@pytest.mark.parametrize("group", ["child", "baby"])
def test_childrens_socks_carry_a_tracking_line_and_cautions(workshop, group):
    found = tag(waiting_pair(group), workshop)

    assert found.text["sizes"][0]["system"] == "US child"
    # Maker, place, date, batch: cpsc.gov, tracking label.
    assert found.text["tracking"] == "Test Bench Socks, Port Ellery, USA. Made 2026-06. Batch 1."
    assert found.text["cautions"] == list(tag_lines(group))
    assert any("Local law decides" in caution for caution in found.draft.cautions)


def test_a_baby_sock_asks_for_a_look_at_loose_threads(workshop):
    text = tag(waiting_pair("baby"), workshop).text

    assert text["cautions"] == ["Turn inside out and check for loose threads before each use."]


def test_grown_ups_socks_carry_neither(workshop):
    text = tag(waiting_pair(), workshop).text

    assert (text["tracking"], text["cautions"]) == ("", [])


# 16 CFR 303.33, one step back: where the yarn was made.
@pytest.mark.parametrize(
    ("spun", "strand_spun", "line"),
    [
        ("home", "home", "Made in USA"),
        ("abroad", "abroad", "Knitted in USA of imported yarn"),
        ("home", "abroad", "Knitted in USA of US and imported yarn"),
    ],
)
def test_origin_looks_back_to_the_yarn(workshop, spun, strand_spun, line):
    strand = make_lot(content={"nylon": 100}, spun_in=strand_spun)
    pair = waiting_pair(lot=make_lot(spun_in=spun), strand_lot=strand, **STRAND)

    assert tag(pair, workshop).text["origin"] == line


def test_care_is_the_mildest_of_all_yarns(workshop):
    strand = make_lot(content={"nylon": 100}, care="Non-superwash wool")
    pair = waiting_pair(lot=make_lot(care="Cotton"), strand_lot=strand, **STRAND)

    assert tag(pair, workshop).text["care"] == [
        "Hand wash cold.", "Do not bleach.", "Do not wring or twist.", "Dry flat.",
    ]  # fmt: skip


def test_a_second_names_its_fault_and_costs_less(workshop):
    text = tag(waiting_pair(faults={2: "dropped stitch, mended"}), workshop).text

    assert text["fault"] == "Second: dropped stitch, mended"
    assert text["price"] == "$18.00"


def test_nothing_is_missing_on_a_whole_tag_but_the_sewn_in_label_is_brought_to_mind(workshop):
    found = tag(waiting_pair(lot=lot_with_grounds()), workshop)

    assert kinds(found) == set()
    assert kinds(found, blocks=False) == {"sewn"}  # 16 CFR 423.1(a)


@pytest.mark.parametrize(
    ("lot", "shop", "more", "kind"),
    [
        ({"content": {}}, {}, {}, "fibre"),
        ({"content": {"wool": 33, "nylon": 33, "silk": 33}}, {}, {}, "fibre"),
        ({"content": {"unknown": 100}}, {}, {}, "fibre"),
        ({}, {}, {"price": None}, "price"),
        ({}, {"identity": " "}, {}, "identity"),
        ({"spun_in": "unknown"}, {}, {}, "origin"),
        ({}, {"country": ""}, {}, "country"),
        ({"care": ""}, {}, {}, "care"),
        ({}, {"town": ""}, {"group": "child"}, "town"),
    ],
)
def test_what_is_missing_is_said_with_where_to_mend_it(workshop, lot, shop, more, kind):
    found = tag(waiting_pair(lot=make_lot(**lot), **more), workshop, **shop)

    assert kinds(found) == {kind}
    line = tags.missing([found])[0]
    assert line.blocks
    assert line.pairs == (found.pair.label,)
    assert line.href.startswith("/")


def test_a_second_without_its_fault_is_said(workshop):
    pair = waiting_pair(faults={1: "x"})
    pair.socks.update(fault="")

    assert kinds(tag(pair, workshop)) == {"fault"}


def test_eu_rules_ask_for_no_origin_and_no_care(workshop):
    lot = make_lot(spun_in="unknown", care="")
    found = tag(waiting_pair(lot=lot), workshop, label_rules="eu")

    assert kinds(found) == set()
    assert {"origin", "care", "address"} <= kinds(found, blocks=False)


def test_a_name_that_promises_another_fibre_is_cautioned(workshop):
    found = tag(waiting_pair(design="Alpaca drift"), workshop)

    assert any("name no alpaca" in caution for caution in found.draft.cautions)


def test_words_never_give_a_verdict_and_can_be_kept(workshop):
    for group in ("women", "baby"):
        found = tag(waiting_pair(group), workshop)
        said = json.dumps(found.text) + " ".join(found.draft.cautions)

        assert not any(word in said.casefold() for word in ("compliant", "tested", "certified"))
        assert json.loads(json.dumps(found.text)) == found.text
        assert found.text["version"] == 2
        assert found.text["address"] == f"https://book.example/pairs/P{found.pair.number}/"


def test_queries_do_not_grow_with_the_pairs(workshop, django_assert_num_queries):
    def read():
        return tags.tags_of(tags.waiting_pairs(), workshop=Workshop.current(), site=SITE)

    waiting_pair()
    with django_assert_num_queries(9):
        assert len(read()) == 1
    for group in ("men", "child", "women"):
        waiting_pair(group)
    with django_assert_num_queries(9):
        assert len(read()) == 4


def _first_size(text, system):
    number = next(one["range"] for one in text["sizes"] if one["system"] == system).split("–")[0]
    return float(number.replace("½", ".5"))


@pytest.mark.parametrize(("scale", "above_men"), [("us_women", 1.5), ("us_women_athletic", 1)])
def test_a_tag_names_womens_sizes_by_the_scale_she_reads(workshop, scale, above_men):
    # Two women's scales are in use: men's size plus 1 1/2, or plus 1 (from memory).
    pair = waiting_pair(lot=make_lot())

    text = tag(pair, workshop, us_women_scale=scale).text

    assert _first_size(text, "US women") - _first_size(text, "US men") == above_men


def test_either_name_of_the_youth_sizes_takes_the_scale_she_reads():
    # The second youth scale is numbered like men's (from memory).
    wishes = Wishes(us_youth_scale="us_youth_as_men")

    assert {wishes.scale(name) for name in ("us_child", "us_youth")} == {"us_youth_as_men"}
    assert wishes.scale("us_men") == "us_men"


def test_care_without_grounds_is_a_reminder_with_its_cure(workshop):  # 16 CFR 423.6(c)
    found = tag(waiting_pair(), workshop)

    [line] = [one for one in tags.missing([found]) if "reasonable basis" in one.text]
    assert not line.blocks
    assert (line.cure, line.href) == ("Build a care set", "/yarn/care/")


def test_a_tag_says_so_when_no_cleaning_is_safe(workshop):  # 16 CFR 423.6(b)
    lot = lot_with_grounds(wash="none", dry_clean="none")

    assert tag(waiting_pair(lot=lot), workshop).text["care"] == [
        "Do not wash.",
        "Do not dry-clean.",
    ]


@pytest.mark.parametrize(
    ("wanted", "rules", "drawn"), [(False, "us", 0), (True, "us", 4), (True, "eu", 0)]
)
def test_care_drawings_travel_with_the_words_under_us_rules_only(workshop, wanted, rules, drawn):
    text = tag(
        waiting_pair(lot=lot_with_grounds()), workshop, care_symbols=wanted, label_rules=rules
    ).text

    assert len(text["care_symbols"]) == drawn
    assert text["care"][0] == "Machine wash cold."
