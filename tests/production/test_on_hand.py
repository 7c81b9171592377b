"""What stands beside a lot is what its moves add up to, whoever wrote them."""

import importlib
from decimal import Decimal

import pytest
from django.apps import apps

from production.models import DyeLot, YarnUse
from production.services import books, yarn
from production.services.acts import Who, undo_act
from tests.factories.production import AT, DyeLotFactory
from tests.factories.socktrade import UserFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def who():
    return Who(by=UserFactory(), at=AT)


@pytest.fixture
def lot(who):
    lot = DyeLotFactory(tare_g=Decimal("38.0"))
    yarn.receive_yarn(lot=lot, gross_g=Decimal("1038.0"), packages=1, who=who)
    return lot


def beside(lot):
    return DyeLot.objects.get(pk=lot.pk).grams


def test_every_act_adds_its_grams(lot, who):
    assert beside(lot) == Decimal("1000.0")

    yarn.take_yarn(lot=lot, grams=Decimal("0.1"), use=YarnUse.WASTE, who=who)
    yarn.weigh_lot(lot=lot, gross_g=Decimal("738.4"), packages=1, who=who)

    assert beside(lot) == Decimal("700.4")
    assert list(books.disagreements()) == []


def test_an_undo_gives_back_what_the_act_took(lot, who):
    act = yarn.take_yarn(lot=lot, grams=Decimal("61.3"), use=YarnUse.SWATCH, who=who)

    undo_act(act_id=act.pk, by=who.by, at=AT)

    assert beside(lot) == Decimal("1000.0")


def test_tenths_taken_a_thousand_times_leave_exactly_nothing(lot, who):
    """0.1 has no exact binary fraction, and SQLite adds decimals up as floats."""
    yarn.take_yarn(lot=lot, grams=Decimal("970.0"), use=YarnUse.WRITTEN_OFF, who=who)
    for _ in range(300):
        yarn.take_yarn(lot=lot, grams=Decimal("0.1"), use=YarnUse.WASTE, who=who)

    assert DyeLot.objects.filter(pk=lot.pk, grams=0).exists()


def test_a_lot_that_was_read_before_an_act_does_not_write_old_grams_back(lot, who):
    read_before = DyeLot.objects.get(pk=lot.pk)
    yarn.take_yarn(lot=lot, grams=Decimal("400.0"), use=YarnUse.RETURNED, who=who)

    facts = yarn.NewLot(code="B", tare_g=Decimal("40.0"))
    yarn.change_lot(lot=read_before, facts=facts)

    assert beside(lot) == Decimal("600.0")
    assert DyeLot.objects.get(pk=lot.pk).code == "B"


def test_the_check_names_a_lot_that_stands_at_something_else(lot):
    DyeLot.objects.filter(pk=lot.pk).update(grams=Decimal("999.9"))

    assert list(books.disagreements()) == [
        f"{lot} stands at 999.9 g, its moves add up to 1000.0 g."
    ]


def test_the_check_names_a_lot_without_moves_that_has_grams():
    lot = DyeLotFactory(grams=Decimal("50.0"))

    assert list(books.disagreements()) == [f"{lot} stands at 50.0 g, its moves add up to 0.0 g."]


def migrated():
    step = importlib.import_module("production.migrations.0008_grams_on_hand")
    step.add_up(apps, None)


@pytest.mark.parametrize("add_up", [migrated, yarn.add_up_lots], ids=["migration", "bulk"])
def test_older_rows_are_added_up(lot, who, add_up):
    yarn.take_yarn(lot=lot, grams=Decimal("12.3"), use=YarnUse.WASTE, who=who)
    DyeLotFactory()
    DyeLot.objects.update(grams=Decimal("-1.0"))

    add_up()

    assert beside(lot) == Decimal("987.7")
    assert list(books.disagreements()) == []
