"""The tin against a plain sum: float + cash sales - cash paid back, whatever is undone."""

import itertools

import pytest
from django.contrib.auth.models import User
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from production.errors import CannotUndoError
from production.models import Pair
from production.services import books as bench_books
from production.services.acts import Who
from sales.models import SaleLine
from sales.services import books, days, till
from tests.factories.sales import AT, open_stall

MOVES = st.lists(
    st.tuples(
        st.sampled_from(["tap", "tap", "sell", "read", "back", "undo", "undo last"]),
        st.sampled_from(["cash", "card", "other"]),
        st.integers(0, 5000),
        st.integers(0, 50),
    ),
    max_size=16,
)


class TinTest(TestCase):
    """One stall with four pairs; any pair may be sold, brought back and sold again."""

    @given(MOVES, st.integers(0, 20_000))
    @settings(max_examples=25)
    def test_cash_expected_is_float_plus_sales_less_refunds(self, moves, float_minor):
        self.who = Who(by=User.objects.create_user("maker"), at=AT)
        self.day = open_stall(self.who.by, pairs=4, float_minor=float_minor)
        self.cash = {}  # act -> what it put into the tin, as a person would note it
        for kind, paid_by, price, pick in moves:
            getattr(self, kind.split()[0])(kind, paid_by, price, pick)

            assert days.cash_expected(self.day) == float_minor + sum(self.cash.values())
        assert [*books.disagreements(), *bench_books.disagreements()] == []

    def sell(self, _kind, paid_by, price, pick):
        free = list(Pair.objects.in_stall_box().order_by("number"))
        lines = [till.Line(price_minor=price, pair=pair) for pair in free[:2]]
        self.record(lines or [till.Line(price_minor=price, number=f"P{pick}")], paid_by)

    def tap(self, _kind, paid_by, price, _pick):
        pattern = Pair.objects.order_by("number").first().pattern
        self.record([till.Line(price_minor=price, pattern=pattern)], paid_by)

    def read(self, _kind, paid_by, price, pick):
        pair = list(Pair.objects.order_by("number"))[pick % 4]
        self.record([till.Line(price_minor=price, pair=pair)], paid_by)

    def record(self, lines, paid_by):
        sale = till.sell(
            day=self.day, lines=lines, paid_by=paid_by, who=self.who, despite_doubt=True
        )
        total = sum(line.price_minor for line in lines)
        self.cash[sale.act_id] = total if paid_by == "cash" else 0

    def back(self, _kind, paid_by, price, pick):
        out = list(SaleLine.objects.filter(holds=True, pair__isnull=False).order_by("pk"))
        if not out:
            return
        line = out[pick % len(out)]
        refund = min(price, line.price_minor)
        back = till.take_back(
            line=line, refund_minor=refund, paid_by=paid_by, day=self.day, who=self.who
        )
        self.cash[back.act_id] = -refund if paid_by == "cash" else 0

    def undo(self, kind, _paid_by, _price, pick):
        if not self.cash:
            return
        acts = sorted(self.cash)
        act = acts[-1] if kind == "undo last" else acts[pick % len(acts)]
        before = days.cash_expected(self.day)
        try:
            till.undo_act(act_id=act, who=self.who)
        except CannotUndoError:
            assert days.cash_expected(self.day) == before
        else:
            del self.cash[act]


@pytest.mark.django_db
def test_cash_expected_counts_only_cash(maker):
    day = open_stall(maker, pairs=3, float_minor=100)
    who = Who(by=maker, at=AT)
    for pair, paid_by in zip(
        Pair.objects.in_stall_box(), itertools.cycle(["cash", "card", "other"]), strict=False
    ):
        till.sell(day=day, lines=[till.Line(7, pair=pair)], paid_by=paid_by, who=who)

    assert days.cash_expected(day) == 107
