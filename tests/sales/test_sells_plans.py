import csv
import datetime as dt
import io
from decimal import Decimal

import pytest
from django.utils import timezone

from production.models import RunYarn
from production.services import strings
from production.services.acts import Who
from production.services.acts import undo_act as undo_moves
from production.services.pairs import set_price
from production.services.yarn import grams_on_hand, take_yarn, weigh_lot
from sales.models import DesignSeason, Payment
from sales.services import breakdown, days, report, till
from sales.services.pricing import price_of_kind
from sales.services.seasonplan import plan_rest
from sales.services.stockcount import count_stock
from sales.services.takings import takings_by_month
from socktrade.models import Workshop
from tests.factories.shelf import (
    lot_of,
    pairs_on_shelf,
    pattern_of,
    planned_day,
    sell_pair,
    version_of,
)


@pytest.fixture
def today():
    return timezone.localdate()


@pytest.fixture
def who(maker):
    def at_clock(date, clock="07:00"):
        moment = dt.datetime.combine(date, dt.time.fromisoformat(clock), dt.UTC)
        return Who(by=maker, at=moment)

    return at_clock


@pytest.fixture
def lived(who, today):
    """Three pairs brought ten days ago, two sold, one of them brought back today's week."""
    date = today - dt.timedelta(days=10)
    pairs = pairs_on_shelf(3, who(date))
    day = planned_day(date)
    days.pack_pairs(day=day, pair_ids=[pair.pk for pair in pairs], who=who(date))
    days.open_day(day=day, float_minor=0, who=who(date, "08:00"))
    day.refresh_from_db()
    sales = [sell_pair(day, pair, who(date, "09:30")) for pair in pairs[:2]]
    till.note_ask(day=day, pattern=pattern_of(), who=who(date, "13:00"))
    days.close_day(day=day, counted_minor=0, requests_noted=True, who=who(date, "14:00"))
    day.refresh_from_db()
    return {"day": day, "pairs": pairs, "sales": sales, "date": date}


@pytest.mark.parametrize("by", ["market", "month", "design", "colour"])
def test_sizes_are_told_by_group(lived, by):
    table = breakdown.break_down(report.closed_days(), by=by)

    [row] = table.rows
    assert (row.total.brought, row.total.sold, row.total.left) == (3, 2, 1)
    assert row.total.asked == (0 if by == "colour" else 1)
    assert [cell.sold for _, cell in row.sizes] == [2]
    rate, low, high = row.total.pace
    assert low < rate == 2 < high


@pytest.mark.parametrize("by", ["market", "month", "design", "colour"])
def test_a_group_opens_the_sales_behind_it(page, lived, by):
    answer = page.get(f"/sells/by/{by}/")
    query = answer.context["table"].rows[0].query

    assert answer.text.count('<svg class="bars"') == 1
    behind = page.get(f"/sells/sales/?{query}").text
    assert lived["pairs"][0].label in behind
    assert "2 sales" in behind


def test_every_table_comes_as_a_sheet(page, lived):
    for path in (
        "by/market.csv",
        "make/list.csv",
        "season/plan.csv",
        "prices/list.csv",
        "sheets/stock.csv",
        "sheets/takings.csv",
        "sizes.csv",
    ):
        answer = page.get(f"/sells/{path}")
        rows = list(csv.reader(io.StringIO(answer.text)))
        assert answer["content-type"].startswith("text/csv")
        assert len({len(row) for row in rows}) == 1, path


def test_a_figure_opens_its_days_and_requests_too(page, lived):
    text = page.get("/sells/sales/", {"kind": lived["pairs"][0].pattern_id}).text

    assert "Day by day" in text
    assert "Asked for when there was none" in text


def test_an_unknown_group_is_not_there(page):
    assert page.get("/sells/by/moon/").status_code == 404
    with pytest.raises(ValueError, match="by="):
        breakdown.break_down([], by="moon")


def test_the_season_runs_to_its_end_with_days_not_planned_yet(lived, today):
    planned_day(today + dt.timedelta(days=4))
    Workshop.objects.update(season_ends_on=today + dt.timedelta(days=30))

    season = plan_rest(workshop=Workshop.current(), today=today)

    assert [row.day.planned is None for row in season.days] == [False, True, True, True]
    assert season.left.low <= season.left.middle <= season.left.high
    made = sum(row.made for row in season.days)
    [kind] = season.kinds
    assert made == kind.made
    assert kind.start == 1


