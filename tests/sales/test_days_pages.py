"""Pages of markets, their days and the tray."""

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone

from production.models import Pair
from sales.models import DayState, Market, MarketDay, SortOut
from sales.services import days, till
from tests.factories.sales import MarketDayFactory, MarketFactory, open_stall

pytestmark = pytest.mark.django_db

MARKET = {
    "name": "Thursday quay",
    "place": "North quay",
    "opens": "08:00",
    "closes": "14:00",
    "fee": "35",
    "tax_percent": "5.5",
    "factor": "1",
    "places_on_table": "40",
}


def html(response):
    return response.content.decode()


def test_the_first_visit_says_what_to_do_first(page):
    assert "Add the place where you sell first" in html(page.get(reverse("sales:market_list")))


def test_a_market_is_added_with_its_own_tax(page):
    shown = page.get(reverse("sales:market_add"))
    assert "not tax advice" in html(shown)

    page.post(reverse("sales:market_add"), MARKET)

    market = Market.objects.get()
    assert (market.fee_minor, str(market.tax_percent), market.tax_included) == (
        3500,
        "5.500",
        False,
    )


@pytest.mark.parametrize(
    ("field", "value", "told"),
    [
        ("name", "", "required"),
        ("fee", "lots", "is not an amount"),
        ("fee", "99999999", "No stall costs that much"),
        ("tax_percent", "51", "50"),
        ("tax_percent", "abc", "number"),
        ("factor", "0", "0.05"),
        ("factor", "nan", "number"),
        ("places_on_table", "0", "1"),
        ("places_on_table", "9999999", "2000"),
        ("closes", "07:00", "closes after it opens"),
        ("opens", "25:99", "valid time"),
    ],
)
def test_a_market_with_a_bad_figure_is_told_at_its_field(page, field, value, told):
    refused = page.post(reverse("sales:market_add"), {**MARKET, field: value})

    assert refused.status_code == 422
    [message] = refused.context["form"].errors[field]
    assert told in message
    assert message in html(refused).replace("&#x27;", "'")
    assert not Market.objects.exists()


def test_two_markets_of_one_name_are_refused_at_the_name(page):
    MarketFactory(name="thursday QUAY")

    refused = page.post(reverse("sales:market_add"), MARKET)

    assert "already" in refused.context["form"].errors["name"][0]


def test_a_market_is_changed_and_keeps_its_own_name(page):
    market = MarketFactory(name="Thursday quay", fee_minor=1)

    page.post(reverse("sales:market_edit", args=[market.pk]), MARKET)

    market.refresh_from_db()
    assert market.fee_minor == 3500


def test_a_day_and_a_season_are_planned(page):
    market = MarketFactory()
    today = timezone.localdate()
    address = reverse("sales:day_plan", args=[market.pk])

    page.post(address, {"date": today.isoformat()})
    page.post(address, {"first": today.isoformat(), "last": (today + dt.timedelta(21)).isoformat()})

    assert MarketDay.objects.count() == 4
    assert f"{today:%B %Y}" in html(page.get(reverse("sales:market_list")))


@pytest.mark.parametrize(
    ("typed", "form", "field"),
    [
        ({"date": "1066-10-14"}, "one", "date"),
        ({"date": "soon"}, "one", "date"),
        ({"date": "2026-06-04", "factor": "0"}, "one", "factor"),
        ({"first": "1066-10-14", "last": "2026-06-04"}, "many", "first"),
        ({"first": "2026-06-04", "last": "2026-06-01"}, "many", "last"),
    ],
)
def test_a_bad_date_is_told_at_its_field(page, typed, form, field):
    refused = page.post(reverse("sales:day_plan", args=[MarketFactory().pk]), typed)

    assert refused.status_code == 422
    assert field in refused.context[form].errors
    assert not MarketDay.objects.exists()


