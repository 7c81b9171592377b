"""The yarn shelf, a lot's page and the scale."""

from decimal import Decimal

import pytest
from django.urls import reverse

from production.models import Act, DyeLot, Yarn, YarnMove
from production.services import yarn_queries
from production.services.yarn import grams_on_hand, take_yarn
from tests.factories.patterns import PatternVersionFactory
from tests.factories.production import (
    DyeLotFactory,
    YarnFactory,
    logged_string,
    stocked_lot,
    who,
)

pytestmark = pytest.mark.django_db

BAND = {
    "name": "Quay sock",
    "colour": "Rust",
    "fibre_1": "Merino",
    "percent_1": "75",
    "fibre_2": "polyamide",
    "percent_2": "25",
    "count_text": "437 yd/100 g",
    "price": "9.50",
    "spun_in": "home",
    "care": "Superwash/nylon",
    "code": "7",
    "tare_g": "38",
    "gross_g": "1120",
    "packages": "1",
}


@pytest.fixture
def lot(maker):
    return stocked_lot(grams=1000, by=maker)


def test_yarn_list_says_what_to_do_first(page):
    answer = page.get(reverse("production:yarn_list"))

    assert "No yarn is in the book" in answer.text


def test_yarn_list_shows_grams_metres_and_pairs(page, maker):
    # Common practice, by hand: gross 1120 g, tare 38 g, 250 tex, 20 g kept, 58.7 g a pair and 5 %
    # give 1082 g, 4328 m, 17 pairs (worked by hand: 1062 / 61.635 = 17.2).
    PatternVersionFactory(grams=29.35)
    lot = stocked_lot(grams=1082, by=maker)

    [shelf] = yarn_queries.yarn_shelf(reserve_g=20)
    [row] = shelf.lots
    text = page.get(reverse("production:yarn_list")).text

    assert (row.grams, row.metres, row.enough.pairs) == (1082, 4328, 17)
    assert lot.get_absolute_url() in text
    assert "4328" in text


def test_yarn_list_flags_a_lot_below_zero_and_says_why(page, maker):
    lot = stocked_lot(grams=50, by=maker)
    logged_string(count=4, lot=lot, by=maker)

    text = page.get(reverse("production:yarn_list")).text

    assert "weigh it" in text
    assert "stands below zero" in text
    assert "-67" in text  # 50 - 4 x 29.3


def test_yarn_list_counts_no_pairs_of_another_thickness(maker):
    PatternVersionFactory(tex=250)
    stocked_lot(by=maker, yarn=YarnFactory(tex=60))

    [shelf] = yarn_queries.yarn_shelf(reserve_g=10)

    assert shelf.lots[0].enough.pairs is None


def test_yarn_list_hides_used_up_lots_until_asked(page, maker):
    lot = stocked_lot(grams=80, by=maker, code="GONE-1")
    take_yarn(lot=lot, grams=Decimal(80), use="off", who=who(maker))

    assert "GONE-1" not in page.get(reverse("production:yarn_list")).text
    assert "GONE-1" in page.get(reverse("production:yarn_list"), {"used_up": "1"}).text


def test_yarn_list_costs_the_same_with_more_rows(page, maker, django_assert_max_num_queries):
    PatternVersionFactory()
    for _ in range(12):
        yarn = YarnFactory()
        stocked_lot(by=maker, yarn=yarn)
        stocked_lot(by=maker, yarn=yarn)

    with django_assert_max_num_queries(8):
        page.get(reverse("production:yarn_list"))


def test_yarn_new_enters_yarn_lot_and_weight_together(page):
    answer = page.post(reverse("production:yarn_new"), BAND)

    lot = DyeLot.objects.get()
    assert answer.url == lot.get_absolute_url()
    assert lot.yarn.content == {"wool": 75, "nylon": 25}
    # 437 yd are 399.6 m; 100 g of it are 250.3 tex (yard as 0.9144 m).
    assert lot.yarn.tex == pytest.approx(250.3, abs=0.1)
    assert lot.yarn.price_minor == 950
    assert grams_on_hand(lot) == 1082
    move = YarnMove.objects.get()
    assert (move.gross_g, move.tare_g) == (1120, 38)


