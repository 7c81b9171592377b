"""The till as a person uses it, without scripts."""

import uuid

import pytest
from django.urls import reverse

from production.core.places import PairPlace
from production.models import Pair
from sales.models import Ask, Sale, SaleLine, SortOut, TakenBack
from sales.services import days, till
from sales.services.tiles import tiles_of
from tests.factories.sales import MarketDayFactory, open_stall
from tests.factories.shelf import pairs_on_shelf, pattern_of

pytestmark = pytest.mark.django_db


def to(name, day, *args):
    return reverse(f"sales:{name}", args=[day.pk, *args])


def html(response):
    return response.content.decode()


def tap(page, day, **how):
    return page.post(to("stall_add", day), {"tile": tiles_of(day)[0].key}, **how)


def key_of(page, day):
    return page.get(to("stall", day)).context["cart"].key


def test_a_pair_is_sold_in_two_taps_with_the_way_back_beside_it(page, day, box):
    tap(page, day)
    done = page.post(
        to("stall_sell", day), {"paid_by": "cash", "key": key_of(page, day)}, follow=True
    )

    sale = Sale.objects.get()
    assert (sale.total_minor, sale.lines.get().pair) == (2800, box[0])
    assert "Sold: 1 pair for $28.00, cash." in html(done)
    assert f'name="act" value="{sale.act_id}"' in html(done)
    assert "Tap what went over the table" in html(done)


def test_the_same_button_pressed_twice_sells_once(page, day):
    tap(page, day)
    typed = {"paid_by": "card", "key": key_of(page, day)}

    for _ in range(2):
        assert page.post(to("stall_sell", day), typed).status_code == 302

    assert Sale.objects.count() == 1


def test_an_empty_purchase_is_not_sold(page, day):
    refused = page.post(to("stall_sell", day), {"paid_by": "cash", "key": str(uuid.uuid4())})

    assert refused.status_code == 422
    assert "Tap a kind or give a pair number first" in html(refused)
    assert not Sale.objects.exists()


def test_a_tap_over_htmx_answers_with_the_purchase_alone(page, day):
    answer = tap(page, day, HTTP_HX_REQUEST="true")

    assert answer.status_code == 200
    assert "<html" not in html(answer)
    assert "2 left" in html(answer)
    assert 'data-due="2800"' in html(answer)


@pytest.mark.parametrize("tile", ["", "x", "999999", "²-first", "9" * 40])
def test_a_made_up_tile_adds_nothing(page, day, tile):
    page.post(to("stall_add", day), {"tile": tile})

    assert not page.get(to("stall", day)).context["cart"].lines


def test_change_is_told_and_too_little_is_refused_at_the_field(page, day):
    tap(page, day)
    typed = {"paid_by": "cash", "key": key_of(page, day)}

    refused = page.post(to("stall_sell", day), {**typed, "given": "20"})
    assert refused.status_code == 422
    assert refused.context["pay"].errors["given"] == ["$8.00 are missing."]
    assert "$8.00 are missing." in html(refused)
    letters = page.post(to("stall_sell", day), {**typed, "given": "lots"})
    assert "given" in letters.context["pay"].errors
    assert not Sale.objects.exists()

    done = page.post(to("stall_sell", day), {**typed, "given": "30"}, follow=True)
    assert "Change: $2.00." in html(done)


def test_a_price_is_changed_with_a_reason(page, day):
    tap(page, day)

    page.post(to("stall_price", day, 1), {"price": "20.50", "reason": "bargain"})
    page.post(to("stall_sell", day), {"paid_by": "cash", "key": key_of(page, day)})

    line = SaleLine.objects.get()
    assert (line.price_minor, line.list_minor, line.reason) == (2050, 2800, "bargain")


@pytest.mark.parametrize("price", ["", "abc", "-1", "1e9", "999999999"])
def test_a_bad_price_is_told_at_its_field_and_changes_nothing(page, day, price):
    tap(page, day)

    refused = page.post(to("stall_price", day, 1), {"price": price})

    assert refused.status_code == 422
    [(line, form)] = refused.context["lines"]
    assert "price" in form.errors
    assert line.price_minor == 2800


def test_a_line_is_removed_once_however_often_it_is_tapped(page, day):
    tap(page, day)
    tap(page, day)

    for _ in range(2):
        page.post(to("stall_remove", day, 1))

    assert [line.place for line in page.get(to("stall", day)).context["cart"].lines] == [2]