def test_a_day_is_opened_and_closed(page, maker, who):
    day = open_stall(maker, pairs=2)
    days_act = day.day_acts.get(act__kind="open_day").act
    till.undo_act(act_id=days_act.pk, who=who)

    assert "Open the stall" in html(page.get(day.get_absolute_url()))
    refused = page.post(reverse("sales:day_open", args=[day.pk]), {"float": "some"})
    assert "float" in refused.context["form"].errors
    page.post(reverse("sales:day_open", args=[day.pk]), {"float": "50"})
    assert MarketDay.objects.get(pk=day.pk).float_minor == 5000

    kind = Pair.objects.in_stall_box().values_list("pattern_id", "quality").first()
    shown = page.get(reverse("sales:day_close", args=[day.pk]))
    assert "what the book expects is shown afterwards" in html(shown)
    counted = {"counted": "49", "requests_noted": "on", f"left-{kind[0]}-{kind[1]}": "1"}
    page.post(reverse("sales:day_close", args=[day.pk]), counted)

    sheet = html(page.get(day.get_absolute_url()))
    assert MarketDay.objects.get(pk=day.pk).state == DayState.CLOSED
    assert "book 2, counted 1" in sheet
    assert "short" in sheet


@pytest.mark.parametrize("value", ["-1", "two", "1.5", "999999"])
def test_a_bad_count_keeps_the_day_open(page, maker, value):
    day = open_stall(maker, pairs=1)
    kind = Pair.objects.in_stall_box().values_list("pattern_id", "quality").first()
    field = f"left-{kind[0]}-{kind[1]}"

    refused = page.post(reverse("sales:day_close", args=[day.pk]), {"counted": "50", field: value})

    assert refused.status_code == 422
    assert field in refused.context["form"].errors
    assert MarketDay.objects.get(pk=day.pk).state == DayState.OPEN


def test_a_planned_day_is_cancelled_and_put_back(page):
    day = MarketDayFactory()

    page.post(reverse("sales:day_cancel", args=[day.pk]))
    assert MarketDay.objects.get(pk=day.pk).state == DayState.CANCELLED
    page.post(reverse("sales:day_restore", args=[day.pk]))
    assert MarketDay.objects.get(pk=day.pk).state == DayState.PLANNED
    again = page.post(reverse("sales:day_restore", args=[day.pk]), follow=True)
    assert "only a cancelled day" in html(again)


def test_the_tray_is_settled_with_a_word(page, maker, who):
    day = open_stall(maker, pairs=1)
    till.sell(day=day, lines=[till.Line(900, number="P7")], paid_by="cash", who=who)
    item = SortOut.objects.get()
    assert "1 to sort out" in html(page.get(day.get_absolute_url()))
    assert item.story in html(page.get(reverse("sales:sort_list")))

    refused = page.post(reverse("sales:sort_settle", args=[item.pk]), {"note": "  "})
    assert refused.status_code == 422
    page.post(reverse("sales:sort_settle", args=[item.pk]), {"note": "An old tag"})

    item.refresh_from_db()
    assert item.settled_by.note == "An old tag"
    assert "The tray is empty" in html(page.get(reverse("sales:sort_list")))


def test_the_calendar_asks_the_book_as_often_with_more_days(page, django_assert_max_num_queries):
    market = MarketFactory()
    today = timezone.localdate()
    for number in range(60):
        date = today - dt.timedelta(weeks=number)
        MarketDayFactory(market=market, date=date, state=DayState.CLOSED)
    days.plan_weekly(
        market=market,
        first=today + dt.timedelta(1),
        last=today + dt.timedelta(100),
        today=today,
    )

    with django_assert_max_num_queries(10):
        shown = page.get(reverse("sales:market_list"))
    older = shown.context["older"]
    rest = page.get(reverse("sales:market_list"), {"before": older})
    assert sum(len(inside) for _, inside in shown.context["past"]) == 50
    assert sum(len(inside) for _, inside in rest.context["past"]) == 10


@pytest.mark.parametrize("mark", ["x", "-1", "9" * 40, "²", ""])
def test_a_made_up_mark_shows_the_newest_days(page, mark):
    assert page.get(reverse("sales:market_list"), {"before": mark}).status_code == 200


def test_the_day_sheet_asks_the_book_as_often_with_more_sales(
    page, maker, who, django_assert_max_num_queries
):
    day = open_stall(maker, pairs=12)
    for pair in Pair.objects.in_stall_box():
        till.sell(day=day, lines=[till.Line(2800, pair=pair)], paid_by="card", who=who)
    for word in ("green", "blue", "longer"):
        till.note_ask(day=day, who=who, words=word)

    with django_assert_max_num_queries(21):
        sheet = page.get(day.get_absolute_url())
    assert "12 pairs in 12 purchases" in html(sheet)
