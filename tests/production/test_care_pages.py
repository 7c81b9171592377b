"""Care sets built on a page, what they rest on, and their drawings."""

import datetime as dt

import pytest
from django.template.loader import render_to_string
from django.urls import reverse

from production.core.care import PRESETS, CareSet
from production.core.caresymbols import care_symbols
from production.errors import ProductionError
from production.models import Care, Sock, Yarn
from production.services.care import care_of_parts, follow_care, keep_care
from production.services.loads import clashes, load_of
from production.services.shelfpapers import care_cards
from socktrade.models import Workshop
from tests.factories.production import YarnFactory, logged_string, stocked_lot
from tests.factories.tags import waiting_pair

pytestmark = pytest.mark.django_db

ANSWERS = {
    "name": "Quay sock",
    "wash": "machine",
    "temperature": "cold",
    "cycle": "gentle",
    "bleach": "none",
    "dry": "flat",
    "iron": "unneeded",
    "warnings": ["wash_inside_out"],
    "own_words": "Keep from the cat",
    "basis": "ball band and a washed sample",
    "basis_on": "2026-05-02",
}


def test_a_care_set_is_built_question_by_question(page):
    page.post(reverse("production:care_new"), ANSWERS)
    text = page.get(reverse("production:care_list")).text

    care = Care.objects.get().care_set
    assert care.warnings == ("wash_inside_out", "Keep from the cat")
    assert "Machine wash cold, gentle cycle. Wash inside out. Do not bleach." in text
    assert "ball band and a washed sample, 2 May 2026" in text
    assert "Not legal advice" in text


@pytest.mark.parametrize("question", ["wash", "temperature", "cycle", "bleach", "dry", "iron"])
def test_silence_is_refused_at_its_question(page, question):  # 16 CFR 423.6(b)(1)
    answer = page.post(reverse("production:care_new"), ANSWERS | {question: ""})

    assert answer.status_code == 422
    assert "silence is a claim" in answer.context["form"].errors[question][0]
    assert not Care.objects.exists()


@pytest.mark.parametrize(
    ("sent", "field", "words"),
    [
        ({"basis": ""}, "basis", "grounds before the first sale"),
        ({"basis_on": "2090-01-01"}, "basis_on", "cannot be right"),
        ({"basis_on": "May"}, "basis_on", "no day of the calendar"),
        ({"wash": "hand", "temperature": "hot"}, "temperature", "a hand wash is warm or cold"),
        ({"name": "cotton"}, "name", "one of the starting points"),
    ],
)
def test_care_sets_are_refused_at_their_field(page, sent, field, words):
    answer = page.post(reverse("production:care_new"), ANSWERS | sent)

    assert answer.status_code == 422
    assert words in answer.context["form"].errors[field][0]
    assert not Care.objects.exists()


def test_a_starting_point_fills_the_questions(page):
    form = page.get(reverse("production:care_new"), {"from": "Cotton"}).context["form"]

    assert form["temperature"].value() == "warm"
    assert form["basis"].value() is None


def test_yarns_follow_a_set_and_change_with_it(page):
    keep_care(name="Mine", care=PRESETS["Cotton"], basis="band", basis_on=dt.date(2026, 5, 1))
    yarn = YarnFactory.build(care="Mine")
    follow_care(yarn)
    yarn.save()
    row = Care.objects.get()

    page.post(reverse("production:care_edit", args=[row.pk]), ANSWERS | {"name": "Mine now"})

    yarn = Yarn.objects.get()
    assert yarn.care == "Mine now"
    assert yarn.care_set.bleach == "none"
    assert yarn.care_set.warnings == ("wash_inside_out", "Keep from the cat")


def test_a_yarn_takes_her_set_on_its_page(page):
    row = keep_care(name="Mine", care=PRESETS["Cotton"], basis="band", basis_on=dt.date(2026, 5, 1))

    page.post(
        reverse("production:yarn_new"),
        {"name": "Q", "colour": "R", "count_text": "250 tex", "fibre_1": "cotton",
         "percent_1": "100", "care": row.name, "code": "7"},
    )  # fmt: skip

    assert Yarn.objects.get().care_set == PRESETS["Cotton"]


def test_two_sets_of_one_name_are_refused():
    keep_care(name="Mine", care=PRESETS["Cotton"], basis="band", basis_on=dt.date(2026, 5, 1))

    with pytest.raises(ProductionError, match="is called mine already"):
        keep_care(name="mine", care=PRESETS["Cotton"], basis="b", basis_on=dt.date(2026, 5, 1))


def test_the_mildest_care_needs_the_care_of_every_yarn():  # 16 CFR 423.6: silence is a claim
    cotton, wool = PRESETS["Cotton"], PRESETS["Non-superwash wool"]

    mild = care_of_parts([cotton, wool])

    assert (mild.wash, mild.temperature, mild.bleach, mild.dry) == ("hand", "cold", "none", "flat")
    assert care_of_parts([cotton, None]) is None
    assert care_of_parts([]) is None


