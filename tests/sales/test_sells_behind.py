"""Cells open their sales, requests name colours, deposits stand in their month, boxes lend."""

import datetime as dt
from dataclasses import replace

import pytest
from django.urls import reverse

from production.models import Pair, Yarn
from sales.models import Ask, HandOver, Payment
from sales.services import boxes, breakdown, days, orders, packing, report, takings, till
from sales.services.tallies import day_tallies
from tests.factories.sales import MarketDayFactory, open_stall
from tests.factories.shelf import pairs_on_shelf, pattern_of

pytestmark = pytest.mark.django_db


def two_sizes_sold(who):
    """Close a day on which one of two sizes sold once and the other not at all."""
    day = MarketDayFactory()
    small, large = (pairs_on_shelf(2, who, pattern=pattern_of(size_name=s)) for s in ("6", "9"))
    days.pack_pairs(day=day, pair_ids=[p.pk for p in (*small, *large)], who=who)
    days.open_day(day=day, float_minor=0, who=who)
    day.refresh_from_db()
    till.sell(day=day, lines=[till.Line(2800, pair=small[0])], paid_by="cash", who=who)
    days.close_day(day=day, counted_minor=2800, requests_noted=True, who=who)
    return small[0], large[0]


@pytest.mark.parametrize("by", ["market", "month", "design", "colour"])
def test_a_cell_opens_the_sales_of_its_size_alone(page, who, by):
    sold, _ = two_sizes_sold(who)

    shown = page.get(f"/sells/by/{by}/", {"since": "2026-01-01", "until": "2026-12-31"})
    cells = [cell for row in shown.context["table"].rows for _, cell in row.sizes if cell.brought]

    for cell in cells:
        behind = page.get(f"/sells/sales/?{shown.context['query']}&{cell.query}").text
        assert (sold.label in behind) == bool(cell.sold)
        assert cell.query.replace("&", "&amp;") in shown.text
    assert sorted(cell.sold for cell in cells)[-1] == 1


def test_a_month_opens_only_the_days_that_were_asked_for(page, who):
    two_sizes_sold(who)

    table = breakdown.break_down(report.closed_days(), by="month")

    assert table.rows[0].query == "since=2026-06-04&until=2026-06-04"


def test_a_request_names_a_colour_in_two_choices(page, maker, who):
    day = open_stall(maker, pairs=1)
    pair = Pair.objects.select_related("lot__yarn").get()
    yarn = pair.lot.yarn
    address = reverse("sales:stall_asked", args=[day.pk])
    assert f'<option value="{yarn.pk}">' in page.get(address).text

    page.post(address, {"pattern": pair.pattern_id, "yarn": yarn.pk})

    ask = Ask.objects.get()
    assert (ask.pattern_id, ask.yarn) == (pair.pattern_id, yarn)
    assert f"in {yarn.colour}" in page.get(address).text
    days.close_day(day=day, counted_minor=5000, requests_noted=True, who=who)
    [row] = breakdown.break_down(report.closed_days(), by="colour").rows
    assert row.total.asked == 1
    asked = {"yarn": yarn.pk, "since": "2026-01-01", "until": "2026-12-31"}
    assert f"in {yarn.colour}" in page.get("/sells/sales/", asked).text


def test_two_colours_under_one_key_are_two_requests_and_an_unknown_one_none(page, maker):
    day = open_stall(maker, pairs=1)
    pair = Pair.objects.select_related("lot__yarn").get()
    other = Yarn.objects.create(name="Other", colour="Rust", count_text="400 m/100 g", tex=250)
    address = reverse("sales:stall_asked", args=[day.pk])
    key = "8f0d6d64-0000-4000-8000-000000000001"

    for yarn in (pair.lot.yarn_id, other.pk, other.pk):
        page.post(address, {"pattern": pair.pattern_id, "yarn": yarn, "key": key})
    refused = page.post(address, {"pattern": pair.pattern_id, "yarn": 999_999})

    assert Ask.objects.count() == 2
    assert refused.status_code == 422
    assert "There is no such colour" in refused.text


