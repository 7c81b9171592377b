import datetime as dt

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.utils import timezone

from production.core.places import PairPlace
from production.models import Pair
from production.services.acts import Who
from sales.errors import SalesError
from sales.models import Order, OrderState, Payment, Sale
from sales.services import orders, shelf, till
from tests.factories.shelf import lot_of, pairs_on_shelf, pattern_of, sell_pair, version_of
from tests.factories.socktrade import UserFactory


def order_of(customer="Wren Alder", *, days_ahead=7, taken=None, **wish):
    today = taken or timezone.localdate()
    figures = {"wish": "8½, kelp", "price_minor": 3200, "deposit_minor": 1000} | wish
    promised = today + dt.timedelta(days=days_ahead)
    return orders.take_order(
        wish=orders.Wish(customer=customer, promised_on=promised, **figures),
        today=today,
        who=somebody(),
    )


def somebody():
    return Who(by=User.objects.first() or UserFactory(), at=dt.datetime.now(dt.UTC))


def late_order(days_late, customer="Tardy Finch"):
    taken = timezone.localdate() - dt.timedelta(days=30)
    return order_of(customer, taken=taken, days_ahead=30 - days_late)


def typed(**changes):
    promised = timezone.localdate() + dt.timedelta(days=14)
    return {
        "customer": "Wren Alder",
        "contact": "555 0100",
        "wish": "US women's 8½, kelp",
        "foot_length": "9 3/4 in",
        "promised_on": promised.isoformat(),
        "price": "32",
        "deposit": "10",
    } | changes


def test_without_orders_the_page_says_what_an_order_is(page):
    assert "No orders yet" in page.get("/orders/").text


def test_the_nearest_promise_comes_first_and_late_ones_are_marked_in_words(page):
    order_of("Later Linnet", days_ahead=9)
    late_order(3)
    order_of("Today Teal", days_ahead=0)

    text = page.get("/orders/").text

    assert text.index("Tardy Finch") < text.index("Today Teal") < text.index("Later Linnet")
    assert "▲ 3 days late" in text
    assert "1 late" in text


def test_an_order_is_written_down_with_measure_pattern_and_lot(page, who):
    version = version_of(pattern_of(), who)
    lot = lot_of(who)

    answer = page.post("/orders/new/", typed(version=version.pk, lot=lot.pk), follow=True)

    order = Order.objects.get()
    assert order.foot_length_mm == pytest.approx(9.75 * 25.4)
    assert (order.version, order.lot) == (version, lot)
    assert (order.price_minor, order.deposit_minor, order.balance_minor) == (3200, 1000, 2200)
    assert "$22.00" in answer.text
    assert "stays in this book" in answer.text


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("promised_on", "1066-10-14", "14 October 1066 is past"),
        ("promised_on", "9999-01-01", "more than two years ahead"),
        ("promised_on", "soon", "That is no date"),
        ("price", "thirty", "is not an amount"),
        ("price", "-5", "is not an amount"),
        ("deposit", "33", "The deposit is more than the price"),
        ("foot_length", "0", "is out of reach here"),
        ("foot_length", "four", "is not a length"),
        ("customer", "", "This field is required"),
        ("version", "99999", "Select a valid choice"),
    ],
)
def test_a_bad_figure_is_refused_and_nothing_is_saved(page, field, value, said):
    answer = page.post("/orders/new/", typed(**{field: value}))

    assert answer.status_code == 422
    assert said in answer.text
    assert 'value="555 0100"' in answer.text
    assert not Order.objects.exists()


def test_a_pair_is_set_aside_handed_over_and_paid(page, who):
    [pair] = pairs_on_shelf(1, who)
    order = order_of()
    page.post(f"{order.get_absolute_url()}reserve/", {"pair": pair.label})
    order.refresh_from_db()
    assert (order.state, order.pair) == (OrderState.READY, pair)

    answer = page.post(
        f"{order.get_absolute_url()}hand-over/", {"paid_by": Payment.CARD}, follow=True
    )

    order.refresh_from_db()
    sale = Sale.objects.get()
    assert order.state == OrderState.HANDED_OVER
    assert (sale.total_minor, sale.paid_by, sale.day) == (3200, Payment.CARD, None)
    assert Pair.objects.get(pk=pair.pk).place == PairPlace.SOLD
    assert "rest paid by card" in answer.text
    assert 'name="act"' in answer.text
    call_command("check_books")


def test_a_hand_over_taken_back_leaves_the_order_ready(page, who):
    [pair] = pairs_on_shelf(1, who)
    order = orders.reserve_pair(order=order_of(), pair=pair)
    sale = orders.hand_over(order=order, paid_by=Payment.CASH, who=who)

    till.undo_act(act_id=sale.act_id, who=who)

    order.refresh_from_db()
    assert order.state == OrderState.READY
    assert orders.hand_over_of(order) is None
    assert "Hand it over" in page.get(order.get_absolute_url()).text


def test_the_hand_over_pressed_twice_is_one_sale(page, who):
    [pair] = pairs_on_shelf(1, who)
    order = orders.reserve_pair(order=order_of(), pair=pair)
    sent = {"paid_by": "cash", "key": "0b9f7a0e-8a53-4c0b-9c52-2f8a5e0f1a11"}

    first = page.post(f"{order.get_absolute_url()}hand-over/", sent)
    second = page.post(f"{order.get_absolute_url()}hand-over/", sent)

    assert (first.status_code, second.status_code) == (302, 302)
    assert Sale.objects.count() == 1


