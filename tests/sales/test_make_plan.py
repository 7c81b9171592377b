import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from production.models import DyeLot, Sock, Yarn
from production.services import baskets, strings
from production.services.acts import Who
from production.services.yarn import grams_on_hand, take_yarn
from sales.core.demand import predict
from sales.models import DesignSeason, Order
from sales.services.making import plan_making, usual_time
from sales.services.sellbook import read_book
from sales.services.underway import pairs_underway
from socktrade.models import Workshop
from tests.factories.shelf import lot_of, pairs_on_shelf, pattern_of, planned_day, version_of

PAGE = "/sells/make/"


@pytest.fixture
def today():
    return timezone.localdate()


@pytest.fixture
def who(maker):
    early = dt.datetime.combine(timezone.localdate(), dt.time(0, 1))
    return Who(by=maker, at=timezone.make_aware(early))


@pytest.fixture
def kind(who):
    """A pattern with a price, a version and plenty of yarn."""
    [pair] = pairs_on_shelf(1, who)
    return pair.pattern


def planned(today, *, days=7, **figures):
    day = planned_day(today + dt.timedelta(days=days))
    workshop = Workshop.current()
    time = usual_time(workshop=workshop, day=day, today=today)
    for name, value in figures.items():
        time = type(time)(**{**{n: getattr(time, n) for n in time.__slots__}, name: value})
    return plan_making(workshop=workshop, today=today, time=time, day=day)


def knitted(who, count, kind, *, washed=False):
    """Log a string and take it to the seam basket, or dry from the wash."""
    run = strings.Run(version=version_of(kind, who), count=count, lot=lot_of(who))
    socks = list(strings.log_string(runs=[run], who=who).socks.all())
    for step in ("cut", "seam", "wash", "dry") if washed else ("cut",):
        baskets.do_step(step=step, sock_ids=[sock.pk for sock in socks], who=who)
    return socks


def test_the_usual_hours_leave_out_the_drying(maker, today):
    Workshop.objects.update(hours_per_week=21, drying_days=2)
    day = planned_day(today + dt.timedelta(days=7))

    time = usual_time(workshop=Workshop.current(), day=day, today=today)

    assert (time.minutes, time.machine_minutes) == (21 * 60, 15 * 60)


def test_baskets_are_cleared_before_anything_is_knitted(who, today, kind):
    knitted(who, 4, kind)

    plan = planned(today, minutes=70)

    assert plan.knit == ()
    assert plan.baskets == {"seam": 4}
    [line] = plan.to_do
    assert (line.line.to_finish, line.new) == (2, 0)


def test_an_odd_sock_gets_its_partner_from_its_own_lot(who, today, kind):
    knitted(who, 1, kind)

    plan = planned(today, minutes=90)

    [string] = plan.knit
    assert (string.socks, string.why, string.lot) == (1, "partner of an odd sock", lot_of(who))
    assert pairs_underway()[kind.pk][0].is_odd


def test_new_strings_hold_two_socks_a_pair(who, today, kind):
    plan = planned(today, minutes=200)

    assert sum(string.socks for string in plan.knit) == 2 * sum(k.new for k in plan.kinds)
    assert plan.minutes <= 200
    assert plan.hour_worth_minor > 0


def test_machine_minutes_bind_on_their_own(who, today, kind):
    assert planned(today, machine_minutes=0).knit == ()


def order_of(kind, who, today, **facts):
    figures = {
        "customer": "Ferry pilot", "wish": "one pair", "taken_on": today,
        "promised_on": today + dt.timedelta(days=10), "price_minor": 4000,
        "version": version_of(kind, who),
    }  # fmt: skip
    return Order.objects.create(**(figures | facts))


def test_orders_come_before_everything_else(who, today, kind):
    order_of(kind, who, today)

    plan = planned(today, minutes=100)

    assert plan.knit[0].why.startswith("order of Ferry pilot")
    assert plan.orders[0].minutes > 0
    assert plan.plan.minutes <= 100 - plan.orders[0].minutes


def test_an_order_takes_the_pair_that_is_begun(who, today, kind):
    knitted(who, 2, kind)
    order_of(kind, who, today)

    plan = planned(today, minutes=60)

    assert plan.orders[0].underway is not None
    assert plan.baskets == {"seam": 2}
    assert all(line.underway == 0 for line in plan.kinds)


def test_an_order_without_a_pattern_is_named_and_takes_no_minutes(who, today, kind):
    order_of(kind, who, today, version=None)

    plan = planned(today)

    assert plan.orders[0].trouble == "Plan its pattern first; then it counts here."
    assert plan.orders[0].minutes == 0


