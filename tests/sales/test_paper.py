"""A day from paper: the same sums as by the till, no time of day, and what is refused."""

import random
import uuid
from collections import Counter
from decimal import Decimal

import pytest
from django.core.management import call_command
from django.urls import reverse

from production.models import Act, Pair
from production.services.acts import Who
from sales.errors import SalesError
from sales.models import Ask, Payment, Sale, SaleLine, SortOut
from sales.services import days, daysheet, paper, purse, tallies, till
from sales.services.tiles import tiles_of
from socktrade.models import Workshop
from tests.factories.sales import MarketDayFactory, MarketFactory, open_stall
from tests.factories.shelf import pairs_on_shelf, pattern_of

pytestmark = pytest.mark.django_db


def stall_of_two_kinds(who, *, per_line=False, **of_market):
    Workshop.objects.update(tax_per_line=per_line)
    day = MarketDayFactory(market=MarketFactory(**of_market))
    made = pairs_on_shelf(8, who) + pairs_on_shelf(
        6, who, pattern=pattern_of("Men 11", foot_length_mm=280.0), price_minor=3133
    )
    days.pack_pairs(day=day, pair_ids=[pair.pk for pair in made], who=who)
    days.open_day(day=day, float_minor=5000, who=who)
    day.refresh_from_db()
    return day


def drawn_purchases(day, seed, most):
    """Who bought what and how: (way, tiles) until a dozen pairs are gone."""
    dice = random.Random(seed)
    left = [tile for tile in tiles_of(day) for _ in range(tile.left)]
    dice.shuffle(left)
    bought = []
    while len(left) > 2:
        count = min(dice.randint(1, most), len(left) - 2)
        bought.append((dice.choice(paper.WAYS), [left.pop() for _ in range(count)]))
    return bought


def sell_by_till(day, bought, who):
    for way, tiles in bought:
        lines = [
            till.Line(tile.price_minor, pattern=tile.pattern, list_minor=tile.price_minor)
            for tile in tiles
        ]
        till.sell(day=day, lines=lines, paid_by=way, who=who)


def sheet_of(day, bought):
    strokes = Counter((way, tile.key) for way, tiles in bought for tile in tiles)
    return [
        paper.SheetRow(tile, strokes[Payment.CASH, tile.key], strokes[Payment.CARD, tile.key])
        for tile in tiles_of(day)
    ]


def sums(day):
    money = purse.takings_of(day)
    return {
        "cash": money.cash, "card": money.card, "total": money.total, "tin": money.expected,
        "pairs": money.pairs, "tax": money.tax,
    }  # fmt: skip


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize(
    ("of_market", "per_line", "most"),
    [
        ({}, False, 3),
        ({"tax_percent": Decimal("8.875"), "tax_included": False}, False, 3),
        ({"tax_percent": Decimal("8.875"), "tax_included": False}, True, 3),
        ({"tax_percent": Decimal("5.5")}, True, 3),
    ],
)
def test_the_day_on_paper_has_the_sums_of_the_till(who, seed, of_market, per_line, most):
    day = stall_of_two_kinds(who, per_line=per_line, **of_market)
    bought = drawn_purchases(day, seed, most)
    sheet = sheet_of(day, bought)
    sell_by_till(day, bought, who)
    by_till = sums(day)
    for sale in Sale.objects.standing().filter(day=day).order_by("-pk"):
        till.undo_act(act_id=sale.act_id, who=who)

    totals = paper.SheetTotals(cash=by_till["cash"], card=by_till["card"])
    paper.enter_sheet(day=day, rows=sheet, totals=totals, who=who)

    assert sums(day) == by_till
    assert not SortOut.objects.filter(settled_by__isnull=True).exists()
    call_command("check_books")


def test_with_tax_inside_rounded_by_purchase_only_the_tax_may_differ_by_its_rounding(who):
    day = stall_of_two_kinds(who, tax_percent=Decimal("7.7"))
    bought = drawn_purchases(day, 5, 3)
    sheet = sheet_of(day, bought)
    sell_by_till(day, bought, who)
    by_till = sums(day)
    for sale in Sale.objects.standing().filter(day=day).order_by("-pk"):
        till.undo_act(act_id=sale.act_id, who=who)

    paper.enter_sheet(day=day, rows=sheet, totals=paper.SheetTotals(), who=who)

    on_paper = sums(day)
    assert abs(on_paper.pop("tax") - by_till.pop("tax")) <= len(bought)
    assert on_paper == by_till