@pytest.mark.parametrize("number", ["", "P9999", "a sock"])
def test_a_number_that_is_no_pair_is_not_set_aside(page, number):
    order = order_of()

    answer = page.post(f"{order.get_absolute_url()}reserve/", {"pair": number})

    assert answer.status_code == 422
    assert "has-error" in answer.text
    order.refresh_from_db()
    assert order.pair is None


def test_a_pair_set_aside_for_one_is_refused_to_another(page, who):
    [pair] = pairs_on_shelf(1, who)
    orders.reserve_pair(order=order_of("First Come"), pair=pair)
    order = order_of("Second Come")

    answer = page.post(f"{order.get_absolute_url()}reserve/", {"pair": pair.label})

    assert answer.status_code == 422
    assert f"{pair} is set aside for another order (First Come)" in answer.text


def test_a_pair_that_is_sold_or_gone_is_not_set_aside(who):
    sold, gone = pairs_on_shelf(2, who)
    sell_pair(None, sold, who)
    shelf.write_off(pair_ids=[gone.pk], reason="moths", who=who)

    for pair, place in ((sold, "sold"), (gone, "gone")):
        with pytest.raises(SalesError, match=f"{pair} is {place}; only a pair at home"):
            orders.reserve_pair(order=order_of(), pair=pair)


def test_a_pair_sold_meanwhile_is_not_handed_over(page, who):
    [pair] = pairs_on_shelf(1, who)
    order = orders.reserve_pair(order=order_of(), pair=pair)
    sell_pair(None, pair, who)

    answer = page.post(f"{order.get_absolute_url()}hand-over/", {"paid_by": "cash"})

    assert answer.status_code == 422
    assert f"{pair} was sold on" in answer.text
    assert Sale.objects.count() == 1


def test_hand_over_needs_a_way_of_paying_and_a_pair(page, who):
    order = order_of()

    nothing = page.post(f"{order.get_absolute_url()}hand-over/", {"paid_by": "cash"}, follow=True)
    barter = page.post(f"{order.get_absolute_url()}hand-over/", {"paid_by": "eggs"})

    assert nothing.status_code == barter.status_code == 422
    with pytest.raises(SalesError, match="Set a finished pair aside"):
        orders.hand_over(order=order, paid_by=Payment.CASH, who=who)


def test_a_freed_pair_can_go_to_somebody_else(page, who):
    [pair] = pairs_on_shelf(1, who)
    order = orders.reserve_pair(order=order_of(), pair=pair)

    page.post(f"{order.get_absolute_url()}release/")
    again = page.post(f"{order.get_absolute_url()}release/", follow=True)

    order.refresh_from_db()
    assert (order.state, order.pair) == (OrderState.OPEN, None)
    assert "No pair is set aside" in again.text
    orders.reserve_pair(order=order_of("Second Come"), pair=pair)


def test_a_cancelled_order_frees_its_pair_and_stays_cancelled(page, who):
    [pair] = pairs_on_shelf(1, who)
    order = orders.reserve_pair(order=order_of(), pair=pair)

    page.post(f"{order.get_absolute_url()}cancel/")
    again = page.post(f"{order.get_absolute_url()}cancel/", follow=True)

    order.refresh_from_db()
    assert (order.state, order.pair) == (OrderState.CANCELLED, None)
    assert "This order is cancelled" in again.text
    assert "No orders yet" not in page.get("/orders/").text


def test_name_and_contact_are_erased_only_when_the_order_is_over(page, who):
    order = order_of(contact="555 0100")

    early = page.post(f"{order.get_absolute_url()}erase/", follow=True)
    orders.cancel_order(order=order, who=somebody())
    page.post(f"{order.get_absolute_url()}erase/")

    assert "This order is not over yet" in early.text
    order.refresh_from_db()
    assert (order.customer, order.contact, order.wish) == ("erased", "", "erased")
    text = page.get(order.get_absolute_url()).text
    assert "Wren Alder" not in text
    assert "555 0100" not in text


def test_done_orders_come_twenty_at_a_time(page):
    for number in range(22):
        orders.cancel_order(order=order_of(f"Customer {number:02}"), who=somebody())

    newest = page.get("/orders/")
    older = page.get(f"/orders/?before={newest.context['older']}")

    assert len(newest.context["closed"]) == 20
    assert [order.customer for order in older.context["closed"]] == ["Customer 01", "Customer 00"]
    assert page.get("/orders/?before=soon").status_code == 200


def test_the_list_asks_no_more_for_more_orders(page, who, django_assert_num_queries):
    version = version_of(pattern_of(), who)
    pairs = pairs_on_shelf(4, who)
    orders.reserve_pair(order=order_of(version=version), pair=pairs[0])
    page.get("/orders/")
    with django_assert_num_queries(5):
        page.get("/orders/")
    for pair in pairs[1:]:
        orders.reserve_pair(order=order_of(version=version), pair=pair)

    with django_assert_num_queries(5):
        page.get("/orders/")
