"""Taxes by date, days changed and cancelled, whose box a pair lies in, the calendar's feed."""

import datetime as dt
from decimal import Decimal

import pytest
from django.urls import reverse
from icalendar import Calendar

from production.core.places import PairPlace
from production.models import Pair
from sales.errors import SalesError
from sales.models import Change, DayState, Market, MarketDay, Sale
from sales.services import boxes, days, months, purse, season, tallies, taxes, till
from socktrade.models import Workshop
from tests.factories.sales import MarketDayFactory, MarketFactory, open_stall
from tests.factories.shelf import pairs_on_shelf

pytestmark = pytest.mark.django_db
WEEK = dt.timedelta(weeks=1)


def new_tax(market, since, who, percent="10", **figures):
    figures = {"socks_taxed": True, "tax_included": False} | figures
    return taxes.change_tax(
        market=market, since=since, percent=Decimal(percent), who=who, **figures
    )


def test_change_tax_holds_from_its_date_and_leaves_what_was_sold(maker, who):
    day = open_stall(maker, pairs=2, tax_percent=Decimal(5))
    pair = Pair.objects.in_stall_box().first()
    sale = till.sell(day=day, lines=[till.Line(2100, pair=pair)], paid_by="cash", who=who)
    before, after = (
        season.plan_day(market=day.market, date=day.date + n * WEEK, today=day.date) for n in (1, 3)
    )

    new_tax(day.market, day.date + 2 * WEEK, who)
    later = season.plan_day(market=day.market, date=day.date + 4 * WEEK, today=day.date)

    read = {row.pk: (row.tax_percent, row.tax_included) for row in MarketDay.objects.all()}
    assert read[day.pk] == read[before.pk] == (5, True)
    assert read[after.pk] == read[later.pk] == (10, False)
    assert Sale.objects.get(pk=sale.pk).tax_minor == 100
    assert Change.objects.get(market=day.market).words.startswith("Tax 10 % from 18 June 2026")


def test_change_tax_refuses_a_date_that_was_sold_on(maker, who):
    day = open_stall(maker, pairs=1)

    with pytest.raises(SalesError, match="sold under the tax of before") as refusal:
        new_tax(day.market, day.date, who)

    assert refusal.value.field == "since"
    assert not day.market.tax_rules.exists()


def test_change_tax_where_socks_are_not_taxed_takes_none(who, at):
    market = MarketFactory(tax_percent=Decimal(8))
    new_tax(market, at.date(), who, "8", socks_taxed=False)

    day = season.plan_day(market=market, date=at.date(), today=at.date())

    assert taxes.purchase_of(day, [2800]).tax_minor == 0


def test_the_way_of_rounding_is_fixed_when_the_day_opens(who):
    day = MarketDayFactory(market=MarketFactory(tax_percent=Decimal(10), tax_included=False))
    Workshop.objects.update(tax_per_line=True)
    days.open_day(day=day, float_minor=0, who=who)
    Workshop.objects.update(tax_per_line=False)

    day.refresh_from_db()

    assert taxes.purchase_of(day, [105, 105, 105]).tax_minor == 33


def test_the_tax_page_tells_a_bad_rate_at_its_field_and_keeps_a_good_one(page, at):
    market = MarketFactory()
    address = reverse("sales:market_tax", args=[market.pk])

    refused = page.post(address, {"since": "soon", "tax_percent": "51"})
    assert refused.status_code == 422
    assert {"since", "tax_percent"} <= set(refused.context["form"].errors)
    page.post(address, {"since": "2026-07-01", "tax_percent": "8.875", "socks_taxed": "on"})

    shown = page.get(address).text
    assert "from 1 July 2026" in shown
    assert "8.875 %" in shown
    assert "not tax advice" in shown


def test_a_fair_that_comes_once_is_added_with_its_day(page):
    typed = {
        "name": "Harbour fair", "opens": "10:00", "closes": "16:00", "factor": "2",
        "places_on_table": "40", "socks_taxed": "on", "once": "2026-12-12",
    }  # fmt: skip
    page.post(reverse("sales:market_add"), typed)
    day = MarketDay.objects.get()
    assert (day.market.name, day.date) == ("Harbour fair", dt.date(2026, 12, 12))

    refused = page.post(reverse("sales:market_add"), typed | {"name": "B", "once": "1066-01-01"})

    assert "once" in refused.context["form"].errors
    assert Market.objects.count() == 1


def test_change_day_keeps_what_was_before_in_words(page):
    day = MarketDayFactory(fee_minor=3500)
    address = reverse("sales:day_edit", args=[day.pk])
    typed = {"opens": "09:00", "closes": "12:00", "fee": "20", "factor": "0.5", "note": "half"}

    refused = page.post(address, typed | {"closes": "08:00"})
    assert "closes" in refused.context["form"].errors
    page.post(address, typed)

    day.refresh_from_db()
    assert (day.opens.hour, day.closes.hour, day.fee_minor, day.factor) == (9, 12, 2000, 0.5)
    words = Change.objects.get(day=day).words
    assert "fee of the day: $35.00 → $20.00" in words
    assert "closes: 14:00 → 12:00" in words
    assert "note: – → half" in words


def test_a_day_called_off_for_weather_says_why_and_sends_its_box_home(page, who):
    day, made = MarketDayFactory(), pairs_on_shelf(2, who)
    days.pack_pairs(day=day, pair_ids=[pair.pk for pair in made], who=who)

    page.post(reverse("sales:day_cancel", args=[day.pk]), {"reason": "storm"})
    assert "2 packed pairs are still in the stall box" in page.get(day.get_absolute_url()).text
    page.post(reverse("sales:day_home", args=[day.pk]))
    again = page.post(reverse("sales:day_home", args=[day.pk]), follow=True)

    day.refresh_from_db()
    assert (day.state, day.note) == (DayState.CANCELLED, "storm")
    assert Pair.objects.on_shelf().count() == 2
    assert "is empty" in again.text
    assert Change.objects.get(day=day).by == who.by