def test_no_more_is_planned_than_the_yarn_gives(who, today, kind):
    lot = DyeLot.objects.get()
    # Two pairs of 60 g with a twentieth for joins, and the reserve beside them.
    take_yarn(lot=lot, grams=grams_on_hand(lot) - Decimal(145), use="waste", who=who)

    plan = planned(today, days=30, minutes=5000, machine_minutes=5000)

    assert sum(k.new for k in plan.kinds) == 2
    assert any("all the suiting yarn" in reason for reason in plan.to_do[0].reasons)


def test_two_kinds_do_not_plan_the_same_yarn_twice(who, today, kind):
    other = pattern_of("Men 10", group="men", foot_length_mm=270)
    pairs_on_shelf(1, who, pattern=other)
    lot = DyeLot.objects.get()
    take_yarn(lot=lot, grams=grams_on_hand(lot) - Decimal(210), use="waste", who=who)

    plan = planned(today, days=30, minutes=5000, machine_minutes=5000)

    assert sum(k.new for k in plan.kinds) == 3
    assert sum(string.socks for string in plan.knit) == 6


def test_the_end_of_a_season_holds_back(page, who, today, kind):
    free = planned(today, days=5, minutes=5000, machine_minutes=5000)
    DesignSeason.objects.create(design=kind.design, ends_on=today + dt.timedelta(days=5))

    held = page.get(PAGE).context["plan"]

    assert sum(k.new for k in held.kinds) < sum(k.new for k in free.kinds)
    DesignSeason.objects.update(ends_on=today - dt.timedelta(days=1))
    assert page.get(PAGE).context["plan"].to_do == []


def test_no_more_is_made_than_the_rest_of_the_season_repays(who, today, kind):
    # Yarn at 42.50 for 100 g: a pair holds 26 of its price of 28, and half of it once left over.
    Yarn.objects.update(price_minor=4250)
    Workshop.objects.update(carried_percent=50)
    DesignSeason.objects.create(design=kind.design, ends_on=today + dt.timedelta(days=5))

    plan = planned(today, days=5, minutes=5000, machine_minutes=5000)

    book = read_book(workshop=Workshop.current(), today=today, day=plan.day)
    [history] = book.found.kinds
    cost = book.costs[kind.pk].material_minor
    # The newsvendor's share: what a sale leaves over what is at stake (textbook, from memory).
    share = (2800 - cost) / (2800 - cost / 2)
    most = predict(history.rate, [1.0], book.found.day_noise).quantile(share)
    [line] = plan.kinds
    assert line.on_hand + line.line.count == max(1, most)
    assert most < 3


def test_the_day_before_only_what_is_washed_can_be_ready(who, today, kind):
    Workshop.objects.update(drying_days=2)
    knitted(who, 2, kind)
    knitted(who, 2, kind, washed=True)

    plan = planned(today, days=1, minutes=500)

    assert plan.baskets == {"block": 2}
    assert plan.knit == ()
    assert any("already are planned" in note for note in plan.notes)


def test_seconds_and_scrap_make_no_first(who, today, kind):
    socks = knitted(who, 2, kind)
    Sock.objects.filter(pk=socks[0].pk).update(quality="second")

    [pair] = pairs_underway()[kind.pk]

    assert pair.is_odd


def test_the_page_gives_the_list_and_every_line_its_reasons(page, who, today, kind):
    knitted(who, 3, kind)
    planned_day(today + dt.timedelta(days=7))

    text = page.get(PAGE).text

    assert "Baskets to clear" in text
    assert "Why this?" in text
    assert "finished, 2 in progress" in text
    assert "guess" in text
    assert "One more hour would bring about" in text
    assert "style=" not in text


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"hours": "ten", "machine": "1"}, "Enter a number"),
        ({"hours": "2", "machine": "3"}, "more than the 2 hours"),
        ({"hours": "-1", "machine": "0"}, "greater than or equal to 0"),
        ({"hours": "9999", "machine": "0"}, "less than or equal to"),
    ],
)
def test_absurd_hours_are_refused_at_their_field(page, who, kind, asked, said):
    answer = page.get(PAGE, asked)

    assert answer.status_code == 422
    assert said in answer.text


def test_an_empty_book_says_what_to_do_first(page):
    assert "There is no pattern to make yet" in page.get(PAGE).text


def test_the_list_comes_as_a_sheet(page, who, kind):
    text = page.get(f"{PAGE}list.csv").text

    assert text.splitlines()[0].startswith("kind,finish,make,minutes")
    assert str(kind) in text


def test_more_kinds_ask_no_more(page, who, today, kind, django_assert_max_num_queries):
    knitted(who, 3, kind)
    planned_day(today + dt.timedelta(days=7))
    with django_assert_max_num_queries(60) as before:
        page.get(PAGE)
    for number in range(4):
        more = pattern_of(f"Men {number + 10}", group="men", foot_length_mm=260 + number)
        pairs_on_shelf(1, who, pattern=more)
        knitted(who, 3, more)

    with django_assert_max_num_queries(len(before)):
        page.get(PAGE)
