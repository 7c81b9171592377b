"""Market days: planned, packed for, opened, closed. Rules of the project's own design."""

import datetime as dt

import pytest

from production.core.places import PairPlace
from production.errors import CannotUndoError, MoveNotAllowedError
from production.models import Act, Pair
from sales.errors import SalesError
from sales.models import CashCount, CountLine, DayState, MarketDay, Order, OrderState
from sales.services import days, purse, till
from tests.factories.sales import MarketDayFactory, MarketFactory, open_stall
from tests.factories.shelf import pairs_on_shelf

pytestmark = pytest.mark.django_db


def test_plan_day_takes_hours_fee_and_factor_of_the_market(at):
    market = MarketFactory(fee_minor=3500, factor=1.5)

    day = days.plan_day(market=market, date=at.date(), today=at.date())

    assert (day.opens, day.closes, day.fee_minor, day.factor) == (
        market.opens,
        market.closes,
        3500,
        1.5,
    )


@pytest.mark.parametrize("date", [dt.date(1066, 10, 14), dt.date(2031, 1, 1)])
def test_plan_day_refuses_a_date_nobody_plans_for(at, date):
    with pytest.raises(SalesError, match="is no day to plan for") as refusal:
        days.plan_day(market=MarketFactory(), date=date, today=at.date())

    assert refusal.value.field == "date"
    assert not MarketDay.objects.exists()


def test_plan_day_refuses_a_second_day_on_one_date(at):
    market = MarketFactory()
    days.plan_day(market=market, date=at.date(), today=at.date())

    with pytest.raises(SalesError, match="already has a day on 4 June 2026"):
        days.plan_day(market=market, date=at.date(), today=at.date())


def test_plan_weekly_fills_the_gaps_and_leaves_what_is_there(at):
    market, first = MarketFactory(), at.date()
    there = days.plan_day(market=market, date=first + dt.timedelta(7), today=first)

    made = days.plan_weekly(market=market, first=first, last=first + dt.timedelta(22), today=first)

    assert [day.date.day for day in made] == [4, 18, 25]
    assert set(MarketDay.objects.values_list("date__day", flat=True)) == {4, 11, 18, 25}
    assert MarketDay.objects.filter(pk=there.pk).exists()


@pytest.mark.parametrize(
    ("first", "last", "field"),
    [
        (dt.date(2026, 6, 4), dt.date(2026, 6, 3), "last"),
        (dt.date(1066, 6, 4), dt.date(2026, 6, 3), "first"),
        (dt.date(2026, 6, 4), dt.date(2028, 5, 1), "last"),
    ],
)
def test_plan_weekly_refuses_a_span_that_is_no_season(at, first, last, field):
    with pytest.raises(SalesError, match=r"\w") as refusal:
        days.plan_weekly(market=MarketFactory(), first=first, last=last, today=at.date())

    assert refusal.value.field == field
    assert not MarketDay.objects.exists()


def test_cancel_day_strikes_a_planned_day_and_restore_day_brings_it_back():
    day = MarketDayFactory()

    assert days.cancel_day(day=day).state == DayState.CANCELLED
    with pytest.raises(SalesError, match="cancelled"):
        days.cancel_day(day=day)
    assert days.restore_day(day=day).state == DayState.PLANNED


def test_cancel_day_refuses_an_open_day(maker):
    with pytest.raises(SalesError, match="open"):
        days.cancel_day(day=open_stall(maker))


def test_pack_pairs_refuses_a_pair_promised_to_a_customer(who):
    day, [pair] = MarketDayFactory(), pairs_on_shelf(1, who)
    Order.objects.create(
        customer="Ada", wish="plain", taken_on=day.date, promised_on=day.date,
        price_minor=3000, state=OrderState.READY, pair=pair,
    )  # fmt: skip
    acts = Act.objects.count()

    with pytest.raises(SalesError, match="set aside for Ada"):
        days.pack_pairs(day=day, pair_ids=[pair.pk], who=who)

    assert Pair.objects.get(pk=pair.pk).place == PairPlace.SHELF
    assert Act.objects.count() == acts


