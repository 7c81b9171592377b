"""Orders on their way: deposits as acts, yarn kept back, socks followed, data handed out."""

import csv
import datetime as dt
import io
import json
import uuid
from decimal import Decimal

import pytest
from django.core.management import call_command
from django.urls import reverse
from django.utils import timezone

from production.errors import CannotUndoError
from production.models import Act, Pair, Sock
from production.services.acts import Who
from sales.errors import SalesError
from sales.models import (
    DayState,
    Deposit,
    HandOver,
    MarketDay,
    Order,
    OrderState,
    Payment,
    Sale,
    SortOut,
)
from sales.services import days, deposits, following, orders, purse, till
from tests.factories.production import logged_string
from tests.factories.sales import MarketDayFactory, open_stall
from tests.factories.shelf import lot_of, pairs_on_shelf, pattern_of, version_of

pytestmark = pytest.mark.django_db


def order_of(who, *, day=None, deposit=1000, paid_by=Payment.CASH, **wish):
    figures = {"wish": "8½, kelp", "customer": "Wren Alder", "price_minor": 3200} | wish
    return orders.take_order(
        wish=orders.Wish(promised_on=who.at.date(), deposit_minor=deposit, **figures),
        today=who.at.date(),
        who=who,
        paid_by=paid_by,
        day=day,
    )


def ready_order(who, **facts):
    [pair] = pairs_on_shelf(1, who)
    return orders.reserve_pair(order=order_of(who, **facts), pair=pair, who=who)


def test_a_deposit_taken_at_the_stall_is_in_the_tin_of_that_day(maker, who):
    day = open_stall(maker, float_minor=5000)

    order = order_of(who, day=day)

    money = purse.takings_of(day)
    assert (money.deposited, money.total, money.expected) == (1000, 1000, 6000)
    assert order.deposit_minor == 1000
    assert day.day_acts.filter(act__kind="deposit").exists()


def test_the_balance_at_hand_over_is_all_that_comes_into_the_tin(maker, who):
    order = ready_order(who)
    day = open_stall(maker, float_minor=5000)

    sale = orders.hand_over(
        order=order, paid_by=Payment.CASH, how=HandOver.How.STALL, day=day, who=who
    )

    assert sale.total_minor == 3200
    assert purse.takings_of(day).expected == 5000 + 2200
    assert not SortOut.objects.exists()
    call_command("check_books")


def test_deposit_and_balance_on_two_days_add_up_to_the_price(maker, who):
    first = open_stall(maker)
    order = order_of(who, day=first, paid_by=Payment.CARD)
    days.close_day(day=first, counted_minor=5000, requests_noted=True, who=who)
    [pair] = pairs_on_shelf(1, who)
    order = orders.reserve_pair(order=order, pair=pair, who=who)
    second = MarketDayFactory()
    days.open_day(day=second, float_minor=0, who=who)
    second.refresh_from_db()

    orders.hand_over(order=order, paid_by=Payment.CASH, how=HandOver.How.STALL, day=second, who=who)

    assert purse.takings_of(first).total + purse.takings_of(second).total == 3200
    assert (purse.cards_expected(first), purse.cash_expected(second)) == (1000, 2200)


def test_undoing_a_deposit_gives_the_money_back_to_the_balance(who):
    order = order_of(who)
    deposit = Deposit.objects.get()

    till.undo_act(act_id=deposit.act_id, who=who)

    order.refresh_from_db()
    assert (order.deposit_minor, order.balance_minor) == (0, 3200)
    call_command("check_books")


def test_a_deposit_that_counted_at_the_hand_over_is_not_undone_before_it(who):
    order = ready_order(who)
    orders.hand_over(order=order, paid_by=Payment.CASH, who=who)

    with pytest.raises(CannotUndoError, match="handed over since"):
        till.undo_act(act_id=Deposit.objects.get().act_id, who=who)

    order.refresh_from_db()
    assert order.deposit_minor == 1000


@pytest.mark.parametrize("amount", [0, 2201])
def test_take_deposit_refuses_nothing_and_more_than_is_to_pay(who, amount):
    order = order_of(who)

    with pytest.raises(SalesError, match="more than nothing") as refusal:
        deposits.take_deposit(order=order, amount_minor=amount, paid_by=Payment.CASH, who=who)

    assert refusal.value.field == "deposit"
    assert Deposit.objects.count() == 1


def test_take_deposit_refuses_a_day_that_is_not_open(who):
    order, acts = order_of(who), Act.objects.count()

    with pytest.raises(SalesError, match="open day"):
        deposits.take_deposit(
            order=order, amount_minor=1, paid_by=Payment.CASH, who=who, day=MarketDayFactory()
        )

    assert Act.objects.count() == acts