def test_yarn_new_takes_a_lot_that_is_weighed_later(page):
    page.post(reverse("production:yarn_new"), BAND | {"gross_g": "", "packages": "", "tare_g": ""})

    assert DyeLot.objects.get().tare_g == 0
    assert not Act.objects.exists()


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("percent_2", "20", "add up to 95 %; 5 % are missing"),
        ("percent_2", "30", "add up to 105 %; that is 5 % too many"),
        ("percent_1", "abc", "number"),
        ("percent_1", "0", "greater than or equal"),
        ("percent_1", "", "How many percent wool?"),
        ("fibre_2", "", "25 % of which fibre?"),
        ("fibre_2", "superwash", "stands there twice"),
        ("fibre_1", "wol", "nearest: wool"),
        ("count_text", "16/4", "such as 'Nm 16/4'"),
        ("count_text", "4/16", "such as 'Nm 16/4'"),
        ("count_text", "thick", "250 tex"),
        ("count_text", "9999 tex", "2000"),
        ("price", "lots", "is not an amount in USD"),
        ("tare_g", "", "What does an empty one weigh?"),
        ("tare_g", "-3", "is not a weight"),
        ("gross_g", "", "What did the scale show?"),
        ("gross_g", "30", "leaves no yarn"),
        ("gross_g", "heavy", "is not a weight"),
        ("gross_g", "999999", "out of reach"),
        ("packages", "", "How many lay on the scale?"),
        ("packages", "0", "greater than or equal"),
        ("bought_on", "1066-10-14", "14 October 1066 cannot be right"),
        ("bought_on", "soon", "no day of the calendar"),
        ("code", "", "required"),
    ],
)
def test_yarn_new_refuses_at_the_field_and_saves_nothing(page, field, value, words):
    answer = page.post(reverse("production:yarn_new"), BAND | {field: value})

    errors = answer.context["form"].errors
    told = " ".join(errors.get(field, []) + errors.get("percent_1", []))
    assert answer.status_code == 422
    assert words in told
    assert not Yarn.objects.exists()
    assert not DyeLot.objects.exists()


def test_yarn_new_refuses_a_yarn_that_is_in_the_book(page):
    YarnFactory(name="quay SOCK", colour="rust")

    answer = page.post(reverse("production:yarn_new"), BAND)

    assert "in the book already" in answer.context["form"].errors["name"][0]
    assert Yarn.objects.count() == 1


def test_yarn_new_saves_nothing_when_the_booking_fails(page, monkeypatch):
    def fail(*args, **kwargs):
        raise RuntimeError

    monkeypatch.setattr("production.services.yarn.move_yarn", fail)

    with pytest.raises(RuntimeError):
        page.post(reverse("production:yarn_new"), BAND)

    assert not Yarn.objects.exists()
    assert not Act.objects.exists()


def test_yarn_new_sent_twice_is_one_yarn(page):
    sent = BAND | {"key": "9b2f4e6a-2f3c-4d0b-9a55-3a6f3a1d7c11"}

    page.post(reverse("production:yarn_new"), sent)
    again = page.post(reverse("production:yarn_new"), sent)

    assert again.status_code == 302
    assert Yarn.objects.count() == YarnMove.objects.count() == 1


def test_lot_new_adds_a_lot_and_refuses_its_double(page, lot):
    address = reverse("production:lot_new", args=[lot.yarn_id])

    assert "Add a lot of" in page.get(address).text
    page.post(address, {"code": "B", "tare_g": "40", "gross_g": "540", "packages": "1"})
    twice = page.post(address, {"code": "b"})

    assert grams_on_hand(DyeLot.objects.get(code="B")) == 500
    assert twice.status_code == 422
    assert "in the book already" in twice.context["form"].errors["code"][0]


def test_lot_detail_shows_the_ledger_with_running_grams(page, lot, maker):
    string = logged_string(count=2, lot=lot, by=maker)
    take_yarn(lot=lot, grams=Decimal("12.5"), use="swatch", who=who(maker))

    lines = yarn_queries.ledger(lot=lot)
    text = page.get(lot.get_absolute_url()).text

    # 1000 - 2 x 29.3 = 941.4; - 12.5 = 928.9
    assert [line.on_hand for line in lines] == [Decimal(n) for n in ("928.9", "941.4", "1000")]
    assert [line.may_undo for line in lines] == [True, False, True]
    assert string.get_absolute_url() in text
    assert "Pairs left" in text


def test_lot_detail_pages_through_a_long_ledger(page, lot, maker, monkeypatch):
    monkeypatch.setattr(yarn_queries, "LEDGER_LENGTH", 3)
    for _ in range(4):
        take_yarn(lot=lot, grams=Decimal(10), use="waste", who=who(maker))

    first = page.get(lot.get_absolute_url()).context
    second = page.get(lot.get_absolute_url(), {"before": first["older"]}).context

    assert [line.on_hand for line in first["lines"]] == [960, 970, 980]
    assert [line.on_hand for line in second["lines"]] == [990, 1000]
    assert second["older"] is None


@pytest.mark.parametrize("before", ["abc", "-1", "9" * 30, "²"])
def test_lot_detail_takes_any_address(page, lot, before):
    assert page.get(lot.get_absolute_url(), {"before": before}).status_code == 200


