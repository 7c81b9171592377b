"""Selling, bringing back, asking: what the till records. Rules of the project's own design."""

import datetime as dt
import uuid
from dataclasses import replace

import pytest

from production.core.places import PairPlace
from production.errors import CannotUndoError, MoveNotAllowedError
from production.models import Act, Pair, Quality
from production.services import books as bench_books
from production.services.acts import Who
from sales.errors import AlreadySoldError, SalesError
from sales.models import Payment, Sale, SaleLine, SortOut, TakenBack
from sales.services import books, days, sums, till
from sales.services.claims import claim
from sales.services.table import number_in, paid_for, sold_line
from tests.factories.sales import open_stall
from tests.factories.shelf import lot_of, pairs_on_shelf

pytestmark = pytest.mark.django_db


def sell(day, who, *lines, paid_by=Payment.CASH, **how):
    return till.sell(day=day, lines=list(lines), paid_by=paid_by, who=who, **how)


def test_a_line_of_a_kind_takes_the_pair_that_lay_longest(day, box, who):
    sale = sell(day, who, till.Line(price_minor=2800, pattern=box[0].pattern))

    line = sale.lines.get()
    assert (line.pair, line.claimed, line.list_minor) == (box[0], "", 2800)
    assert not SortOut.objects.exists()


def test_two_lines_of_a_kind_take_two_pairs_and_skip_one_given_by_number(day, box, who):
    kind = till.Line(price_minor=2800, pattern=box[0].pattern)

    sale = sell(day, who, kind, till.Line(price_minor=2800, pair=box[1]), kind)

    assert [line.pair for line in sale.lines.order_by("pk")] == [box[0], box[1], box[2]]


def test_a_line_of_a_kind_and_colour_takes_a_pair_of_that_colour(day, box, who):
    other = lot_of(who, code="9")
    [blue] = pairs_on_shelf(1, who, lot=other)
    days.pack_pairs(day=day, pair_ids=[blue.pk], who=who)

    sale = sell(day, who, till.Line(price_minor=2800, pattern=blue.pattern, yarn_id=other.yarn_id))

    assert sale.lines.get().pair == blue


def test_more_of_a_kind_than_the_book_has_is_sold_and_kept_to_sort_out(day, box, who):
    kind = till.Line(price_minor=2800, pattern=box[0].pattern)

    sale = sell(day, who, *[kind] * 4)

    assert sale.total_minor == 4 * 2800
    assert sale.lines.filter(pair=None).count() == 1
    assert SortOut.objects.get().kind == SortOut.Kind.NONE_LEFT


def test_a_pair_sold_before_is_asked_about_and_then_recorded(day, box, who):
    line = till.Line(price_minor=2800, pair=box[0])
    sell(day, who, line)
    acts = Act.objects.count()

    with pytest.raises(AlreadySoldError, match="was sold on 4 June 2026"):
        sell(day, who, line)
    assert Act.objects.count() == acts

    again = sell(day, who, line, despite_doubt=True)
    assert again.total_minor == 2800
    assert SortOut.objects.get().kind == SortOut.Kind.SOLD_TWICE
    assert SaleLine.objects.filter(pair=box[0], holds=True).count() == 1
    assert not list(books.disagreements())


def test_a_pair_that_was_not_packed_sells_and_goes_into_the_tray(day, who):
    [pair] = pairs_on_shelf(1, who)

    sell(day, who, till.Line(price_minor=2800, pair=pair))

    assert Pair.objects.get(pk=pair.pk).place == PairPlace.SOLD
    item = SortOut.objects.get()
    assert (item.kind, "on the shelf" in item.story) == (SortOut.Kind.NOT_PACKED, True)


def test_a_sale_entered_after_closing_meets_the_pair_that_went_home(day, box, who):
    days.close_day(day=day, counted_minor=5000, requests_noted=True, who=who)
    day.refresh_from_db()

    sale = sell(day, who, till.Line(price_minor=2800, pattern=box[0].pattern), timed=False)

    assert sale.lines.get().pair == box[0]
    assert not SortOut.objects.exists()


@pytest.mark.parametrize(
    ("lines", "field"),
    [([], "number"), ([-1], "price"), ([10**9], "price"), ([1] * 101, "number")],
)
def test_sell_refuses_no_line_and_absurd_prices_and_writes_nothing(day, box, who, lines, field):
    acts = Act.objects.count()

    with pytest.raises(SalesError, match=r"\w") as refusal:
        sell(day, who, *[till.Line(price_minor=p, pattern=box[0].pattern) for p in lines])

    assert refusal.value.field == field
    assert (Act.objects.count(), Sale.objects.count()) == (acts, 0)