def test_pack_pairs_writes_nothing_when_one_pair_is_not_on_the_shelf(who):
    day, made = MarketDayFactory(), pairs_on_shelf(2, who)
    days.pack_pairs(day=day, pair_ids=[made[0].pk], who=who)
    acts = Act.objects.count()

    with pytest.raises(MoveNotAllowedError, match="in the stall box"):
        days.pack_pairs(day=day, pair_ids=[pair.pk for pair in made], who=who)

    assert Pair.objects.get(pk=made[1].pk).place == PairPlace.SHELF
    assert Act.objects.count() == acts


def test_open_day_refuses_a_second_open_stall(maker, who):
    first = open_stall(maker)
    second = MarketDayFactory()

    with pytest.raises(SalesError, match="still open") as refusal:
        days.open_day(day=second, float_minor=0, who=who)

    assert str(first) in str(refusal.value)
    assert MarketDay.objects.get(pk=second.pk).state == DayState.PLANNED


def test_open_day_refuses_an_absurd_float(who):
    day = MarketDayFactory()

    with pytest.raises(SalesError, match="No tin holds") as refusal:
        days.open_day(day=day, float_minor=10**11, who=who)

    assert refusal.value.field == "float"


def test_close_day_takes_everything_home_and_keeps_the_count(maker, who):
    day = open_stall(maker, pairs=3)
    kind = Pair.objects.in_stall_box().values_list("pattern_id", "quality").first()

    days.close_day(
        day=day, counted_minor=4900, requests_noted=False, who=who, left={kind: 2}, weather="rain"
    )

    day.refresh_from_db()
    assert (day.state, day.requests_noted, day.weather) == (DayState.CLOSED, False, "rain")
    assert Pair.objects.on_shelf().count() == 3
    takings = purse.takings_of(day)
    assert (takings.difference, takings.expected_then) == (-100, 5000)
    line = CountLine.objects.get()
    assert (line.expected, line.counted) == (3, 2)


def test_close_day_refuses_a_negative_count_and_writes_nothing(maker, who):
    day = open_stall(maker)
    acts = Act.objects.count()

    with pytest.raises(SalesError, match="no count of pairs"):
        days.close_day(
            day=day, counted_minor=0, requests_noted=True, who=who, left={(1, "first"): -1}
        )

    assert Act.objects.count() == acts
    assert Pair.objects.in_stall_box().count() == 3
    assert not CashCount.objects.exists()


def test_undoing_the_closing_opens_the_stall_again(maker, who):
    day = open_stall(maker)
    act = days.close_day(day=day, counted_minor=5000, requests_noted=True, who=who)

    till.undo_act(act_id=act.pk, who=who)

    day.refresh_from_db()
    assert day.state == DayState.OPEN
    assert Pair.objects.in_stall_box().count() == 3


def test_undoing_the_closing_is_refused_while_another_stall_is_open(maker, who):
    first = open_stall(maker, pairs=1)
    act = days.close_day(day=first, counted_minor=5000, requests_noted=True, who=who)
    days.open_day(day=MarketDayFactory(), float_minor=0, who=who)

    with pytest.raises(CannotUndoError, match="is open now"):
        till.undo_act(act_id=act.pk, who=who)

    first.refresh_from_db()
    assert first.state == DayState.CLOSED
    assert Pair.objects.on_shelf().count() == 1


def test_undoing_the_opening_is_refused_once_something_was_sold(maker, who):
    day = open_stall(maker)
    opening = day.day_acts.get(act__kind="open_day").act
    pair = Pair.objects.in_stall_box().first()
    till.sell(day=day, lines=[till.Line(price_minor=1, pair=pair)], paid_by="cash", who=who)

    with pytest.raises(CannotUndoError, match="went on after that"):
        till.undo_act(act_id=opening.pk, who=who)

    day.refresh_from_db()
    assert day.state == DayState.OPEN
