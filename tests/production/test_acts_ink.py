from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from production.core.places import STEPS, SockPlace
from production.models import (
    Act,
    ActKind,
    Pair,
    PairMove,
    Sock,
    SockMark,
    SockMove,
    YarnMove,
    YarnUse,
)
from production.models.acts import WrittenInInkError
from production.services import acts, baskets, pairs
from tests.factories.production import logged_string, stocked_lot, who

pytestmark = pytest.mark.django_db


def ids_of(string):
    return list(string.socks.order_by("position").values_list("pk", flat=True))


def mated(**of_string):
    """One pair, to tag."""
    left, right = ids_of(logged_string(count=2, **of_string))
    for step in STEPS:
        baskets.do_step(step=step.key, sock_ids=[left, right], who=who())
    return pairs.mate_socks(couples=[(left, right)], who=who()).pair_moves.get().pair


# what is recorded stands: by row, by queryset, by related manager


@pytest.fixture
def written():
    return mated(faults={1: "small hole"})


@pytest.mark.parametrize("model", [Act, SockMove, PairMove, SockMark, YarnMove])
def test_a_written_row_is_neither_changed_nor_removed(written, model):
    row = model.objects.first()

    with pytest.raises(WrittenInInkError, match="never changed"):
        row.save()
    with pytest.raises(WrittenInInkError, match="never removed"):
        row.delete()

    assert model.objects.filter(pk=row.pk).exists()


@pytest.mark.parametrize("model", [Act, SockMove, PairMove, SockMark, YarnMove])
def test_written_rows_are_neither_changed_nor_removed_together(written, model):
    rows = model.objects.all()
    count = rows.count()

    with pytest.raises(WrittenInInkError, match="never changed"):
        rows.update(pk=0)
    with pytest.raises(WrittenInInkError, match="never changed"):
        rows.bulk_update(list(rows), ["id"])
    with pytest.raises(WrittenInInkError, match="never removed"):
        rows.delete()

    assert 0 < model.objects.count() == count


def test_the_moves_of_an_act_are_not_removed_through_the_act(written):
    act = Act.objects.get(kind=ActKind.CUT)

    with pytest.raises(WrittenInInkError, match="never removed"):
        act.sock_moves.all().delete()


# what the database itself refuses


def refused(name):
    """Expect the named constraint; SQLite says the columns of a unique one instead."""
    return pytest.raises(IntegrityError, match=name)


def test_a_pair_has_two_sides_and_no_third():
    pair = mated()
    third = logged_string().socks.first()

    with refused("a_pair_is_two_socks"), transaction.atomic():
        Sock.objects.filter(pk=third.pk).update(place=SockPlace.IN_PAIR, pair=pair, side=3)
    with refused("two_sides_to_a_pair|pair_id"), transaction.atomic():
        Sock.objects.filter(pk=third.pk).update(place=SockPlace.IN_PAIR, pair=pair, side=1)


def test_a_sock_is_in_a_pair_or_in_a_basket_and_never_in_both():
    pair = mated()
    inside, outside = pair.socks.first(), logged_string().socks.first()

    with refused("a_sock_is_in_a_pair_or_in_a_basket"), transaction.atomic():
        Sock.objects.filter(pk=inside.pk).update(place=SockPlace.TO_WASH)
    with refused("a_sock_is_in_a_pair_or_in_a_basket|a_pair_is_two"), transaction.atomic():
        Sock.objects.filter(pk=outside.pk).update(place=SockPlace.IN_PAIR)


def test_a_sock_and_a_pair_are_in_places_that_exist():
    pair = mated()

    with refused("a_sock_is_in_a_known_place"), transaction.atomic():
        Sock.objects.filter(pk=logged_string().socks.first().pk).update(place="moon")
    with refused("a_pair_is_in_a_known_place"), transaction.atomic():
        Pair.objects.filter(pk=pair.pk).update(place="moon")


def test_an_act_moves_a_sock_once_and_somewhere_else():
    act = baskets.do_step(step="cut", sock_ids=ids_of(logged_string()), who=who())
    sock = act.sock_moves.first().sock

    with refused("an_act_moves_a_sock_once|act_id"), transaction.atomic():
        SockMove.objects.create(act=act, sock=sock, start="to_seam", end="to_wash")
    other = acts.record(ActKind.SEAM, who())
    with refused("a_sock_moves_somewhere_else"), transaction.atomic():
        SockMove.objects.create(act=other, sock=sock, start="to_seam", end="to_seam")
    with refused("a_sock_goes_into_a_named_pair"), transaction.atomic():
        SockMove.objects.create(act=other, sock=sock, start="to_mate", end="in_pair")


def test_an_act_is_undone_by_one_undo_only():
    act = baskets.do_step(step="cut", sock_ids=ids_of(logged_string()), who=who())
    acts.record(ActKind.UNDO, who(), undoes=act)

    with refused("undoes_id"), transaction.atomic():
        acts.record(ActKind.UNDO, who(), undoes=act)


def test_only_an_undo_undoes_and_minutes_are_never_negative():
    act = baskets.do_step(step="cut", sock_ids=ids_of(logged_string()), who=who())

    with refused("only_an_undo_undoes"), transaction.atomic():
        acts.record(ActKind.CUT, who(), undoes=act)
    with refused("only_an_undo_undoes"), transaction.atomic():
        acts.record(ActKind.UNDO, who())
    with refused("minutes_are_never_negative"), transaction.atomic():
        acts.record(ActKind.CUT, who(), minutes=-1)


def test_no_yarn_moves_by_nothing_and_no_scale_shows_less_than_nothing():
    lot = stocked_lot()
    act = acts.record(ActKind.YARN_OUT, who())

    with refused("a_yarn_move_moves_some_yarn"), transaction.atomic():
        acts.move_yarn(act, lot, Decimal(0), YarnUse.WASTE)
    with refused("a_scale_never_shows_less_than_nothing"), transaction.atomic():
        acts.move_yarn(act, lot, Decimal(5), YarnUse.RECEIVED, gross_g=Decimal(-1))