def test_the_same_key_sent_twice_is_one_sale(day, box, who):
    keyed = replace(who, key=uuid.uuid4())
    line = till.Line(price_minor=2800, pair=box[0])

    assert sell(day, keyed, line) == sell(day, keyed, line)
    assert Sale.objects.count() == 1


def test_tax_on_top_is_added_once_and_paid_back_with_the_pair(maker, who):
    # 8.875 % of 56.00 is 4.97: worked by hand.
    day = open_stall(maker, pairs=2, tax_percent="8.875", tax_included=False)
    first, second = Pair.objects.in_stall_box().order_by("number")
    sale = sell(
        day, who, till.Line(price_minor=2800, pair=first), till.Line(price_minor=2800, pair=second)
    )
    assert (sale.total_minor, sale.tax_minor) == (6097, 497)

    lines = list(sale.lines.select_related("sale").order_by("pk"))
    assert [paid_for(line) for line in lines] == [3049, 3048]


def test_take_back_refuses_more_than_was_paid_and_a_second_return(day, box, who):
    line = sell(day, who, till.Line(price_minor=2800, pair=box[0])).lines.get()
    with pytest.raises(SalesError, match="No more is paid back") as refusal:
        till.take_back(line=line, refund_minor=2801, paid_by="cash", day=day, who=who)
    assert refusal.value.field == "refund"
    assert not TakenBack.objects.exists()

    till.take_back(line=line, refund_minor=2800, paid_by="cash", day=day, who=who)
    assert Pair.objects.get(pk=box[0].pk).place == PairPlace.STALL
    with pytest.raises(SalesError, match="not out with a buyer"):
        till.take_back(line=line, refund_minor=0, paid_by="cash", day=day, who=who)


def test_an_exchange_is_a_return_and_a_sale_or_neither(day, box, who):
    line = sell(day, who, till.Line(price_minor=2800, pair=box[0])).lines.get()
    other = till.Line(price_minor=3000, pair=box[1])
    keyed = replace(who, key=uuid.uuid4())

    for _ in range(2):
        till.settle_purchase(day=day, back=[line], lines=[other], paid_by=Payment.CASH, who=keyed)
    assert TakenBack.objects.get().refund_minor == 2800
    assert Sale.objects.count() == 2
    assert days.cash_expected(day) == 5000 + 3000


def test_a_failing_sale_keeps_the_exchanged_pair_with_the_buyer(day, box, who):
    line = sell(day, who, till.Line(price_minor=2800, pair=box[0])).lines.get()

    with pytest.raises(SalesError, match="no price"):
        till.settle_purchase(
            day=day,
            back=[line],
            lines=[till.Line(price_minor=-5, pair=box[1])],
            paid_by=Payment.CASH,
            who=who,
        )

    assert not TakenBack.objects.exists()
    assert Pair.objects.get(pk=box[0].pk).place == PairPlace.SOLD


def test_discounted_takes_off_exactly_the_discount():
    assert sums.discounted([2800, 2800, 1400], 700) == [2520, 2520, 1260]
    assert sum(sums.discounted([1000, 1000, 1000], 100)) == 2900


@pytest.mark.parametrize(("prices", "off"), [([], 5), ([0], 5), ([100], 101), ([100], 0)])
def test_discounted_refuses_what_is_no_discount(prices, off):
    with pytest.raises(SalesError, match=r"discount") as refusal:
        sums.discounted(prices, off)

    assert refusal.value.field == "off"


@pytest.mark.parametrize(
    ("text", "number"),
    [("1042", 1042), (" p1042 ", 1042), ("https://x.example/pairs/1042/", 1042)],
)
def test_number_in_reads_what_was_typed_or_scanned(text, number):
    assert number_in(text) == number


@pytest.mark.parametrize("text", ["", "abc", "P", "12a", "-4", "1" * 30, "१२", "²"])
def test_number_in_finds_no_number_in_rubbish(text):
    assert number_in(text) is None


def test_claim_asks_before_a_number_twice_in_one_purchase(day, box):
    said = claim(day=day, text=box[0].label, in_purchase=[box[0].pk])

    assert "in this purchase already" in said.question


