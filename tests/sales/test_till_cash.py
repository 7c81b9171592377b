"""The tin against a plain sum: float + cash sales - cash paid back, whatever is undone."""

import itertools

import pytest
from django.contrib.auth.models import User
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from production.errors import CannotUndoError
from production.models import Pair
from production.services.acts import Who
from sales.models import SaleLine
from sales.services import books, days, till
from tests.factories.sales import AT, open_stall

MOVES = st.lists(
    st.tuples(
        st.sampled_from(["sell", "sell", "sell two", "back", "undo", "undo last"]),
        st.sampled_from(["cash", "card", "other"]),
        st.integers(0, 5000),
        st.integers(0, 50),
    ),
    max_size=14,
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
        assert list(books.disagreements()) == []

    def sell(self, kind, paid_by, price, pick):
        free = list(Pair.objects.in_stall_box().order_by("number"))
        wanted = free[: 2 if kind == "sell two" else 1]
        lines = [till.Line(price_minor=price, pair=pair) for pair in wanted]
        if not lines:
            lines = [till.Line(price_minor=price, number=f"P{pick}")]
        sale = till.sell(day=self.day, lines=lines, paid_by=paid_by, who=self.who)
        self.cash[sale.act_id] = price * len(lines) if paid_by == "cash" else 0

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
