"""Yarn is typed in either unit and shown in the workshop's own."""

import re
from decimal import Decimal

import pytest
from django.urls import reverse

from production.models import DyeLot
from production.services.yarn import grams_on_hand
from socktrade.models import Workshop
from tests.factories.patterns import PatternVersionFactory
from tests.factories.production import logged_string, stocked_lot

pytestmark = pytest.mark.django_db


@pytest.fixture
def ounces(maker):
    Workshop.objects.update(mass_unit="oz", yarn_unit="yd")
    return maker


@pytest.fixture
def lot(maker):
    return stocked_lot(grams=1000, by=maker, tare_g=Decimal(40))


def labels(text):
    return re.findall(r"<label[^>]*>([^<]*)", text)


def test_a_lot_stands_in_ounces_and_yards(page, ounces, lot):
    logged_string(count=2, lot=lot, version=PatternVersionFactory(grams=29.3), by=ounces)

    text = page.get(lot.get_absolute_url()).text

    # 1000 g less 58.6 g are 941.4 g: 33.2 oz of 28.3495 g.
    assert "33.2 oz" in text
    assert "Ounces" in text
    figures = re.sub(r'<p class="help".*?</p>|100 g|m/100g|fill=\S+', "", text.split("</h1>")[1])
    assert not re.search(r"\d g\b", figures)


def test_a_bare_number_is_in_the_unit_that_the_label_names(page, ounces, lot):
    address = reverse("production:lot_take", args=[lot.pk])
    assert "Weight taken out [oz]" in labels(page.get(lot.get_absolute_url()).text)

    page.post(address, {"grams": "3 1/2", "use": "swatch"})

    # 3.5 oz x 28.3495 g are 99.2 g.
    assert grams_on_hand(lot) == Decimal("900.8")


def test_the_other_unit_is_typed_with_its_name(page, ounces, lot):
    page.post(reverse("production:lot_take", args=[lot.pk]), {"grams": "100 g", "use": "swatch"})

    assert grams_on_hand(lot) == 900


def test_packages_in_a_row_may_name_their_units(page, maker):
    lot = stocked_lot(grams=100, by=maker, tare_g=Decimal(0))
    address = reverse("production:lot_receive", args=[lot.pk])

    page.post(address, {"weights_g": "100 g; 3.5 oz 50"})

    assert grams_on_hand(lot) == Decimal("349.2")


def test_an_empty_weight_that_is_not_touched_stays_what_it_was(page, ounces, lot):
    address = reverse("production:lot_edit", args=[lot.pk])
    form = page.get(address).context["form"]
    shown = {name: form[name].value() for name in form.fields if form[name].value()}
    assert shown["tare_g"] == "1.411 oz"

    page.post(address, shown)

    assert DyeLot.objects.get(pk=lot.pk).tare_g == 40


def test_german_ounces_have_a_comma(page, ounces, lot):
    Workshop.objects.update(language="de")

    assert "35,3 oz" in page.get(lot.get_absolute_url()).text


def test_what_is_kept_back_is_set_in_ounces_and_kept_in_grams(page, ounces):
    form = page.get("/workshop/").context["form"]
    shown = {
        name: form[name].value() for name in form.fields if form[name].value() not in (None, False)
    }
    assert shown["lot_reserve_g"] == "0.353 oz"

    page.post("/workshop/", shown)
    assert Workshop.current().lot_reserve_g == 10
    page.post("/workshop/", {**shown, "lot_reserve_g": "1"})

    assert Workshop.current().lot_reserve_g == 28


def test_how_far_mates_may_differ_is_set_in_either_unit(page, maker):
    form = page.get("/workshop/").context["form"]
    shown = {
        name: form[name].value() for name in form.fields if form[name].value() not in (None, False)
    }
    assert shown["mate_tolerance_mm"] == "0.2 in"  # 5 mm

    page.post("/workshop/", shown)
    assert Workshop.current().mate_tolerance_mm == 5
    page.post("/workshop/", {**shown, "mate_tolerance_mm": "8 mm"})

    assert Workshop.current().mate_tolerance_mm == 8


def test_a_new_book_in_the_united_states_begins_with_yards(client, db):
    from socktrade.whereabouts import likely_workshop

    there, here = likely_workshop("en-US"), likely_workshop("de-AT")

    assert (there.length_unit, there.yarn_unit, there.mass_unit) == ("in", "yd", "g")
    assert (here.length_unit, here.yarn_unit, here.mass_unit) == ("cm", "m", "g")