def tap_and_read(day, box, who):
    """Tap a kind, which takes the oldest pair, then read the number of that very pair."""
    tapped = sell(day, who, till.Line(price_minor=2800, pattern=box[0].pattern))
    assert claim(day=day, text=box[0].label).question == ""
    return tapped, sell(day, who, till.Line(price_minor=2500, pair=box[0]))


def test_a_number_read_after_a_tap_gives_the_tap_another_pair(day, box, who):
    tapped, read = tap_and_read(day, box, who)

    assert (tapped.lines.get().pair, read.lines.get().pair) == (box[1], box[0])
    assert list(Pair.objects.in_stall_box()) == [box[2]]
    assert not SortOut.objects.exists()
    assert not [*books.disagreements(), *bench_books.disagreements()]


def test_a_tap_gets_its_pair_back_when_the_reading_is_undone(day, box, who):
    tapped, read = tap_and_read(day, box, who)
    with pytest.raises(CannotUndoError, match="read in a later purchase"):
        till.undo_act(act_id=tapped.act_id, who=who)

    till.undo_act(act_id=read.act_id, who=who)
    assert tapped.lines.get().pair == box[0]
    till.undo_act(act_id=tapped.act_id, who=who)

    assert Pair.objects.in_stall_box().count() == 3
    assert not [*books.disagreements(), *bench_books.disagreements()]


def test_a_chain_of_readings_is_undone_from_its_end(day, box, who):
    tapped, first = tap_and_read(day, box, who)
    second = sell(day, who, till.Line(price_minor=2500, pair=box[1]))
    assert tapped.lines.get().pair == box[2]

    with pytest.raises(CannotUndoError, match="later purchase"):
        till.undo_act(act_id=first.act_id, who=who)
    for sale in (second, first, tapped):
        till.undo_act(act_id=sale.act_id, who=who)

    assert Pair.objects.in_stall_box().count() == 3
    assert not [*books.disagreements(), *bench_books.disagreements()]


def test_a_sale_is_not_undone_while_its_pair_stands_as_brought_back(day, box, who):
    _, read = tap_and_read(day, box, who)
    line = read.lines.get()
    till.take_back(line=line, refund_minor=100, paid_by="cash", day=day, who=who)

    with pytest.raises(CannotUndoError, match="brought back since"):
        till.undo_act(act_id=read.act_id, who=who)


def test_a_tap_with_no_other_pair_left_is_asked_about(day, box, who):
    for _ in box:
        sell(day, who, till.Line(price_minor=2800, pattern=box[0].pattern))

    assert "tapped without a number" in claim(day=day, text=box[0].label).question


def test_a_pair_brought_back_after_a_tap_finds_the_sale_of_the_tap(day, box, who):
    tapped = sell(day, who, till.Line(price_minor=2800, pattern=box[0].pattern))

    assert sold_line(box[2]) == tapped.lines.get()


def test_note_ask_wants_a_kind_or_words(day, who):
    with pytest.raises(SalesError, match="Say what was asked for") as refusal:
        till.note_ask(day=day, who=who, words="  ")

    assert refusal.value.field == "words"


def test_settle_wants_a_word_and_its_undo_opens_the_item_again(day, box, who):
    sell(day, who, till.Line(price_minor=2800, number="P7"))
    item = SortOut.objects.get()
    with pytest.raises(SalesError, match="few words"):
        till.settle(item=item, who=who, note=" ")

    act = till.settle(item=item, who=who, note="An old tag")
    with pytest.raises(SalesError, match="settled already"):
        till.settle(item=item, who=who, note="Again")
    till.undo_act(act_id=act.pk, who=who)

    item.refresh_from_db()
    assert item.settled_by is None


def test_a_second_of_a_kind_is_not_sold_as_a_first(day, box, who):
    [second] = pairs_on_shelf(1, who, second=True)
    days.pack_pairs(day=day, pair_ids=[second.pk], who=who)
    kind = till.Line(price_minor=1400, pattern=second.pattern, quality=Quality.SECOND)

    assert sell(day, who, kind).lines.get().pair == second


def test_a_late_act_cannot_lie_before_this_century(day, box, maker):
    old = Who(by=maker, at=dt.datetime(1066, 10, 14, tzinfo=dt.UTC))

    with pytest.raises(MoveNotAllowedError, match="too long ago"):
        sell(day, old, till.Line(price_minor=1, pair=box[0]))
    assert not Sale.objects.exists()