def test_a_cancelled_order_pays_its_deposit_back_or_keeps_it(maker, who):
    day = open_stall(maker, float_minor=5000)
    kept, back = order_of(who, day=day), order_of(who, day=day)

    orders.cancel_order(order=kept, who=who)
    orders.cancel_order(order=back, who=who, pay_back=Payment.CASH, day=day)

    assert purse.takings_of(day).deposited == 1000
    assert purse.cash_expected(day) == 6000
    call_command("check_books")


def test_money_typed_twice_under_one_key_is_one_deposit(maker, at, who):
    order, keyed = order_of(who, deposit=0), Who(by=maker, at=at, key=uuid.UUID(int=3))

    for _ in range(2):
        deposits.take_deposit(order=order, amount_minor=500, paid_by=Payment.CASH, who=keyed)

    assert Deposit.objects.get().amount_minor == 500


def test_a_pair_set_aside_is_sold_with_a_doubt_and_the_order_says_so(page, maker, who):
    order = ready_order(who)
    day = open_stall(maker)

    till.sell(day=day, lines=[till.Line(2800, pair=order.pair)], paid_by="cash", who=who)

    assert f"set aside for order {order.pk}" in SortOut.objects.get().story
    assert "went to somebody else" in page.get(order.get_absolute_url()).text


def test_yarn_is_kept_back_for_an_order_until_it_is_knitted(page, who):
    lot, version = lot_of(who), version_of(pattern_of(), who)
    first = order_of(who, lot=lot, version=version)
    second = order_of(who, lot=lot, version=version, yarn_g=89_980.0)

    kept = following.yarn_kept(second)
    assert (first.yarn_g, kept.others_g) == (60.0, 60.0)
    assert kept.short_g == pytest.approx(89_980 + 60 - kept.on_hand_g)
    assert "g are missing" in page.get(second.get_absolute_url()).text
    string = logged_string(count=2, version=version, lot=lot, by=who.by)
    following.follow_socks(order=first, text=str(string.number), who=who)

    assert following.yarn_kept(second).others_g == 0


def test_an_order_follows_its_socks_to_the_pair(page, who):
    [pair] = pairs_on_shelf(1, who)
    sock = Sock.objects.filter(pair=pair).select_related("string").first()
    order = order_of(who)

    page.post(reverse("sales:order_follow", args=[order.pk]), {"socks": sock.number})
    shown = page.get(order.get_absolute_url()).text
    assert f'Knitted in <a href="{sock.string.get_absolute_url()}"' in shown
    assert f"Set {pair.label} aside" in shown
    page.post(reverse("sales:order_reserve", args=[order.pk]), {"pair": pair.label})

    order.refresh_from_db()
    assert (order.state, order.pair) == (OrderState.READY, pair)


@pytest.mark.parametrize(("text", "told"), [("sock", "is no sock"), ("999-01", "has no 999-01")])
def test_socks_that_are_not_there_are_told_at_the_field(page, who, text, told):
    order = order_of(who)

    refused = page.post(reverse("sales:order_follow", args=[order.pk]), {"socks": text})

    assert refused.status_code == 422
    assert told in refused.text
    assert Order.objects.get().run is None


def test_two_socks_are_not_followed_for_two_orders(who):
    string = logged_string(count=2, by=who.by)
    following.follow_socks(order=order_of(who), text=f"{string.number}-02", who=who)

    with pytest.raises(SalesError, match="all for other orders"):
        following.follow_socks(order=order_of(who), text=f"{string.number}-01", who=who)


@pytest.mark.parametrize(
    ("system", "size", "foot_mm"),
    [
        # Foot lengths by the formulas of patterns/core/feet: US women 8½ -> (8.5 + 20.5) / 3 in.
        ("us_women", "8½", 245.5),
        ("us_women", "8 1/2", 245.5),
        ("us_men", "16", 321.7),
        ("eu", "39", 246.7),
        ("mondopoint", "250", 250.0),
    ],
)
def test_a_shoe_size_becomes_a_foot(page, who, system, size, foot_mm):
    typed = {
        "customer": "Wren", "wish": "kelp", "promised_on": "2099-01-01", "price": "32",
        "shoe_system": system, "shoe_size": size,
    }  # fmt: skip
    page.post(reverse("sales:order_new"), typed | {"promised_on": _soon()})

    order = Order.objects.get()
    assert order.foot_length_mm == pytest.approx(foot_mm, abs=0.1)
    assert order.shoe.endswith(size)