def test_enter_sheet_gives_no_time_of_day_to_the_demand(who):
    day = stall_of_two_kinds(who)
    rows = [paper.SheetRow(tile, cash=tile.left) for tile in tiles_of(day)]

    paper.enter_sheet(day=day, rows=rows, totals=paper.SheetTotals(), who=who)

    assert not Sale.objects.filter(timed=True).exists()
    for tally in tallies.day_tallies([day]).values():
        record = tally.record(day)
        assert record.sold == record.brought > 0
        assert record.sold_out_at is None


def test_enter_sheet_asks_about_a_sum_that_differs_and_spreads_it_when_told(who):
    day = stall_of_two_kinds(who)
    rows = [paper.SheetRow(tile, cash=2) for tile in tiles_of(day)]
    tags = 2 * (2800 + 3133)
    totals = paper.SheetTotals(cash=tags - 500)
    acts = Act.objects.count()

    with pytest.raises(SalesError, match="less than the tags") as refusal:
        paper.enter_sheet(day=day, rows=rows, totals=totals, who=who)
    assert refusal.value.field == "cash_total"
    assert Act.objects.count() == acts
    [sale] = paper.enter_sheet(day=day, rows=rows, totals=totals, who=who, spread=True)

    assert sale.total_minor == tags - 500
    assert set(sale.lines.values_list("reason", flat=True)) == {paper.REASON}
    assert set(sale.lines.values_list("list_minor", flat=True)) == {2800, 3133}


def test_enter_sheet_with_tax_on_top_spreads_to_the_sum_taken(who):
    day = stall_of_two_kinds(who, tax_percent=Decimal(10), tax_included=False)
    rows = [paper.SheetRow(tile, card=1) for tile in tiles_of(day)]

    [sale] = paper.enter_sheet(
        day=day, rows=rows, totals=paper.SheetTotals(card=5500), who=who, spread=True
    )

    assert (sale.total_minor, sale.tax_minor) == (5500, 500)
    call_command("check_books")


def test_enter_sheet_sent_twice_is_one_sheet(maker, at):
    day = open_stall(maker, pairs=3)
    who = Who(by=maker, at=at, key=uuid.UUID(int=7))
    rows = [paper.SheetRow(tile, cash=1, card=1, asked=2) for tile in tiles_of(day)]

    for _ in range(2):
        paper.enter_sheet(
            day=day, rows=rows, totals=paper.SheetTotals(), who=who, words=["green ones"]
        )

    assert SaleLine.objects.count() == 2
    assert Ask.objects.count() == 3


def test_a_stroke_too_many_is_sold_all_the_same_and_kept_to_sort_out(maker, who):
    day = open_stall(maker, pairs=2)
    rows = [paper.SheetRow(tile, cash=3) for tile in tiles_of(day)]

    paper.enter_sheet(day=day, rows=rows, totals=paper.SheetTotals(), who=who)

    assert purse.takings_of(day).pairs == 3
    assert SortOut.objects.get().kind == SortOut.Kind.NONE_LEFT


def test_more_lines_than_one_purchase_holds_become_several(maker, who):
    day = open_stall(maker, pairs=1)
    rows = [paper.SheetRow(tile, cash=130) for tile in tiles_of(day)]

    sales = paper.enter_sheet(day=day, rows=rows, totals=paper.SheetTotals(), who=who)

    assert [sale.lines.count() for sale in sales] == [100, 30]
    assert purse.takings_of(day).cash == 130 * 2800


def test_the_sheet_is_typed_in_on_its_page_in_the_order_of_the_paper(page, who):
    day = stall_of_two_kinds(who)
    address = reverse("sales:day_paper", args=[day.pk])
    small, large = tiles_of(day)

    shown = page.get(address)
    assert [tile for tile, _ in shown.context["sheet"].rows()] == [small, large]
    typed = {
        f"cash-{small.key}": "2", f"card-{large.key}": "1", f"asked-{large.key}": "1",
        "cash_total": "56", "words": "green ones\n\nlonger",
    }  # fmt: skip
    page.post(address, typed)

    assert purse.takings_of(day).cash == 5600
    assert purse.takings_of(day).card == 3133
    assert sorted(name for name, _ in daysheet.asks_of(day)) == sorted(
        ["green ones", "longer", str(large.pattern)]
    )
    assert "typed in later" in page.get(day.get_absolute_url()).text