@pytest.mark.parametrize(("typed", "due"), [("10 %", 5040), ("6", 5000), ("100%", 0)])
def test_a_discount_is_taken_off_the_purchase(page, day, typed, due):
    tap(page, day)
    tap(page, day)

    page.post(to("stall_discount", day), {"off": typed})

    assert page.get(to("stall", day)).context["money_due"]["due"] == due


@pytest.mark.parametrize("typed", ["", "abc", "-5", "110 %", "57", "0", "%", "nan%"])
def test_a_bad_discount_is_told_at_its_field(page, day, typed):
    tap(page, day)
    tap(page, day)

    refused = page.post(to("stall_discount", day), {"off": typed})

    assert refused.status_code == 422
    assert "off" in refused.context["discount"].errors
    assert refused.context["money_due"]["due"] == 5600


def test_a_number_is_typed_and_sold(page, day, box):
    page.post(to("stall_number", day), {"number": box[2].label.lower()})
    page.post(to("stall_sell", day), {"paid_by": "other", "key": key_of(page, day)})

    line = SaleLine.objects.get()
    assert (line.pair, line.claimed, line.sale.paid_by) == (box[2], box[2].label, "other")


def test_a_number_sold_before_is_asked_about_at_the_field_and_recorded_anyway(page, day, box, who):
    till.sell(day=day, lines=[till.Line(2800, pair=box[0])], paid_by="cash", who=who)

    asked = page.post(to("stall_number", day), {"number": box[0].label})
    assert asked.status_code == 422
    assert "was sold on 4 June 2026" in asked.context["number"].errors["number"][0]
    assert "Record it anyway" in html(asked)
    page.post(to("stall_number", day), {"number": box[0].label, "anyway": "on"})
    page.post(to("stall_sell", day), {"paid_by": "cash", "key": key_of(page, day)})

    assert Sale.objects.count() == 2
    assert SortOut.objects.get().kind == SortOut.Kind.SOLD_TWICE


def test_an_unknown_number_needs_a_price_and_is_recorded_anyway(page, day):
    address = to("stall_number", day)

    assert "has no pair P9999" in html(page.post(address, {"number": "9999"}))
    unpriced = page.post(address, {"number": "9999", "anyway": "on"})
    assert "price" in unpriced.context["number"].errors
    page.post(address, {"number": "9999", "anyway": "on", "price": "12"})
    page.post(to("stall_sell", day), {"paid_by": "cash", "key": key_of(page, day)})

    assert Sale.objects.get().total_minor == 1200
    assert SortOut.objects.get().kind == SortOut.Kind.UNKNOWN


def test_rubbish_for_a_number_is_told_at_its_field(page, day):
    refused = page.post(to("stall_number", day), {"number": "<b>sock"})

    assert refused.status_code == 422
    assert "is no pair number" in refused.context["number"].errors["number"][0]
    assert "<b>sock" not in html(refused)


def test_a_pair_sold_by_somebody_else_meanwhile_is_asked_about_at_the_sale(page, day, box, who):
    page.post(to("stall_number", day), {"number": box[0].label})
    till.sell(day=day, lines=[till.Line(2800, pair=box[0])], paid_by="cash", who=who)
    typed = {"paid_by": "cash", "key": key_of(page, day)}

    asked = page.post(to("stall_sell", day), typed)
    assert asked.status_code == 422
    assert "Record it anyway" in html(asked)
    page.post(to("stall_sell", day), {**typed, "anyway": "on"})

    assert Sale.objects.count() == 2


def test_a_kind_that_sold_out_is_still_sold(page, day, box, who):
    key = tiles_of(day)[0].key
    for pair in box:
        till.sell(day=day, lines=[till.Line(2800, pair=pair)], paid_by="cash", who=who)

    page.post(to("stall_add", day), {"tile": key})
    page.post(to("stall_sell", day), {"paid_by": "cash", "key": key_of(page, day)})

    assert SortOut.objects.get().kind == SortOut.Kind.NONE_LEFT


def test_tax_on_top_stands_apart(page, maker):
    day = open_stall(maker, pairs=1, tax_percent="10", tax_included=False)
    tap(page, day)

    shown = page.get(to("stall", day))

    assert shown.context["money_due"]["due"] == 3080
    assert "Tax, 10 %" in html(shown)
    assert "$2.80" in html(shown)