def test_the_season_page_draws_bands_and_tells_figures(page, lived, today):
    planned_day(today + dt.timedelta(days=4))

    answer = page.get("/sells/season/")

    assert answer.text.count('<svg class="bands"') == 2
    assert "The end of the season is not set" in answer.text
    assert "nine seasons of ten" in answer.text


def test_without_a_day_ahead_the_season_page_says_so(page):
    assert "No market day lies ahead" in page.get("/sells/season/").text


def test_a_winter_kind_gets_and_loses_its_end(page, lived, today):
    design, end = lived["pairs"][0].pattern.design, today + dt.timedelta(days=9)
    page.post("/sells/season/designs/", {"design": design.pk, "ends_on": end.isoformat()})
    assert DesignSeason.objects.get().ends_on == end
    page.post("/sells/season/end/", {"ends_on": end.isoformat()})
    assert Workshop.current().season_ends_on == end

    page.post("/sells/season/designs/", {"design": design.pk, "ends_on": ""})

    assert not DesignSeason.objects.exists()


@pytest.mark.parametrize("text", ["soon", "1066-10-14", "2001-01-01"])
def test_an_absurd_end_is_refused_and_nothing_kept(page, text):
    answer = page.post("/sells/season/end/", {"ends_on": text})

    assert answer.status_code == 422
    assert answer.context["end_form"].errors.keys() == {"ends_on"}
    assert Workshop.current().season_ends_on is None


def test_a_pair_costs_its_yarn_minutes_and_packing(lived, today):
    # By hand: 60 g at 9.00 and 5 % more, 54.9 min planned and 31.5 min by the usual paces.
    Workshop.objects.update(packaging_minor=60)
    kind = price_of_kind(pattern=pattern_of(), workshop=Workshop.current(), today=today)

    assert kind.cost.cost.yarn == pytest.approx(Decimal(567), abs=1)
    assert kind.cost.cost.packaging == 60
    assert kind.cost.cost.labour == pytest.approx(Decimal(kind.cost.minutes * 25), abs=1)
    assert kind.margin_without_labour - kind.margin_with_labour == kind.cost.cost.labour
    assert kind.break_even_without_labour == 0
    assert kind.price_for(0) == kind.price_covering_all == kind.cost.cost.total


def test_weighings_and_logged_minutes_set_the_cost_right(lived, who, today):
    version = version_of(pattern_of(), who(today))
    run = strings.Run(version=version, count=4, lot=lot_of(who(today)))
    strings.log_string(runs=[run], who=who(today), minutes=100)

    kind = price_of_kind(pattern=pattern_of(), workshop=Workshop.current(), today=today)

    assert kind.cost.machine_minutes == 50
    assert kind.cost.minutes_logged


def test_a_pair_costs_the_grams_that_the_scale_taught(lived, who, today):
    before = price_of_kind(pattern=pattern_of(), workshop=Workshop.current(), today=today)
    lot = lot_of(who(today))
    planned = sum(
        use.grams * use.run.count for use in RunYarn.objects.filter(lot=lot).select_related("run")
    )
    # A tenth more than the plans of all its socks went off the lot.
    left = grams_on_hand(lot) - Decimal(str(round(planned / 10, 1)))
    gross = left + lot.tare_g
    weigh_lot(lot=lot, gross_g=gross, packages=1, who=who(today))

    after = price_of_kind(pattern=pattern_of(), workshop=Workshop.current(), today=today)

    assert after.cost.grams == pytest.approx(1.1 * before.cost.grams, rel=1e-3)


def test_the_price_page_names_cost_margins_and_break_even(page, lived):
    text = page.get("/sells/prices/").text

    assert "Left for your work" in text
    assert "Left, your work paid" in text
    assert "A day is paid by" in text


def test_the_price_for_a_target_and_the_prices_it_had(page, lived, who, today):
    pattern = pattern_of()
    set_price(pattern=pattern, first_minor=3100, second_minor=1500, who=who(today))

    answer = page.get(f"/sells/prices/{pattern.pk}/", {"profit": "2.00"})

    assert answer.context["target"] == answer.context["kind"].cost.cost.total + 200
    assert [p.first_minor for p in answer.context["history"]] == [3100, 2800]
    assert page.get(f"/sells/prices/{pattern.pk}/", {"profit": "two"}).status_code == 422