def packed_for(day, made, who):
    days.pack_pairs(day=day, pair_ids=[pair.pk for pair in made], who=who)
    return day


def test_box_of_a_day_leaves_out_what_was_packed_for_another_day_ahead(who):
    near, far = MarketDayFactory(), MarketDayFactory()
    made = pairs_on_shelf(5, who)
    packed_for(near, made[:2], who)
    packed_for(far, made[2:], who)

    assert set(boxes.box_of(near)) == set(made[:2])
    assert set(boxes.box_of(far)) == set(made[2:])


def test_closing_takes_home_the_day_s_own_box_only(who):
    near, far = MarketDayFactory(), MarketDayFactory()
    made = pairs_on_shelf(5, who)
    packed_for(near, made[:2], who)
    packed_for(far, made[2:], who)
    days.open_day(day=near, float_minor=0, who=who)

    days.close_day(day=near, counted_minor=0, requests_noted=True, who=who)

    assert set(Pair.objects.in_stall_box()) == set(made[2:])


def test_a_pair_packed_for_one_day_and_sold_on_another_counts_as_brought_there(who):
    near, far = MarketDayFactory(), MarketDayFactory()
    made = pairs_on_shelf(5, who)
    packed_for(near, made[:2], who)
    packed_for(far, made[2:], who)
    days.open_day(day=near, float_minor=0, who=who)
    near.refresh_from_db()
    till.sell(day=near, lines=[till.Line(2800, pair=made[4])], paid_by="cash", who=who)

    told = tallies.day_tallies([near, far])

    kind = made[0].pattern_id
    assert (told[near.pk, kind].on_table, told[near.pk, kind].sold) == (3, 1)
    assert told[far.pk, kind].on_table == 2
    assert tallies.day_tallies([far])[far.pk, kind].on_table == 2


def test_what_a_cancelled_day_left_packed_is_brought_by_the_day_that_opens(who):
    off, day = MarketDayFactory(), MarketDayFactory()
    made = pairs_on_shelf(3, who)
    packed_for(off, made, who)
    days.cancel_day(day=off, who=who)
    days.open_day(day=day, float_minor=0, who=who)
    day.refresh_from_db()
    till.sell(day=day, lines=[till.Line(2800, pair=made[0])], paid_by="cash", who=who)
    days.close_day(day=day, counted_minor=2800, requests_noted=True, who=who)

    tally = tallies.day_tallies([day])[day.pk, made[0].pattern_id]

    assert (tally.on_table, tally.sold) == (3, 1)
    assert Pair.objects.get(pk=made[1].pk).place == PairPlace.SHELF


def test_the_month_shows_days_in_their_cells(page, at):
    day = MarketDayFactory()

    shown = page.get(reverse("sales:market_calendar"), {"month": "2026-06"})

    [cell] = [c for week in shown.context["weeks"] for c in week if c.date == at.date()]
    assert cell.days == (day,)
    assert "June 2026" in shown.text
    assert page.get(reverse("sales:market_calendar"), {"month": "2026-99"}).status_code == 200


def test_the_feed_is_read_back_by_another_program(client, page, who, at):
    market = MarketFactory(name="Quay, north; side", place="Fish quay")
    day = season.plan_day(market=market, date=at.date(), today=at.date(), who=who)
    off = season.plan_day(market=market, date=at.date() + WEEK, today=at.date(), who=who)
    season.cancel_day(day=off, reason="storm", who=who)
    address = reverse("sales:calendar_feed", args=[months.feed_token()])
    client.logout()

    answer = client.get(address)

    read = Calendar.from_ical(answer.content)
    first, second = read.walk("VEVENT")
    assert answer["content-type"] == "text/calendar"
    assert str(first["SUMMARY"]) == "Quay, north; side"
    assert str(first["LOCATION"]) == "Fish quay"
    assert first.decoded("DTEND") - first.decoded("DTSTART") == dt.timedelta(hours=6)
    assert first.decoded("DTSTART").date() == day.date
    assert (str(first["STATUS"]), str(second["STATUS"])) == ("CONFIRMED", "CANCELLED")
    assert int(second["SEQUENCE"]) == 2
    assert first["UID"] != second["UID"]


def test_a_new_address_ends_the_old_one(client, page):
    old = months.feed_token()
    page.post(reverse("sales:calendar_renew"))
    new = months.feed_token()
    client.logout()

    codes = {
        token: client.get(reverse("sales:calendar_feed", args=[token])).status_code
        for token in (old, new, "x")
    }
    assert codes == {old: 404, new: 200, "x": 404}
    assert len(new) >= 43


def test_an_unset_token_opens_nothing(client, maker):
    assert not months.is_feed_token("")
    assert client.get(reverse("sales:calendar_feed", args=["none"])).status_code == 404


def test_cards_are_counted_against_the_reader_and_the_fee_as_paid(page, maker, who):
    day = open_stall(maker, pairs=2)
    pair = Pair.objects.in_stall_box().first()
    till.sell(day=day, lines=[till.Line(2800, pair=pair)], paid_by="card", who=who)
    address = reverse("sales:day_close", args=[day.pk])

    assert "The book has 1" in page.get(address, {"book": ""}).text
    assert "The book has" not in page.get(address).text
    typed = {"counted": "50", "cards": "27", "fee": "30", "opens": "09:00", "weather": "rain"}
    page.post(address, typed)

    day.refresh_from_db()
    assert (day.fee_minor, day.opens.hour, day.weather) == (3000, 9, "rain")
    assert purse.takings_of(day).cards_difference == -100