@pytest.mark.parametrize(
    ("field", "value"),
    [("cash", "-1"), ("cash", "two"), ("card", "1.5"), ("asked", "999"), ("cash_total", "lots")],
)
def test_a_bad_figure_on_the_sheet_is_told_at_its_field(page, maker, field, value):
    day = open_stall(maker, pairs=2)
    [tile] = tiles_of(day)
    name = field if field == "cash_total" else f"{field}-{tile.key}"

    refused = page.post(reverse("sales:day_paper", args=[day.pk]), {name: value})

    assert refused.status_code == 422
    assert name in refused.context["sheet"].errors
    assert not Sale.objects.exists()


def test_a_kind_that_sold_out_keeps_its_row(page, who):
    day = stall_of_two_kinds(who)
    small, large = tiles_of(day)
    address = reverse("sales:day_paper", args=[day.pk])

    page.post(address, {f"cash-{small.key}": str(small.left)})

    rows = [tile for tile, _ in page.get(address).context["sheet"].rows()]
    assert [tile.key for tile in rows] == [small.key, large.key]
    assert rows[0].left == 0


def test_an_empty_sheet_and_a_day_not_opened_say_what_to_do(page, maker):
    empty = page.post(reverse("sales:day_paper", args=[open_stall(maker).pk]), {"words": " "})
    planned = page.get(reverse("sales:day_paper", args=[MarketDayFactory().pk]))

    assert empty.status_code == 422
    assert "The sheet is empty" in empty.text
    assert "Open the day first" in planned.text


def test_stubs_are_recorded_by_how_they_were_paid(page, maker):
    day = open_stall(maker, pairs=3)
    first, second, third = Pair.objects.in_stall_box().order_by("number")
    address = reverse("sales:day_paper_stubs", args=[day.pk])

    page.post(address, {"cash": f"{first.label} {second.number}", "card": third.label})

    assert (purse.takings_of(day).cash, purse.takings_of(day).card) == (5600, 2800)
    assert not Sale.objects.filter(timed=True).exists()


@pytest.mark.parametrize(
    ("typed", "told"),
    [({}, "stubs first"), ({"cash": "P99999"}, "not in the book"), ({"card": "sock"}, "not in")],
)
def test_stubs_that_cannot_be_read_record_nothing(page, maker, typed, told):
    day = open_stall(maker, pairs=1)

    refused = page.post(reverse("sales:day_paper_stubs", args=[day.pk]), typed)

    assert refused.status_code == 422
    assert told in refused.text
    assert not Sale.objects.exists()


def test_the_tax_of_a_sheet_may_differ_from_taps_and_the_pages_say_so(page, maker, at):
    who = Who(by=maker, at=at)
    by_sheet = open_stall(maker, pairs=3, tax_percent=Decimal(7))
    [tile] = tiles_of(by_sheet)
    assert "one purchase each" in page.get(reverse("sales:day_paper", args=[by_sheet.pk])).text
    rows = [paper.SheetRow(tile, cash=3)]
    paper.enter_sheet(day=by_sheet, rows=rows, totals=paper.SheetTotals(), who=who)
    days.close_day(day=by_sheet, counted_minor=13400, requests_noted=True, who=who)
    by_taps = open_stall(maker, pairs=3, tax_percent=Decimal(7))
    for _ in range(3):
        line = till.Line(2800, pattern=tiles_of(by_taps)[0].pattern)
        till.sell(day=by_taps, lines=[line], paid_by="cash", who=who)

    sheet, taps = purse.takings_of(by_sheet), purse.takings_of(by_taps)

    # By hand: 84.00 * 7 / 107 = 5.495 -> 5.50 at once; 28.00 * 7 / 107 = 1.8318 -> 3 * 1.83.
    assert (sheet.total, sheet.tax) == (8400, 550)
    assert (taps.total, taps.tax) == (8400, 549)
    assert "can differ by a few" in page.get(by_sheet.get_absolute_url()).text
    assert "can differ by a few" not in page.get(by_taps.get_absolute_url()).text