FIGURES = {
    "wage_minor": "18", "packaging_minor": "0.60", "yarn_waste_percent": "4",
    "fee_percent": "1.75", "fee_each_minor": "0.10", "overhead_minor": "480",
    "day_cost_minor": "12", "carried_percent": "40", "memory_percent": "95",
}  # fmt: skip


def test_her_figures_are_kept(page):
    page.post("/sells/figures/", FIGURES)

    workshop = Workshop.current()
    assert (workshop.wage_minor, workshop.packaging_minor) == (1800, 60)
    assert (workshop.fee_percent, workshop.memory_percent) == (Decimal("1.750"), 95)


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("wage_minor", "much"),
        ("fee_percent", "90"),
        ("memory_percent", "0"),
        ("overhead_minor", ""),
    ],
)
def test_a_bad_figure_is_refused_at_its_field(page, field, text):
    answer = page.post("/sells/figures/", FIGURES | {field: text})

    assert answer.status_code == 422
    assert answer.context["form"].errors.keys() == {field}
    assert Workshop.current().memory_percent == 100


def test_the_stock_of_a_past_day_stays_as_it_was(lived, who, today):
    workshop = Workshop.current()
    before = count_stock(as_of=lived["date"], workshop=workshop)

    take_yarn(lot=lot_of(who(today)), grams=Decimal(500), use="waste", who=who(today))
    pairs_on_shelf(2, who(today))

    assert count_stock(as_of=lived["date"], workshop=workshop) == before
    now = count_stock(as_of=today, workshop=workshop)
    assert before.pair_count == 1
    assert now.pair_count == 3
    assert now.yarn[0].grams == before.yarn[0].grams - 500 - 4 * 30


def test_before_anything_was_made_there_is_nothing(lived):
    count = count_stock(as_of=lived["date"] - dt.timedelta(days=1), workshop=Workshop.current())

    assert (count.total_minor, count.pair_count, count.socks) == (0, 0, 0)


def test_stock_is_at_the_cost_of_yarn(lived, who, today):
    version = version_of(pattern_of(), who(today))
    run = strings.Run(version=version, count=3, lot=lot_of(who(today)))
    string = strings.log_string(runs=[run], who=who(today))
    count = count_stock(as_of=today, workshop=Workshop.current())

    # 30 g of a sock at 9.00 for 100 g are 2.70.
    assert (count.socks, count.work_minor) == (3, 810)
    assert (count.pair_count, count.pairs_minor) == (1, 540)
    assert count.yarn_minor == round(count.yarn[0].grams * 9)

    undo_moves(act_id=string.act_id, by=who(today).by, at=who(today, "09:00").at)

    undone = count_stock(as_of=today, workshop=Workshop.current())
    assert (undone.socks, undone.yarn_minor - count.yarn_minor) == (0, 810)


def test_takings_stand_by_month_and_market_with_their_tax(lived, who, today):
    sale = lived["sales"][0]
    type(sale).objects.filter(pk=sale.pk).update(tax_minor=200)
    till.take_back(
        line=sale.lines.get(), refund_minor=2800, paid_by=Payment.CASH, day=None, who=who(today)
    )

    total = takings_by_month(since=lived["date"], until=today).total

    assert (total.purchases, total.taken, total.paid_back) == (2, 5600, 2800)
    assert (total.tax, total.tax_back, total.tax_owed) == (200, 200, 0)
    assert total.without_tax == 2800
    assert takings_by_month(since=today, until=today).total.taken == 0


@pytest.mark.parametrize("sheet", ["season", "stock", "takings"])
def test_the_sheets_are_made_with_their_caution(page, lived, sheet, monkeypatch):
    answer = page.get(f"/sells/sheets/{sheet}/")
    assert answer.status_code == 200
    assert answer["content-type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")

    monkeypatch.setattr("socktrade.papers.pdf_ready", lambda: (False, "install"))
    assert "not tax advice" in page.get(f"/sells/sheets/{sheet}/").text


@pytest.mark.parametrize("sheet", ["season/", "stock/", "stock.csv", "takings/", "takings.csv"])
def test_a_sheet_of_no_days_is_refused_at_its_field(page, sheet):
    answer = page.get(f"/sells/sheets/{sheet}", {"since": "2026-05-01", "until": "1066-01-01"})

    assert answer.status_code == 422
    assert answer.context["form"].errors.keys() == {"until"}
