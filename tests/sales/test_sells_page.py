import csv
import datetime as dt
import io

import pytest
from django.utils import timezone

from production.services.acts import Who
from sales.models import Market, Payment
from sales.services import days, report, till
from sales.services.sizes import LISTED, sales_behind, sells_page
from socktrade.cells import safe_cell
from socktrade.models import Workshop
from tests.factories.shelf import pairs_on_shelf, pattern_of, planned_day, sell_pair

PAGE = "/sells/"


@pytest.fixture
def who(maker):
    def at_clock(date, clock="07:00"):
        moment = dt.datetime.combine(date, dt.time.fromisoformat(clock), dt.UTC)
        return Who(by=maker, at=moment)

    return at_clock


@pytest.fixture
def date():
    return timezone.localdate() - dt.timedelta(days=20)


def lived_day(who, date, pairs, *, sold=(), asked=(), market=None):
    """A day with these pairs on the table; `sold` are (pair, clock)."""
    day = planned_day(date, market)
    if pairs:
        days.pack_pairs(day=day, pair_ids=[pair.pk for pair in pairs], who=who(date))
    days.open_day(day=day, float_minor=0, who=who(date, "08:00"))
    day.refresh_from_db()
    for pair, clock in sold:
        sell_pair(day, pair, who(date, clock))
    for pattern in asked:
        till.note_ask(day=day, pattern=pattern, who=who(date, "13:00"))
    days.close_day(day=day, counted_minor=0, requests_noted=True, who=who(date, "14:00"))
    day.refresh_from_db()
    return day


@pytest.fixture
def lived(who, date):
    """Two women's pairs, both sold by 11:00 and one asked for; one men's pair left."""
    women = pairs_on_shelf(2, who(date))
    big = pattern_of("Men 10", group="men", foot_length_mm=270)
    men = pairs_on_shelf(1, who(date), pattern=big)
    sold = [(women[0], "09:00"), (women[1], "11:00")]
    lived_day(who, date, [*women, *men], sold=sold, asked=[women[0].pattern])
    return {"women": women, "men": men}


def test_without_a_closed_day_the_page_says_what_will_be_read(page):
    text = page.get(PAGE).text

    assert "no closed market day in this range" in text
    assert "<svg class=" not in text


def test_a_day_with_nothing_on_it_is_no_picture(page, who, date):
    lived_day(who, date, [])

    assert "Nothing was brought, sold or asked for" in page.get(PAGE).text


def test_the_page_shows_figures_with_what_they_rest_on(page, lived):
    answer = page.get(PAGE)

    women, men = answer.context["page"].sizes
    assert (women.history.brought, women.history.sold, women.history.left) == (2, 2, 0)
    assert women.sold_share == 100
    assert men.sold_share == 0
    # 2 sold and 1 asked; half a day on the table and half of the other half heard.
    assert women.evidence == "3 wanted in 0.8 market days"
    assert "3 wanted in 0.8 market days" in answer.text
    assert "1 of 1 day" in answer.text
    assert ">by 11:00<" in answer.text
    assert "Sold of what was brought" in answer.text
    assert "90 % sure" in answer.text


def test_the_picture_holds_one_row_a_size_and_its_words(page, lived):
    text = page.get(PAGE).text

    assert text.count('<svg class="bars"') == 1
    assert "2 sold, 1 asked for" in text
    assert "style=" not in text


def test_the_faster_of_two_sizes_is_named_with_its_odds(page, lived):
    race = page.get(PAGE).context["race"]

    assert race.first.name == "Women 8½"
    assert 0.5 < race.odds < 1
    assert f"{100 * race.odds:.0f} in 100" in race.verdict
    turned = page.get(PAGE, {"a": race.second.key, "b": race.first.key, "since": ""})
    assert turned.context["race"].odds == pytest.approx(1 - race.odds)
    assert turned.context["race"].verdict == race.verdict


@pytest.mark.parametrize(("a", "b"), [("x", "y"), ("women:Women 8½", "women:Women 8½")])
def test_an_odd_race_is_run_between_two_sizes_all_the_same(page, lived, a, b):
    race = page.get(PAGE, {"a": a, "b": b}).context["race"]

    assert race.first.key != race.second.key


def test_what_is_on_the_shelf_but_never_came_is_called_a_guess(page, lived, who, date):
    pairs_on_shelf(1, who(date), pattern=pattern_of("Women 9½", foot_length_mm=254))

    answer = page.get(PAGE)

    new = answer.context["page"].sizes[1]
    assert (new.name, new.history.brought, new.sold_share) == ("Women 9½", 0, None)
    assert "guess: these days say nothing of it" in answer.text
    assert "is-guess" in answer.text


def test_sold_out_days_without_a_time_are_told(who, date, page):
    [pair] = pairs_on_shelf(1, who(date))
    lived_day(who, date, [pair], sold=[(pair, "20:00")])

    answer = page.get(PAGE)

    [row] = answer.context["page"].sizes
    assert row.evidence == "0 wanted in 0.0 market days, and 1 sold-out day without a time"
    assert "time not known" in answer.text


def test_two_sizes_alike_cannot_be_told_apart(page, who, date):
    women = pairs_on_shelf(1, who(date))
    men = pairs_on_shelf(1, who(date), pattern=pattern_of("Men 10", "Mole rib", "men", 270))
    lived_day(who, date, [*women, *men])

    race = page.get(PAGE).context["race"]

    assert race.odds == pytest.approx(0.5)
    assert race.verdict.startswith("Cannot tell yet: 50 in 100")


def test_one_size_alone_runs_no_race(page, who, date):
    [pair] = pairs_on_shelf(1, who(date))
    lived_day(who, date, [pair])

    assert page.get(PAGE).context["race"] is None


