"""Market days lived through the services, and what they say about demand afterwards."""

import datetime as dt

import pytest

from sales.core.demand import demand_rate
from sales.models import Payment
from sales.services import days, report, till
from tests.factories.shelf import pattern_of
from tests.factories.stalls import Stall, six_days


@pytest.fixture
def stall(maker, at):
    return Stall(maker, at)


def test_six_days_lived_give_the_rate_of_the_worked_example(stall):
    # Expected values: scipy.integrate.quad over the censored gamma posterior, with the
    # prior 1.5 a day at strength 2 (computed outside the project).
    six_days(stall, stall.pairs(12))

    [history] = report.what_sells(report.closed_days(), ask_share=0.5).kinds
    records = history.days
    rate = demand_rate(records, 1.5, strength=2.0, ask_share=0.5)

    assert [(day.brought, day.sold) for day in records] == [
        (3, 2), (3, 3), (4, 1), (2, 2), (0, 0), (3, 3),
    ]  # fmt: skip
    assert [day.sold_out_at for day in records] == [None, 0.5, None, 0.75, None, None]
    assert (rate.events, rate.exposure, rate.untimed_days) == (10, 3.875, 1)
    assert rate.a == pytest.approx(14.630131, abs=1e-6)
    assert rate.b == pytest.approx(5.688675, abs=1e-6)


def test_a_history_adds_its_days_up(stall):
    six_days(stall, stall.pairs(12))
    all_days = report.closed_days()

    [history] = report.what_sells(all_days, ask_share=0.5).kinds

    assert (history.brought, history.sold, history.left, history.asked) == (15, 11, 4, 2)
    assert (history.sold_out_days, history.days_brought) == (3, 5)
    # 11:00 and 12:30 are the known times; the middle of two is their mean.
    assert report.sold_out_clock(history, all_days) == dt.time(11, 45)


def test_a_sale_undone_is_no_sale_and_leaves_the_pair_on_the_table(stall):
    one, two = stall.pairs(2)
    day = stall.opened([one, two])
    stall.sell(day, one, "09:00")
    sale = stall.sell(day, two, "10:00")
    till.undo_act(act_id=sale.act_id, who=stall.who(day, "10:05"))
    stall.close(day)

    record = stall.record()

    assert (record.brought, record.sold, record.sold_out_at) == (2, 1, None)


def test_packing_undone_or_taken_out_was_not_brought(stall):
    one, two, three = stall.pairs(3)
    day = stall.packed([one])
    act = days.pack_pairs(day=day, pair_ids=[two.pk], who=stall.who(day, "07:10"))
    till.undo_act(act_id=act.pk, who=stall.who(day, "07:11"))
    days.pack_pairs(day=day, pair_ids=[three.pk], who=stall.who(day, "07:12"))
    days.unpack_pairs(day=day, pair_ids=[three.pk], who=stall.who(day, "07:13"))
    days.open_day(day=day, float_minor=0, who=stall.who(day, "08:00"))
    day.refresh_from_db()
    stall.sell(day, one, "11:00")
    stall.close(day)

    record = stall.record()

    assert (record.brought, record.sold, record.sold_out_at) == (1, 1, 0.5)


def test_a_pair_taken_home_at_noon_was_on_the_table_until_then(stall):
    one, two = stall.pairs(2)
    day = stall.opened([one, two])
    stall.sell(day, one, "09:30")
    days.unpack_pairs(day=day, pair_ids=[two.pk], who=stall.who(day, "12:30"))
    stall.close(day)

    record = stall.record()

    assert (record.brought, record.sold, record.sold_out_at) == (1, 1, 0.75)


def test_a_pair_brought_back_the_same_day_is_on_the_table_again(stall):
    [one] = stall.pairs(1)
    day = stall.opened([one])
    sale = stall.sell(day, one, "09:00")
    stall.bring_back(sale, day, "10:00")
    stall.close(day)

    record = stall.record()

    assert (record.brought, record.sold, record.returned) == (1, 0, 0)
    assert not record.sold_out
    # Away from 9 to 10 of the six hours from 8 to 14.
    assert record.empty_share == pytest.approx(1 / 6)


def test_a_pair_brought_back_and_sold_again_is_one_sale_at_the_later_time(stall):
    [one] = stall.pairs(1)
    day = stall.opened([one])
    sale = stall.sell(day, one, "09:00")
    stall.bring_back(sale, day, "10:00")
    stall.sell(day, one, "11:00")
    stall.close(day)

    record = stall.record()

    assert (record.brought, record.sold, record.sold_out_at) == (1, 1, 0.5)
    assert record.empty_share == pytest.approx(1 / 6)


def test_a_pair_brought_back_on_a_later_day_is_off_the_sales_but_not_off_the_time(stall):
    [one] = stall.pairs(1)
    first = stall.opened([one])
    sale = stall.sell(first, one, "11:00")
    stall.close(first)
    second = stall.opened([])
    stall.bring_back(sale, second, "09:00")
    stall.close(second)

    [history] = report.what_sells(report.closed_days(), ask_share=0.5).kinds

    before, after = history.days
    assert (before.sold, before.returned, before.sold_out_at) == (1, 1, 0.5)
    assert before.exposure(0.5) == 0.5
    assert (after.brought, after.sold) == (1, 0)
    assert (history.sold, history.returned) == (0, 1)


