"""Readings that are kept in the process say at every step what reading anew would say."""

import datetime as dt

import pytest
from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from production.models import Act, ActKind
from sales.models import CountLine, MarketDay, SaleLine
from sales.services import custom, days, overcounts, report, till
from tests.factories.shelf import pattern_of
from tests.factories.stalls import Stall

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def stall(maker, at):
    return Stall(maker, at)


def read():
    return report.what_sells(report.closed_days(), ask_share=0.5)


def read_anew():
    with transaction.atomic():  # where nothing is kept
        return read()


def agree():
    """Return whether the kept reading is the fresh one, both just read and read again."""
    return read() == read_anew() == read()


def closed_day(stall, pairs, *, sold=1, asked=0):
    day = stall.opened(pairs)
    sales = [stall.sell(day, pair, "10:10") for pair in pairs[:sold]]
    for _ in range(asked):
        stall.ask(day, pairs[0].pattern)
    stall.close(day, noted=True)
    return day, sales


def test_a_second_reading_does_not_read_the_acts_again(stall, django_assert_num_queries):
    closed_day(stall, stall.pairs(2))
    read()

    # The days and their markets, how far the acts have come, the kinds as they are called now.
    with django_assert_num_queries(4):
        read()


def test_every_act_of_a_market_day_is_read(stall):
    first, second = stall.pairs(3), stall.pairs(2, pattern=pattern_of(size_name="9"))
    _, [sale] = closed_day(stall, first)
    assert agree()
    later = stall.opened([*first[1:], *second])
    back = stall.bring_back(sale, later, "09:00")
    assert agree()
    till.undo_act(act_id=back.act_id, who=stall.who(later, "09:01"))
    assert agree()
    sold = stall.sell(later, second[0], "10:00")
    stall.ask(later, second[0].pattern)
    assert agree()
    till.undo_act(act_id=sold.act_id, who=stall.who(later, "10:01"))
    stall.close(later, noted=True)
    assert agree()
    closing = Act.objects.filter(kind=ActKind.CLOSE_DAY).latest("pk")
    till.undo_act(act_id=closing.pk, who=stall.who(later, "14:05"))
    assert agree()


def test_a_pair_found_by_the_count_back_is_read(stall):
    [one, _] = pairs = stall.pairs(2)
    day = stall.opened(pairs)
    who = stall.who(day, "14:00")
    left = {(one.pattern_id, one.quality): 3}
    days.close_day(day=day, counted_minor=0, requests_noted=False, who=who, left=left)
    before = read()

    [more] = stall.pairs(1)
    overcounts.found_unpacked(day=day, line=CountLine.objects.get(), pair=more, who=who)

    assert agree()
    assert read() != before


def test_what_a_day_was_is_part_of_the_question(stall):
    day, _ = closed_day(stall, stall.pairs(2), asked=1)
    before = read()

    MarketDay.objects.filter(pk=day.pk).update(closes=dt.time(16), factor=0.5)
    assert read() != before
    assert agree()
    MarketDay.objects.filter(pk=day.pk).update(requests_noted=False)
    assert agree()
    with timezone.override("Pacific/Auckland"):
        assert agree()


def test_a_kind_that_is_called_otherwise_is_called_so_at_once(stall):
    pairs = stall.pairs(2)
    closed_day(stall, pairs)
    assert read().sizes[0].name.endswith(pairs[0].pattern.size_name)

    pairs[0].pattern.size_name = "44"
    pairs[0].pattern.save()

    assert read().sizes[0].name.endswith("44")
    assert agree()


def test_work_at_the_bench_leaves_a_reading_where_it_is(stall):
    closed_day(stall, stall.pairs(2))
    before = custom.standing_of_days()
    assert before.mark

    stall.pairs(2)  # mated and tagged, which no market day knows of

    assert custom.standing_of_days() == before


def test_nothing_is_kept_of_a_transaction_that_may_come_to_nothing(stall):
    pairs = stall.pairs(2)
    closed_day(stall, pairs)
    before = read()

    with transaction.atomic():
        back = stall.opened([])
        stall.bring_back(SaleLine.objects.get().sale, back, "09:00")
        assert custom.standing_of_days().mark is None
        assert read() != before
        transaction.set_rollback(True)

    assert read() == before
    assert agree()


def test_a_book_that_was_restored_is_read_anew_although_its_keys_are_the_same(stall):
    closed_day(stall, stall.pairs(1))
    before = custom.standing_of_days()

    # Only the moment of its last act differs, as after another day was lived with the same keys.
    last = QuerySet(Act).filter(pk=Act.objects.latest("pk").pk)
    last.update(at=last.get().at + dt.timedelta(minutes=1))

    assert custom.standing_of_days() != before