def test_the_range_leaves_out_other_days_and_markets(page, who, date, lived):
    fair = Market.objects.create(name="Winter fair", opens=dt.time(8), closes=dt.time(14))
    other = date + dt.timedelta(days=7)
    lived_day(who, other, lived["men"], sold=[(lived["men"][0], "09:00")], market=fair)

    early = page.get(PAGE, {"until": date.isoformat()}).context["page"]
    late = page.get(PAGE, {"since": other.isoformat()}).context["page"]
    at_fair = page.get(PAGE, {"market": fair.pk}).context["page"]

    assert [row.history.sold for row in early.sizes] == [2, 0]
    assert [row.history.sold for row in late.sizes] == [1]
    assert [row.name for row in at_fair.sizes] == ["Men 10"]


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"since": "1066-10-14"}, "from the year 2000"),
        ({"until": "9999-01-01"}, "from the year 2000"),
        ({"since": "spring"}, "That is no date"),
        ({"since": "2026-02-01", "until": "2026-01-01"}, "before the start"),
        ({"market": "999"}, "Select a valid choice"),
    ],
)
def test_an_absurd_range_is_refused_at_its_field(page, lived, asked, said):
    for address in (PAGE, f"{PAGE}sizes.csv"):
        answer = page.get(address, asked)

        assert answer.status_code == 422
        assert said in answer.text


def test_a_share_of_zero_askers_breaks_nothing(page, lived):
    Workshop.objects.update(ask_share=0)

    assert page.get(PAGE).status_code == 200


def test_a_figure_opens_the_sales_behind_it(page, lived):
    answer = page.get(PAGE)
    assert f"{PAGE}sales/?kind=women%3A" in answer.text

    text = page.get(f"{PAGE}sales/", {"kind": "women:Women 8½"}).text

    assert "2 sales on 1 market day" in text
    assert "$28.00" in text
    for pair in lived["women"]:
        assert f'href="{pair.get_absolute_url()}"' in text
    assert lived["men"][0].label not in text


@pytest.mark.parametrize("kind", ["", "999999", "women:none", "0x10", "²", "women:\0"])
def test_an_unknown_kind_has_no_sales(page, lived, kind):
    answer = page.get(f"{PAGE}sales/", {"kind": kind})

    assert answer.status_code == 200
    assert "No sale of this kind" in answer.text


def test_the_sales_behind_leave_out_what_was_undone(lived, who, date):
    pattern = lived["women"][0].pattern_id
    closed = report.closed_days()
    line = sales_behind(closed, pattern_ids=[pattern]).first()

    till.undo_act(act_id=line.sale.act_id, who=who(date, "15:00"))

    assert sales_behind(closed, pattern_ids=[pattern]).count() == 1


def test_only_the_newest_sales_are_listed(page, who, date):
    pairs = pairs_on_shelf(1, who(date))
    day = planned_day(date)
    days.open_day(day=day, float_minor=0, who=who(date, "08:00"))
    day.refresh_from_db()
    kind = pairs[0].pattern
    for count in (LISTED, 1):
        lines = [till.Line(price_minor=100, pattern=kind)] * count
        till.sell(day=day, lines=lines, paid_by=Payment.CASH, who=who(date, "09:00"))
    days.close_day(day=day, counted_minor=0, requests_noted=True, who=who(date, "14:00"))

    answer = page.get(f"{PAGE}sales/", {"kind": str(kind.pk)})

    assert len(answer.context["lines"]) == LISTED
    assert f"The newest {LISTED} sales" in answer.text


def test_the_sheet_holds_sizes_and_kinds(page, lived):
    answer = page.get(f"{PAGE}sizes.csv")

    rows = list(csv.DictReader(io.StringIO(answer.text)))
    assert answer["content-type"].startswith("text/csv")
    assert "sizes.csv" in answer["content-disposition"]
    assert [(row["what"], row["name"], row["sold"]) for row in rows] == [
        ("size", "Women 8½", "2"),
        ("size", "Men 10", "0"),
        ("kind", "Harbour plain Women 8½", "2"),
        ("kind", "Harbour plain Men 10", "0"),
    ]
    assert rows[0]["usual_sold_out_time"] == "11:00"


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_a_name_that_a_spreadsheet_would_run_gets_an_apostrophe(page, who, date, start):
    # Source: OWASP, "CSV Injection" (from memory): these six starts.
    evil = pattern_of(design=f"{start}HYPERLINK(1)")
    lived_day(who, date, pairs_on_shelf(1, who(date), pattern=evil))

    text = page.get(f"{PAGE}sizes.csv").content.decode()
    rows = list(csv.DictReader(io.StringIO(text, newline="")))

    assert rows[1]["name"] == f"'{start}HYPERLINK(1) Women 8½"
    assert safe_cell(-3) == -3


def test_a_range_of_years_asks_no_more(page, who, date, lived, django_assert_num_queries):
    page.get(PAGE)
    with django_assert_num_queries(16):
        page.get(PAGE)
    for week in range(1, 5):
        pattern = pattern_of(f"Men {week + 10}", group="men", foot_length_mm=272 + week)
        pairs = pairs_on_shelf(2, who(date), pattern=pattern)
        earlier = date - dt.timedelta(weeks=week)
        lived_day(who, earlier, pairs, sold=[(pairs[0], "09:00")], asked=[pattern])

    with django_assert_num_queries(16):
        page.get(PAGE)


def test_a_size_named_without_its_group_gets_it_in_front(who, date):
    pattern = pattern_of("10 to 11", group="men", foot_length_mm=270)
    lived_day(who, date, pairs_on_shelf(1, who(date), pattern=pattern))

    [row] = sells_page(report.closed_days(), ask_share=0.5).sizes

    assert row.name == "Men 10 to 11"