def test_asked_for_takes_two_taps(page, day, who):
    other = pattern_of("Men 11", foot_length_mm=285)
    pairs_on_shelf(1, who, pattern=other)

    shown = page.get(to("stall_asked", day))
    assert "Men 11" in html(shown)
    done = page.post(
        to("stall_asked", day),
        {"pattern": other.pk, "key": str(shown.context["form"]["key"].initial)},
        follow=True,
    )

    assert Ask.objects.get().pattern == other
    assert "Asked for: Harbour plain Men 11. Noted." in html(done)
    assert page.post(to("stall_asked", day), {"words": " "}).status_code == 422
    page.post(to("stall_asked", day), {"words": "in green"})
    assert Ask.objects.count() == 2


def test_a_pair_is_brought_back_and_paid_out(page, day, box, who):
    sale = till.sell(day=day, lines=[till.Line(2800, pair=box[0])], paid_by="cash", who=who)
    line = sale.lines.get()

    found = page.post(to("stall_back", day), {"number": box[0].label})
    assert found.url == to("stall_refund", day, line.pk)
    refused = page.post(found.url, {"refund": "28.01", "paid_by": "cash"})
    assert "refund" in refused.context["form"].errors
    page.post(found.url, {"refund": "28", "paid_by": "cash"})

    assert TakenBack.objects.get().refund_minor == 2800
    assert Pair.objects.get(pk=box[0].pk).place == PairPlace.STALL
    assert "It is back already" in html(page.get(found.url))


@pytest.mark.parametrize("number", ["abc", "P99999"])
def test_a_number_nobody_bought_cannot_be_brought_back(page, day, number):
    refused = page.post(to("stall_back", day), {"number": number})

    assert refused.status_code == 422
    assert "no sale of it" in refused.context["form"].errors["number"][0]


def test_an_exchange_pays_the_difference(page, day, box, who):
    sale = till.sell(day=day, lines=[till.Line(2000, pair=box[0])], paid_by="cash", who=who)
    page.post(to("stall_refund", day, sale.lines.get().pk), {"exchange": "1"})
    tap(page, day)

    assert page.get(to("stall", day)).context["money_due"]["due"] == 800
    page.post(to("stall_sell", day), {"paid_by": "cash", "key": key_of(page, day)})

    assert days.cash_expected(day) == 5000 + 2800
    assert TakenBack.objects.get().line.pair == box[0]


def test_a_pair_in_exchange_for_nothing_is_paid_out(page, day, box, who):
    sale = till.sell(day=day, lines=[till.Line(2000, pair=box[0])], paid_by="cash", who=who)
    page.post(to("stall_refund", day, sale.lines.get().pk), {"exchange": "1"})

    page.post(to("stall_sell", day), {"paid_by": "cash", "key": key_of(page, day)})

    assert days.cash_expected(day) == 5000


def test_a_planned_day_is_opened_first(page):
    day = MarketDayFactory()

    assert page.get(to("stall", day)).url == to("day_open", day)


def test_a_dropped_purchase_records_nothing(page, day):
    tap(page, day)
    page.post(to("stall_clear", day))

    assert not page.get(to("stall", day)).context["cart"].lines
    assert not Sale.objects.exists()


def test_the_till_asks_the_book_as_often_with_more_sales(
    page, maker, who, django_assert_max_num_queries
):
    day = open_stall(maker, pairs=12)
    for pair in list(Pair.objects.in_stall_box())[:10]:
        till.sell(day=day, lines=[till.Line(2800, pair=pair)], paid_by="card", who=who)
    tap(page, day)
    tap(page, day)

    with django_assert_max_num_queries(16):
        assert page.get(to("stall", day)).status_code == 200
    with django_assert_max_num_queries(10):
        listed = page.get(to("stall_sales", day))
    assert html(listed).count("Undo") == 10


def test_the_stubs_of_a_day_are_entered_at_once(page, day, box, who, django_assert_max_num_queries):
    days.close_day(day=day, counted_minor=5000, requests_noted=True, who=who)

    with django_assert_max_num_queries(12):
        page.post(to("stall_number", day), {"number": " ".join(pair.label for pair in box)})
    page.post(to("stall_sell", day), {"paid_by": "cash", "key": key_of(page, day)})

    sale = Sale.objects.get()
    assert (sale.total_minor, sale.timed) == (3 * 2800, False)
    assert not SortOut.objects.exists()


@pytest.mark.parametrize("odd", ["P9999", "sock", "twice", "1 " * 101])
def test_stubs_with_an_odd_one_add_nothing(page, day, box, odd):
    numbers = f"{box[0].label} {box[0].label if odd == 'twice' else odd}"

    refused = page.post(to("stall_number", day), {"number": numbers})

    assert refused.status_code == 422
    assert "number" in refused.context["number"].errors
    assert not refused.context["cart"].lines
