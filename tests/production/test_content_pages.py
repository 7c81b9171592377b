"""What is in a sock or a pair, its label under each rule set, and the maker's choices."""

import pytest
from django.urls import reverse

from production.errors import ProductionError
from production.models import LabelChoice
from production.services import pairs
from production.services.acts import Who
from production.services.content import content_of
from production.services.label_choices import (
    drop_choice,
    label_choices_of,
    make_choice,
)
from production.services.stories import socks_of
from tests.factories.tags import AT, make_lot, somebody, waiting_pair

pytestmark = pytest.mark.django_db


def reinforced(**of_pair):
    strand = make_lot(content={"nylon": 100})
    return waiting_pair(strand_lot=strand, strand_g=1.5, **of_pair)


def made_for(pair):
    """Return the choices that hold for one pair."""
    return label_choices_of([pair])[pair.pk]


def address(pair):
    return reverse("production:pair_content", args=[pair.number])


def test_pair_content_shows_grams_by_role_and_three_labels_side_by_side(page):
    pair = reinforced()

    text = page.get(address(pair)).text

    # By hand: 60 g of 75/25 base and 3 g of strand; 3 over 60 is the 5 % of 16 CFR 300.27, and
    # Annex VII of EU 1007/2011 leaves it out.
    assert ">60.0<" in text
    assert ">3.0<" in text
    assert "Except 5% Nylon added to toe and heel" in text
    assert text.count("75% wool, 25% polyamide") == 2
    for words in (
        "Not legal advice",
        "16 CFR 300",
        "EU 1007/2011",
        "UK SI 2012/1102",
        "re-check",
        "Federal Trade Commission",
        "trading-standards",
        "market-surveillance",
    ):
        assert words in text
    for word in ("compliant", "tested", "safe "):
        assert word not in text.lower()


def test_sock_content_shows_one_sock(page):
    pair = reinforced()
    sock = socks_of(pair)[0]

    text = page.get(
        reverse("production:sock_content", args=[sock.string.number, sock.position])
    ).text

    assert ">30.0<" in text
    assert ">1.5<" in text
    assert "Except 5% Nylon added to toe and heel" in text


def test_pair_and_sock_pages_lead_to_the_content(page):
    pair = waiting_pair()

    assert address(pair) in page.get(pair.get_absolute_url()).text


def test_a_choice_is_kept_with_its_reason_and_changes_the_label(page):
    pair = reinforced()

    page.post(
        address(pair),
        {"choice": "count_added", "holds_for": "pattern", "reason": "nylon is in the base too"},
    )
    text = page.get(address(pair)).text

    row = LabelChoice.objects.get()
    assert (row.pattern_id, row.yarn_id) == (pair.pattern_id, None)
    assert "71% Wool" in text  # 45 of 63 g
    assert "nylon is in the base too" in text
    assert made_for(pair).choices.count_added


@pytest.mark.parametrize(
    ("sent", "field"),
    [
        ({"reason": ""}, "reason"),
        ({"choice": "functional:cotton"}, "choice"),
        ({"choice": ""}, "choice"),
        ({"holds_for": "999"}, "holds_for"),
    ],
)
def test_choices_are_refused_at_their_field(page, sent, field):
    pair = reinforced()
    fine = {"choice": "count_added", "holds_for": "pattern", "reason": "why not"}

    answer = page.post(address(pair), fine | sent)

    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert not LabelChoice.objects.exists()


def test_a_dropped_choice_holds_no_longer(page):
    pair = reinforced()
    choice = make_choice(
        kind="count_added", value="", reason="so", pattern=pair.pattern, who=somebody()
    )

    page.post(reverse("production:choice_drop", args=[choice.pk]), {"pair": pair.number})

    assert not made_for(pair).rows
    assert LabelChoice.objects.get().dropped_at is not None


def test_a_choice_for_a_yarn_holds_for_every_pattern_of_it():
    one, other = waiting_pair(design="A"), waiting_pair(design="B")
    make_choice(
        kind="functional", value="Elastane", reason="stretch", yarn=one.lot.yarn, who=somebody()
    )

    found = label_choices_of([one, other])

    assert found[one.pk].choices.functional == ("spandex, stretch",)
    assert found[other.pk].choices.functional == ()