@pytest.mark.parametrize("size", ["large", "-40", "99"])
def test_a_shoe_size_that_is_none_is_told_at_its_field(page, size):
    typed = {"customer": "W", "wish": "k", "price": "32", "promised_on": _soon()}

    refused = page.post(reverse("sales:order_new"), typed | {"shoe_size": size})

    assert refused.status_code == 422
    assert "shoe_size" in refused.context["form"].errors
    assert not Order.objects.exists()


def test_a_deposit_and_a_posted_hand_over_go_by_their_pages(page, who):
    order = ready_order(who, deposit=0)
    too_much = page.post(reverse("sales:order_deposit", args=[order.pk]), {"deposit": "99"})
    assert too_much.status_code == 422
    page.post(reverse("sales:order_deposit", args=[order.pk]), {"deposit": "12", "paid_by": "card"})
    address = reverse("sales:order_hand_over", args=[order.pk])

    no_stall = page.post(address, {"paid_by": "cash", "how": "stall"})
    assert "No stall is open" in no_stall.text
    page.post(address, {"paid_by": "other", "how": "post"})

    shown = page.get(order.get_absolute_url()).text
    assert "posted, rest paid by other" in shown
    receipt = page.get(reverse("sales:receipt", args=[Sale.objects.get().pk])).text
    assert "Paid before" in receipt
    assert "$20.00" in receipt
    assert "Wren Alder" not in receipt


def test_what_is_known_of_customers_is_handed_out_and_harmless_in_a_sheet(page, who):
    order = order_of(who, customer=" =HYPERLINK(1)", contact="+1 555 0100")

    sheet = list(csv.DictReader(io.StringIO(page.get(reverse("sales:customers_csv")).text)))
    told = json.loads(page.get(reverse("sales:customers_json")).text)
    own = json.loads(page.get(reverse("sales:order_data", args=[order.pk])).text)

    assert (sheet[0]["customer"], sheet[0]["contact"]) == ("' =HYPERLINK(1)", "'+1 555 0100")
    assert told == own
    assert (told[0]["contact"], told[0]["paid_minor"]) == ("+1 555 0100", 1000)


def test_erasing_leaves_nothing_of_the_customer_in_what_is_handed_out(page, who):
    order = order_of(who, contact="555 0100", shoe="US men 9", foot_length_mm=262.4)
    orders.cancel_order(order=order, who=who)

    page.post(reverse("sales:order_erase", args=[order.pk]))

    told = page.get(reverse("sales:customers_json")).text + page.get(order.get_absolute_url()).text
    for word in ("Wren", "555 0100", "kelp", "US men 9", "262"):
        assert word not in told


def test_a_receipt_shows_the_tax_apart(page, maker, who):
    day = open_stall(maker, pairs=2, tax_percent=Decimal(10), tax_included=False)
    pair = Pair.objects.in_stall_box().first()
    line = till.Line(2500, pair=pair, reason="friend")
    sale = till.sell(day=day, lines=[line], paid_by="card", who=who)

    shown = page.get(reverse("sales:receipt", args=[sale.pk])).text

    for words in (pair.label, "on the tag $28.00", "Tax, 10 %", "$2.50", "$27.50", "Paid by card"):
        assert words in shown
    till.undo_act(act_id=sale.act_id, who=who)
    assert "taken back" in page.get(reverse("sales:receipt", args=[sale.pk])).text


def test_the_page_of_an_order_asks_no_more_for_more_socks(page, who, django_assert_max_num_queries):
    string = logged_string(count=12, by=who.by)
    order = following.follow_socks(order=order_of(who), text=str(string.number), who=who)

    with django_assert_max_num_queries(20):
        page.get(order.get_absolute_url())
    assert MarketDay.objects.filter(state=DayState.OPEN).count() == 0


def _soon():
    return (timezone.localdate() + dt.timedelta(days=7)).isoformat()


def test_the_page_of_a_lot_shows_what_orders_keep_back(page, who):
    lot, version = lot_of(who), version_of(pattern_of(), who)
    assert "kept back for orders" not in page.get(lot.get_absolute_url()).text
    order = order_of(who, lot=lot, version=version)

    shown = page.get(lot.get_absolute_url()).text

    assert "<b>60 g</b> of it are kept back for orders" in " ".join(shown.split())
    assert f'href="{order.get_absolute_url()}"' in shown
    string = logged_string(count=2, version=version, lot=lot, by=who.by)
    following.follow_socks(order=order, text=str(string.number), who=who)
    assert "kept back for orders" not in page.get(lot.get_absolute_url()).text
