"""Yarn beside the orders and market days ahead."""

import datetime as dt

import pytest
from django.urls import reverse

from sales.models import Order
from sales.services.yarn_ahead import yarn_ahead
from socktrade.models import Workshop
from tests.factories.patterns import PatternVersionFactory
from tests.factories.production import AT, logged_string, stocked_lot

pytestmark = pytest.mark.django_db
TODAY = AT.date()


def ordered(version, days=14, **facts):
    return Order.objects.create(
        customer="Somebody", wish="a pair", version=version, taken_on=TODAY,
        promised_on=TODAY + dt.timedelta(days=days), price_minor=3000, **facts,
    )  # fmt: skip


@pytest.fixture
def version():
    return PatternVersionFactory(grams=30)


def test_an_order_that_no_lot_can_make_shows_the_day_its_yarn_runs_out(page, maker, version):
    lot = stocked_lot(grams=190, by=maker)
    logged_string(count=2, lot=lot, version=version, by=maker)
    ordered(version, days=7)
    ordered(version, days=14)

    # By hand: 190 - 60 knitted - 10 kept are 120 g; an order takes 2 x 30 x 1.05 = 63 g.
    ahead = yarn_ahead(workshop=Workshop.current(), today=TODAY)
    text = page.get(reverse("yarn_low")).text

    [row] = ahead.rows
    assert (ahead.pairs, row.yarn) == (2, lot.yarn)
    assert row.low.runs_out_on == TODAY + dt.timedelta(days=14)
    assert row.low.short_g == pytest.approx(6)
    assert row.buy_100g == 1
    assert "18 Jun 2026" in text
    assert "1 × 100 g" in text


def test_an_order_that_is_on_the_machine_takes_no_more_yarn(maker, version):
    lot = stocked_lot(by=maker)
    string = logged_string(count=2, lot=lot, version=version, by=maker)
    ordered(version, run=string.runs.get())

    assert yarn_ahead(workshop=Workshop.current(), today=TODAY).rows == ()


def test_the_page_says_what_to_do_first(page):
    assert "No market day is planned" in page.get(reverse("yarn_low")).text


def test_the_yarn_shelf_leads_there(page, maker):
    stocked_lot(by=maker)

    assert reverse("yarn_low") in page.get(reverse("production:yarn_list")).text