def test_drawings_are_off_until_the_workshop_wants_them_and_stand_beside_words(page):
    off = page.get(reverse("production:care_list")).text
    Workshop.objects.update(care_symbols=True)
    on = page.get(reverse("production:care_list")).text
    Workshop.objects.update(label_rules="eu")
    eu = page.get(reverse("production:care_list")).text

    assert "care-symbols" not in off
    assert 'aria-label="machine wash cold, gentle cycle"' in on
    assert "Machine wash cold, gentle cycle." in on
    assert "care-symbols" not in eu


def test_drawings_follow_the_order_of_the_label():
    # ASTM D5489: wash, bleach, dry, iron (scope note); dots 1, 2, 3 are 30, 40, 50 C.
    care = CareSet("machine", "warm", "non_chlorine", "tumble_low", cycle="gentle", iron="none")

    drawn = care_symbols(care)

    assert [one.means for one in drawn] == [
        "machine wash warm, gentle cycle", "only non-chlorine bleach when needed",
        "tumble dry low", "do not iron",
    ]  # fmt: skip
    assert drawn[0].filled.count("Z") == 2
    assert drawn[2].filled.count("Z") == 1


@pytest.mark.parametrize("wash", ["hand", "machine"])
@pytest.mark.parametrize("bleach", ["any", "non_chlorine", "none"])
@pytest.mark.parametrize("dry", ["tumble_high", "tumble_medium", "tumble_no_heat", "line", "flat"])
@pytest.mark.parametrize("iron", ["hot", "unneeded", "cool"])
def test_every_care_set_has_four_drawings_all_different(wash, bleach, dry, iron):
    drawn = care_symbols(CareSet(wash, "cold", bleach, dry, iron=iron))

    assert len({one.outline for one in drawn}) == 4


def test_no_drawing_is_given_under_other_rules():  # registered trademarks there
    care = PRESETS["Cotton"]

    assert care_symbols(care, "eu") == care_symbols(care, "uk") == ()
    with pytest.raises(ValueError, match="rules is 'fr'"):
        care_symbols(care, "fr")


def test_what_is_dry_cleaned_only_has_one_drawing():
    # ASTM D5489: four laundry drawings in order, or the one for professional care (scope note).
    def drawn(solvent):
        care = CareSet("none", "", "", "", cycle="", dry_clean=solvent)
        return [one.means for one in care_symbols(care)]

    assert drawn("any") == ["dry-clean"]
    assert drawn("petroleum") == ["dry-clean, petroleum solvent"]
    assert drawn("none") == ["do not wash", "do not dry-clean"]


def test_a_set_for_dry_cleaning_leaves_the_questions_of_water_open(page):
    water = dict.fromkeys(("temperature", "cycle", "bleach", "dry"), "")
    sent = ANSWERS | water | {"wash": "none", "warnings": [], "own_words": ""}

    refused = page.post(reverse("production:care_new"), sent)
    kept = page.post(reverse("production:care_new"), sent | {"dry_clean": "any"}, follow=True)

    assert "needs a word on dry-cleaning" in refused.context["form"].errors["dry_clean"][0]
    assert "Dry-clean only." in kept.text
    assert Care.objects.get().care_set.dry_clean == "any"


def test_the_content_page_doubts_a_starting_point(page):  # 16 CFR 423.6(c)
    pair = waiting_pair()

    text = page.get(reverse("production:pair_content", args=[pair.number])).text

    assert "nobody noted what it rests on" in text


def test_socks_that_water_harms_are_asked_about_before_the_wash(maker):
    care = CareSet("none", "", "", "", cycle="", dry_clean="any")
    keep_care(name="Mine", care=care, basis="band", basis_on=dt.date(2026, 5, 1))
    lot = stocked_lot(by=maker)
    lot.yarn.care = "Mine"
    follow_care(lot.yarn)
    lot.yarn.save()
    logged_string(count=2, lot=lot, by=maker)
    socks = Sock.objects.with_kind().prefetch_related("run__yarns__lot__yarn")

    assert load_of(socks[0]).name == "Not to be washed"
    assert clashes(list(socks)) == [f"{lot.yarn} may not be washed by its care: Dry-clean only."]


def test_a_care_card_draws_what_it_says_when_she_wants_it(page):
    Workshop.objects.update(care_symbols=True)
    waiting_pair()

    [card] = care_cards("us", drawn=True)
    plain = care_cards("us")

    assert [one.means for one in card.symbols][-1] == "iron at any heat when needed"
    assert card.words
    assert plain[0].symbols == ()


def test_drawings_are_lines_on_paper_too():
    # SVG 2, section 11.2: without its own `fill` a shape is filled black; the PDF maker applies
    # no style sheet of the page inside a drawing [run], so the attributes say it.
    symbols = care_symbols(CareSet("hand", "cold", "none", "flat", iron="none"))

    drawing = render_to_string("production/_care_symbols.html", {"symbols": symbols})

    assert drawing.count("<svg") == len(symbols)
    assert drawing.count('fill="none" stroke="#000"') == len(symbols)
