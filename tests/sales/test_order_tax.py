"""Orders taken once, and the tax of a pair that is posted."""

import datetime as dt
import uuid
from decimal import Decimal

import pytest
from django.core.management import call_command
from django.urls import reverse
from django.utils import timezone

from production.services.acts import Who
from sales.errors import SalesError
from sales.models import HandOver, Order, Payment, Sale
from sales.services import orders
from sales.services.takings import takings_by_month
from tests.factories.sales import open_stall
from tests.factories.shelf import pairs_on_shelf

pytestmark = pytest.mark.django_db


@pytest.fixture
def ready(maker, at):
    who = Who(by=maker, at=at)
    [pair] = pairs_on_shelf(1, who)
    wish = orders.Wish("Wren Alder", "8½, kelp", at.date(), 3200)
    order = orders.take_order(wish=wish, today=at.date(), who=who)
    return orders.reserve_pair(order=order, pair=pair, who=who)


def hand_over(page, order, **typed):
    address = reverse("sales:order_hand_over", args=[order.pk])
    return page.post(address, {"paid_by": "other", "how": "post"} | typed)


@pytest.mark.parametrize("deposit", ["", "10"])
def test_a_double_press_takes_one_order(page, deposit):
    typed = {
        "customer": "Wren", "wish": "kelp", "price": "32", "deposit": deposit,
        "promised_on": (timezone.localdate() + dt.timedelta(days=7)).isoformat(),
        "key": str(uuid.uuid4()),
    }  # fmt: skip

    answers = [page.post(reverse("sales:order_new"), typed) for _ in range(2)]

    order = Order.objects.get()
    assert {answer.url for answer in answers} == {order.get_absolute_url()}
    assert order.deposit_minor == (1000 if deposit else 0)
    page.post(reverse("sales:order_new"), typed | {"key": str(uuid.uuid4())})
    assert Order.objects.count() == 2


# Tax inside a price by hand: 32.00 * 8.875 / 108.875 = 2.6085 -> 2.61;
# 32.00 * 0.15625 / 100.15625 = 0.0499 -> 0.05. The half: test_money.
@pytest.mark.parametrize(("percent", "tax"), [("8.875", 261), ("20", 533), ("0.156", 5)])
def test_a_posted_pair_is_taxed_by_the_rate_that_was_typed(page, ready, percent, tax):
    hand_over(page, ready, taxed="on", tax_percent=percent)

    sale = Sale.objects.get()
    assert (sale.total_minor, sale.tax_minor) == (3200, tax)
    shown = page.get(ready.get_absolute_url()).text
    assert f"tax inside at {percent} %" in shown
    assert f"Tax, {percent} %" in page.get(reverse("sales:receipt", args=[sale.pk])).text
    day = sale.act.at.date()
    assert takings_by_month(since=day, until=day).total.tax_owed == tax
    call_command("check_books")


def test_a_half_of_the_least_coin_of_tax_is_rounded_up(maker, at, ready):
    Order.objects.filter(pk=ready.pk).update(price_minor=21)

    # 21 at 50 % inside is 7; 21 at 40 % inside is exactly 6; 21 at 20 % inside is 3.5.
    sale = orders.hand_over(
        order=ready, paid_by=Payment.OTHER, who=Who(by=maker, at=at), tax_percent=Decimal(20)
    )

    assert sale.tax_minor == 4


def test_without_the_tick_nothing_is_taxed_and_the_caution_is_there(page, ready):
    assert "Not tax advice" in page.get(ready.get_absolute_url()).text

    hand_over(page, ready)

    assert Sale.objects.get().tax_minor == 0
    assert HandOver.objects.get().tax_percent is None


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"taxed": "on"}, "tax_percent"),
        ({"taxed": "on", "tax_percent": "much"}, "tax_percent"),
        ({"taxed": "on", "tax_percent": "0"}, "tax_percent"),
        ({"taxed": "on", "tax_percent": "51"}, "tax_percent"),
        ({"tax_percent": "8"}, "taxed"),
    ],
)
def test_a_rate_that_is_none_is_told_at_its_field(page, ready, typed, field):
    refused = hand_over(page, ready, **typed)

    assert refused.status_code == 422
    assert field in refused.context["hand_over"].errors
    assert not Sale.objects.exists()


def test_at_the_stall_the_tax_of_the_market_holds(page, maker, at, ready):
    day = open_stall(maker, tax_percent=Decimal(10))

    refused = hand_over(page, ready, how="stall", taxed="on", tax_percent="8")
    assert "tax_percent" in refused.context["hand_over"].errors
    with pytest.raises(SalesError, match="of the market holds"):
        orders.hand_over(
            order=ready,
            paid_by=Payment.CASH,
            how=HandOver.How.STALL,
            day=day,
            tax_percent=Decimal(8),
            who=Who(by=maker, at=at),
        )

    hand_over(page, ready, how="stall")
    # 3200 * 10 / 110 = 290.9
    assert Sale.objects.get().tax_minor == 291