def test_a_deposit_stands_in_its_month_and_the_money_adds_up(page, maker, who):
    [pair] = pairs_on_shelf(1, who)
    wish = orders.Wish("Wren", "kelp", dt.date(2026, 7, 2), 3200, deposit_minor=1000)
    order = orders.take_order(wish=wish, today=who.at.date(), who=who)
    orders.reserve_pair(order=order, pair=pair, who=who)
    later = replace(who, at=who.at + dt.timedelta(days=28))
    orders.hand_over(order=order, paid_by=Payment.CASH, how=HandOver.How.POST, who=later)

    sheet = takings.takings_by_month(since=dt.date(2026, 6, 1), until=dt.date(2026, 7, 31))

    june, july = sheet.rows
    assert (june.taken, june.deposits, june.money_in) == (0, 1000, 1000)
    assert (july.taken, july.paid_before, july.money_in) == (3200, 1000, 2200)
    assert sheet.total.money_in == sheet.total.taken == 3200
    lines = list(takings.takings_rows(sheet))
    assert lines[-1][-3:] == (1000, 1000, 3200)


def test_the_sheet_says_how_deposits_are_counted(page, who, monkeypatch):
    wish = orders.Wish("Wren", "kelp", who.at.date(), 3200, deposit_minor=1000)
    orders.take_order(wish=wish, today=who.at.date(), who=who)
    monkeypatch.setattr("socktrade.papers.pdf_ready", lambda: (False, "install"))

    shown = page.get("/sells/sheets/takings/", {"since": "2026-06-01", "until": "2026-06-30"})

    assert "Deposits, and the money that came in" in shown.text
    assert "is no sale yet" in shown.text


def lent_pair(who):
    """Pack a pair for one day that stays closed to it, and sell it on the next."""
    first, second = open_stall(who.by, pairs=2), MarketDayFactory(date=dt.date(2026, 6, 11))
    pair = Pair.objects.in_stall_box().first()
    days.close_day(day=first, counted_minor=5000, requests_noted=True, who=who)
    planned = MarketDayFactory(date=dt.date(2026, 6, 5))
    days.pack_pairs(day=planned, pair_ids=[pair.pk], who=who)
    days.cancel_day(day=planned, reason="storm", who=who)
    days.open_day(day=second, float_minor=0, who=who)
    second.refresh_from_db()
    till.sell(day=second, lines=[till.Line(2800, pair=pair)], paid_by="cash", who=who)
    return planned, second, pair


def test_a_pair_lent_by_a_cancelled_day_is_told_by_either_day(who):
    planned, second, pair = lent_pair(who)

    expected = [boxes.Borrowed(planned.pk, second.pk, pair.pattern_id)]
    assert list(boxes.borrowed([second])) == expected
    assert list(boxes.borrowed([planned])) == expected
    assert day_tallies([second])[second.pk, pair.pattern_id].on_table == 1


def test_what_other_days_lent_is_not_looked_at(who):
    lent_pair(who)
    untouched = MarketDayFactory(date=dt.date(2026, 6, 25))

    assert list(boxes.borrowed([untouched])) == []
    assert list(boxes.borrowed([])) == []


def test_the_proposal_reads_days_as_wild_as_they_were(who, monkeypatch):
    two_sizes_sold(who)
    day = MarketDayFactory(date=dt.date(2026, 6, 11))
    calm = packing.propose(day=day, ask_share=0.5)
    found = report.what_sells(report.closed_days(), ask_share=0.5)
    monkeypatch.setattr(packing, "what_sells", lambda *_, **__: replace(found, day_noise=2.0))

    wild = packing.propose(day=day, ask_share=0.5)

    for one, other in zip(calm.kinds, wild.kinds, strict=True):
        assert one.mean == pytest.approx(other.mean)
        assert one.reasons[0] == other.reasons[0]
        assert one.reasons[-1] != other.reasons[-1]


def test_the_proposal_forgets_as_she_set_it(who, monkeypatch):
    asked = {}
    read = packing.what_sells
    monkeypatch.setattr(packing, "what_sells", lambda *a, **k: asked.update(k) or read(*a, **k))

    packing.propose(day=MarketDayFactory(), ask_share=0.5, memory=0.8)

    assert asked["memory"] == 0.8
