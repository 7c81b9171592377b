"""The ledger of a lot under random acts and undos beside a plain list of grams."""

from decimal import Decimal

import pytest
from django.db import transaction
from hypothesis import given, settings
from hypothesis import strategies as st

from production.errors import CannotUndoError
from production.models import Act, ActKind, YarnUse
from production.services import books, yarn, yarn_queries, yarn_scale
from production.services.acts import undo_act
from tests.factories.patterns import PatternVersionFactory
from tests.factories.production import AT, DyeLotFactory, logged_string, who
from tests.factories.socktrade import UserFactory

TENTHS = st.decimals(1, 900, places=1)
ACTS = st.one_of(
    st.tuples(st.just("receive"), TENTHS),
    st.tuples(st.just("take"), TENTHS),
    st.tuples(st.just("knit"), st.integers(1, 6)),
    st.tuples(st.just("weigh"), TENTHS),
    st.tuples(st.just("damp"), TENTHS),
    st.tuples(st.just("wind"), st.decimals(1, 5, places=1)),
    st.tuples(st.just("undo"), st.integers(0, 30)),
)


class Plain:
    """Grams as a list of signed bookings; an undone one is struck out."""

    def __init__(self):
        self.bookings = {}

    @property
    def grams(self):
        return sum(self.bookings.values(), Decimal(0))

    def book(self, act, grams):
        self.bookings[act.pk] = grams


def _do(kind, figure, lot, version, by, plain):
    if kind == "receive":
        act = yarn.receive_yarn(lot=lot, gross_g=figure + 38, packages=1, who=who(by))
        plain.book(act, figure)
    elif kind == "take":
        act = yarn.take_yarn(lot=lot, grams=figure, use=YarnUse.WASTE, who=who(by))
        plain.book(act, -figure)
    elif kind == "knit":
        string = logged_string(count=figure, lot=lot, version=version, by=by)
        plain.book(string.act, -Decimal("29.3") * figure)
    elif kind in {"weigh", "damp"}:
        stays = kind == "damp" and abs(figure - plain.grams) <= plain.grams * Decimal("0.05")
        difference = Decimal(0) if stays else figure - plain.grams
        act = yarn.weigh_lot(
            lot=lot, gross_g=figure + 38, packages=1, who=who(by), moisture_stays=kind == "damp"
        )
        plain.book(act, difference)
    elif kind == "wind":
        _wind(figure, lot, by, plain)
    else:
        _undo(figure, by, plain)


def _wind(grams, lot, by, plain):
    source = next((p for p in yarn_scale.packages_of(lot) if (p.net_g or 0) >= grams), None)
    if source is not None:
        number = source.package.number
        act = yarn_scale.wind_off(lot=lot, number=number, grams=grams, who=who(by))
        plain.book(act, Decimal(0))


def _undo(which, by, plain):
    acts = list(Act.objects.exclude(kind=ActKind.UNDO).order_by("pk"))
    if acts:
        act = acts[which % len(acts)]
        try:
            undo_act(act_id=act.pk, by=by, at=AT)
        except CannotUndoError:
            return  # undone before: the plain list struck it out already
        del plain.bookings[act.pk]


@pytest.mark.django_db
@settings(max_examples=25)
@given(acts=st.lists(ACTS, max_size=10))
def test_ledger_equals_a_plain_model_under_random_acts_and_undos(acts):
    with transaction.atomic():
        _live_through(acts)
        transaction.set_rollback(True)


def _live_through(acts):
    by, lot = UserFactory(), DyeLotFactory()
    version, plain = PatternVersionFactory(grams=29.3), Plain()

    for kind, figure in acts:
        _do(kind, figure, lot, version, by, plain)

        assert yarn.grams_on_hand(lot) == plain.grams
    lines = yarn_queries.ledger(lot=lot)
    assert not lines or lines[0].on_hand == plain.grams
    assert list(books.disagreements()) == []
    [shelf] = [row for one in yarn_queries.yarn_shelf(reserve_g=10, with_used_up=True)
               for row in one.lots if row.lot.pk == lot.pk]  # fmt: skip
    assert shelf.is_short == (plain.grams < 0)