@pytest.mark.parametrize(
    ("choice", "said"),
    [
        ({"kind": "functional", "value": "wol"}, "nearest: wool"),
        ({"kind": "exclude", "value": "base"}, "does not go with it"),
        ({"kind": "unknown", "value": "a riddle"}, "does not go with it"),
        ({"kind": "colour", "value": ""}, "no choice the rules leave open"),
        ({"kind": "by_section", "value": "", "reason": " "}, "Write down why"),
    ],
)
def test_make_choice_refuses_what_the_rules_do_not_leave_open(choice, said):
    pair = waiting_pair()

    with pytest.raises(ProductionError, match=said):
        make_choice(**{"reason": "so", "pattern": pair.pattern, "who": somebody()} | choice)


def test_a_choice_is_for_something_and_made_once():
    pair = waiting_pair()
    fine = {"kind": "by_section", "value": "", "reason": "clear", "who": somebody()}

    with pytest.raises(ProductionError, match="which pattern or yarn"):
        make_choice(**fine)
    make_choice(**fine, pattern=pair.pattern)
    with pytest.raises(ProductionError, match="made already"):
        make_choice(**fine, pattern=pair.pattern)


def test_another_ground_for_care_words_takes_the_place_of_the_first():
    pair = waiting_pair()
    for ground in ("either_side", "harshest"):
        made = make_choice(
            kind="care_place", value=ground, reason="so", pattern=pair.pattern, who=somebody()
        )
    kept = made_for(pair).care_place
    drop_choice(choice=made, who=somebody())

    assert kept == "harshest"
    assert made_for(pair).care_place == "sewn_in"


def test_unknown_yarn_prints_nothing_until_the_maker_says_what_stock_it_is(page):
    pair = waiting_pair(lot=make_lot(content={"cotton": 60, "unknown": 40}))
    before = page.get(address(pair)).text

    page.post(
        address(pair),
        {"choice": "unknown:odd lots", "holds_for": str(pair.lot.yarn_id), "reason": "mill shut"},
    )
    after = page.get(address(pair)).text

    # 16 CFR 303.14.
    assert "The content of a yarn is not known" in before
    assert "40% Unknown fibers--odd lots" in after
    assert "only for scraps, odd lots, second-hand or waste yarn" in after
    assert "The content of a yarn is not known" in after  # EU and UK know no such wording


def test_bamboo_is_read_with_its_caution(page):
    pair = waiting_pair(lot=make_lot(content={"bamboo": 65, "cotton": 35}))

    text = page.get(address(pair)).text

    assert "65% Rayon" in text
    assert "Bamboo is not a fibre name" in text


def test_other_lots_are_set_beside_the_last_printed_tag(page):
    first = waiting_pair(lot=make_lot(content={"wool": 75, "nylon": 25}))
    pairs.tag_pairs(
        texts={first.pk: {"rules": "us", "act": "16 CFR 300",
                          "fibre": ["75% Wool", "25% Nylon"]}},
        who=somebody(),
    )  # fmt: skip
    same = content_of(socks_of(first), pattern_id=first.pattern_id)
    other = waiting_pair(lot=make_lot(content={"wool": 70, "nylon": 30}))

    text = page.get(address(other)).text

    # 15 U.S.C. 68b names no figure; over 1 point warns and over 3 alarms here.
    assert same.earlier.worst == "ok"
    assert "drift too far from that label" in text
    assert "75 % stated, 70 % found: 5 points off" in text


def test_a_pair_of_unknown_yarn_still_shows_its_grams(page):
    pair = waiting_pair(lot=make_lot(content={}))

    answer = page.get(address(pair))

    assert answer.status_code == 200
    assert "fibre content not known" in answer.text


def test_content_costs_the_same_for_any_pair(page, django_assert_max_num_queries):
    for _ in range(4):
        pair = reinforced()
    make_choice(kind="count_added", value="", reason="so", pattern=pair.pattern,
                who=Who(by=somebody().by, at=AT))  # fmt: skip

    with django_assert_max_num_queries(16):
        page.get(address(pair))