def test_lot_detail_costs_the_same_with_more_rows(page, lot, maker, django_assert_max_num_queries):
    version = PatternVersionFactory()
    for _ in range(10):
        PatternVersionFactory()
        logged_string(count=2, lot=lot, version=version, by=maker)
        take_yarn(lot=lot, grams=Decimal(1), use="swatch", who=who(maker))

    with django_assert_max_num_queries(14):
        page.get(lot.get_absolute_url())


def test_lot_pages_know_no_other_lot(page):
    empty = DyeLotFactory()

    assert "Nothing was booked yet" in page.get(empty.get_absolute_url()).text
    assert page.get(reverse("production:lot_detail", args=[empty.pk + 1])).status_code == 404


def test_yarn_edit_mends_the_band(page, lot):
    address = reverse("production:yarn_edit", args=[lot.yarn_id])
    facts = {name: BAND[name] for name in BAND if name not in {"code", "tare_g", "gross_g"}}

    shown = page.get(address).context["form"]
    page.post(address, facts | {"percent_1": "80", "percent_2": "20"})

    lot.yarn.refresh_from_db()
    assert [(f.value(), p.value()) for f, p in shown.fibre_rows()][:2] == [
        ("wool", 75),
        ("nylon", 25),
    ]
    assert lot.yarn.name == "Quay sock"
    assert lot.yarn.content == {"wool": 80, "nylon": 20}
    assert grams_on_hand(lot) == 1000


def test_yarn_edit_refuses_the_name_of_another_yarn(page, lot):
    YarnFactory(name="Quay sock", colour="Rust")

    answer = page.post(reverse("production:yarn_edit", args=[lot.yarn_id]), BAND)

    lot.yarn.refresh_from_db()
    assert answer.status_code == 422
    assert "Another yarn is" in answer.context["form"].errors["name"][0]
    assert lot.yarn.name != "Quay sock"


def test_lot_edit_mends_the_tare_and_leaves_the_bookings(page, lot):
    address = reverse("production:lot_edit", args=[lot.pk])

    page.post(address, {"code": "B 7", "tare_g": "45", "bought_on": "2026-02-03"})
    DyeLotFactory(yarn=lot.yarn, code="C")
    refused = page.post(address, {"code": "c"})

    lot.refresh_from_db()
    assert (lot.code, lot.tare_g, lot.bought_on.isoformat()) == ("B 7", 45, "2026-02-03")
    assert lot.moves.get().tare_g == 38
    assert 'value="2026-02-03"' in page.get(address).text
    assert "Another lot of this yarn" in refused.context["form"].errors["code"][0]


def test_yarn_new_offers_to_scale_percents_and_does(page):
    thirds = BAND | {
        "percent_1": "33", "percent_2": "33", "fibre_3": "silk", "percent_3": "33",
    }  # fmt: skip

    offered = page.post(reverse("production:yarn_new"), thirds)
    page.post(reverse("production:yarn_new"), thirds | {"scale": "1"})

    assert "Scale the percents to 100" in offered.text
    assert Yarn.objects.get().content == {"wool": 33.34, "nylon": 33.33, "silk": 33.33}


def test_yarn_new_does_not_offer_to_scale_nothing(page):
    nothing = BAND | {"fibre_1": "", "percent_1": "", "fibre_2": "", "percent_2": ""}

    answer = page.post(reverse("production:yarn_new"), nothing | {"scale": "1"})

    assert answer.status_code == 422
    assert "Scale the percents" not in answer.text


def test_yarn_new_keeps_the_word_bamboo(page):
    page.post(reverse("production:yarn_new"), BAND | {"fibre_1": "Bamboo"})

    assert Yarn.objects.get().content == {"bamboo": 75, "nylon": 25}


@pytest.mark.parametrize(
    ("price", "unit", "of_100g"),
    # A pound is 453.59237 g and an ounce a sixteenth of it (agreement of 1959).
    [("38.00", "lb", 838), ("2.50", "oz", 882), ("90", "kg", 900), ("4.75", "50g", 950)],
)
def test_yarn_new_takes_the_price_for_her_own_weight(page, price, unit, of_100g):
    page.post(reverse("production:yarn_new"), BAND | {"price": price, "price_unit": unit})

    yarn = Yarn.objects.get()
    shown = page.get(reverse("production:yarn_edit", args=[yarn.pk])).context["form"]
    assert yarn.price_minor == of_100g
    assert yarn.price_as_given_minor == round(float(price) * 100)
    assert shown["price_unit"].value() == unit
    assert yarn.get_price_unit_display() in page.get(reverse("production:yarn_list")).text