def test_a_return_undone_counts_as_sold_again(stall):
    [one] = stall.pairs(1)
    day = stall.opened([one])
    sale = stall.sell(day, one, "11:00")
    back = stall.bring_back(sale, day, "12:00")
    till.undo_act(act_id=back.act_id, who=stall.who(day, "12:01"))
    stall.close(day)

    record = stall.record()

    assert (record.brought, record.sold, record.returned, record.sold_out_at) == (1, 1, 0, 0.5)


def test_a_pair_sold_unpacked_was_on_the_table_beside_the_packed_ones(stall):
    packed, unpacked = stall.pairs(2)
    day = stall.opened([packed])
    stall.sell(day, unpacked, "09:00")
    stall.close(day)

    record = stall.record()

    assert (record.brought, record.sold) == (2, 1)


def test_the_time_without_a_pair_before_a_refill_is_no_time_on_the_table(stall):
    # Pitfall (common practice): a midday refill only adds intervals. Sold at 9:30, filled
    # again at 12:30: three of six hours without a pair.
    one, two, three = stall.pairs(3)
    day = stall.opened([one])
    stall.sell(day, one, "09:30")
    ids = [two.pk, three.pk]
    days.pack_pairs(day=day, pair_ids=ids, who=stall.who(day, "12:30"))
    stall.sell(day, two, "13:00")
    stall.close(day)

    record = stall.record()

    assert (record.brought, record.sold, record.sold_out_at) == (3, 2, None)
    assert record.empty_share == 0.5
    assert record.exposure(0.5) == 0.5


def test_a_refill_that_sells_out_too_ends_the_time_at_its_last_sale(stall):
    one, two = stall.pairs(2)
    day = stall.opened([one])
    stall.sell(day, one, "09:30")
    days.pack_pairs(day=day, pair_ids=[two.pk], who=stall.who(day, "11:00"))
    stall.sell(day, two, "12:30")
    stall.close(day)

    record = stall.record()

    assert (record.sold_out_at, record.empty_share) == (0.75, 0.25)


def test_a_refill_before_the_table_is_empty_changes_nothing(stall):
    one, two = stall.pairs(2)
    day = stall.opened([one])
    days.pack_pairs(day=day, pair_ids=[two.pk], who=stall.who(day, "09:00"))
    stall.sell(day, one, "09:30")
    stall.close(day)

    assert stall.record().empty_share == 0


def test_a_kind_that_comes_at_eleven_was_not_there_before(stall):
    one, two = stall.pairs(1) + stall.pairs(1, pattern_of(design="Mole rib"))
    day = stall.opened([one])
    days.pack_pairs(day=day, pair_ids=[two.pk], who=stall.who(day, "11:00"))
    stall.close(day)

    sells = report.what_sells(report.closed_days(), ask_share=0.5)

    shares = {kind.pattern.design.name: kind.days[0].empty_share for kind in sells.kinds}
    assert shares == {"Harbour plain": 0, "Mole rib": 0.5}
    assert sells.sizes[0].days[0].empty_share == 0


def test_one_untimed_sale_hides_the_time_of_the_sell_out(stall):
    one, two = stall.pairs(2)
    day = stall.opened([one, two])
    stall.sell(day, one, "09:00", timed=False)
    stall.sell(day, two, "11:00")
    stall.close(day)

    record = stall.record()

    assert record.sold_out
    assert record.sold_out_at is None


def test_sales_typed_in_after_the_market_have_no_time(stall):
    # Pitfall (common practice): times of typing are not times of selling.
    [one] = stall.pairs(1)
    day = stall.opened([one])
    stall.sell(day, one, "20:15")
    stall.close(day)

    assert stall.record().untimed


def test_many_sales_in_one_minute_are_typed_in_not_sold(stall):
    pairs = stall.pairs(4)
    day = stall.opened(pairs)
    for pair in pairs:
        stall.sell(day, pair, "13:10")
    stall.close(day)

    assert stall.record().untimed


def test_four_pairs_to_one_buyer_keep_their_time(stall):
    pairs = stall.pairs(4)
    day = stall.opened(pairs)
    lines = [till.Line(price_minor=2800, pair=pair) for pair in pairs]
    till.sell(day=day, lines=lines, paid_by=Payment.CASH, who=stall.who(day, "11:00"))
    stall.close(day)

    assert stall.record().sold_out_at == 0.5


def test_asks_are_read_only_from_days_on_which_they_were_noted_and_not_undone(stall):
    [one] = stall.pairs(1)
    pattern = one.pattern
    day = stall.opened([])
    stall.ask(day, pattern)
    ask = stall.ask(day, pattern)
    till.undo_act(act_id=ask.act_id, who=stall.who(day, "13:01"))
    stall.close(day, noted=True)
    day = stall.opened([])
    stall.ask(day, pattern)
    stall.close(day, noted=False)

    [history] = report.what_sells(report.closed_days(), ask_share=0.5).kinds

    assert [record.asked for record in history.days] == [1, 0]
    assert (history.rate.events, history.rate.exposure) == (1, 0.5)


def test_the_questions_are_as_many_for_six_days_as_for_one(stall, django_assert_num_queries):
    [one] = stall.pairs(1)
    day = stall.opened([one])
    stall.sell(day, one, "11:00")
    stall.close(day)
    with django_assert_num_queries(11):
        report.what_sells(report.closed_days(), ask_share=0.5)
    six_days(stall, stall.pairs(12, pattern_of("Men 10", group="men", foot_length_mm=270)))

    with django_assert_num_queries(11):
        report.what_sells(report.closed_days(), ask_share=0.5)
