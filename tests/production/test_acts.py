import datetime as dt
import uuid
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from production.core.places import STEPS, PairPlace, SockPlace
from production.errors import CannotUndoError, MoveNotAllowedError, ProductionError
from production.models import (
    Act,
    ActKind,
    DyeLot,
    Pair,
    Quality,
    Sock,
    SockMove,
    YarnUse,
)
from production.services import acts, baskets, books, pairs, yarn
from tests.factories.patterns import PatternVersionFactory
from tests.factories.production import AT, logged_string, stocked_lot, who
from tests.factories.socktrade import UserFactory

pytestmark = pytest.mark.django_db

LATER = AT + dt.timedelta(hours=1)


def ids_of(string):
    return list(string.socks.order_by("position").values_list("pk", flat=True))


def brought_to(place, *, count=2, **of_string):
    """A string whose socks were taken step by step to `place`."""
    string = logged_string(count=count, **of_string)
    for step in STEPS:
        if step.start == place:
            break
        baskets.do_step(step=step.key, sock_ids=ids_of(string), who=who())
    return string


def mated(**of_string):
    """One pair, to tag."""
    left, right = ids_of(brought_to(SockPlace.TO_MATE, **of_string))
    return pairs.mate_socks(couples=[(left, right)], who=who()).pair_moves.get().pair


def undo(act, by=None):
    return acts.undo_act(act_id=act.pk, by=by or UserFactory(), at=LATER)


def state():
    """Everything that the tables repeat of the acts."""
    return {
        "socks": list(
            Sock.objects.order_by("pk").values_list(
                "pk", "place", "pair", "side", "quality", "fault", "foot_mm"
            )
        ),
        "pairs": list(Pair.objects.order_by("pk").values_list("pk", "place")),
        "grams": [lot.grams for lot in DyeLot.objects.order_by("pk")],
    }


# undo, kind by kind: the state before comes back, and the books agree


def cut():
    string = logged_string()
    return lambda: baskets.do_step(step="cut", sock_ids=ids_of(string), who=who())


def measured_block():
    string = brought_to(SockPlace.TO_BLOCK)
    one, two = ids_of(string)
    return lambda: baskets.block_socks(feet_mm={one: 232, two: None}, who=who())


def second():
    sock = logged_string().socks.first()
    return lambda: baskets.note_sock(sock=sock, quality=Quality.SECOND, fault="ladder", who=who())


def scrap():
    sock = logged_string().socks.first()
    return lambda: baskets.note_sock(sock=sock, quality=Quality.SCRAP, fault="felted", who=who())


def measure():
    sock = logged_string().socks.first()
    return lambda: baskets.measure_sock(sock=sock, foot_mm=231, who=who())


def split():
    pair = mated()
    return lambda: pairs.split_pair(pair=pair, who=who())


def tag():
    pair = mated()
    pairs.set_price(pattern=pair.pattern, first_minor=2800, second_minor=1800, who=who())
    return lambda: pairs.tag_pairs(texts={pair.pk: {"size": "9"}}, who=who())


def yarn_in():
    lot = stocked_lot()
    return lambda: yarn.receive_yarn(lot=lot, gross_g=Decimal(500), packages=1, who=who())


def yarn_out():
    lot = stocked_lot()
    return lambda: yarn.take_yarn(lot=lot, grams=Decimal(50), use=YarnUse.WASTE, who=who())


def yarn_weighed():
    lot = stocked_lot()
    return lambda: yarn.weigh_lot(lot=lot, gross_g=Decimal(900), packages=1, who=who())


@pytest.mark.parametrize(
    "ready",
    [cut, measured_block, second, scrap, measure, split, tag, yarn_in, yarn_out, yarn_weighed],
    ids=lambda ready: ready.__name__,
)
def test_undo_brings_back_what_was_before(ready):
    do = ready()
    before = state()

    act = do()
    changed = state() != before
    undo(act)

    assert changed
    assert state() == before
    assert list(books.disagreements()) == []


def test_undo_of_a_string_leaves_its_socks_unmade_and_returns_the_yarn():
    lot = stocked_lot(grams=1000)
    string = logged_string(lot=lot, count=3)

    undo(string.act)

    assert set(string.socks.values_list("place", flat=True)) == {SockPlace.UNMADE}
    assert yarn.grams_on_hand(lot) == Decimal(1000)
    assert list(books.disagreements()) == []


def test_undo_of_mating_parts_the_pair_and_uses_its_number_up():
    pair = mated()
    act = Act.objects.get(kind=ActKind.MATE)

    undo(act)

    pair.refresh_from_db()
    assert pair.place == PairPlace.SPLIT
    assert set(Sock.objects.values_list("place", flat=True)) == {SockPlace.TO_MATE}
    assert mated().number == pair.number + 1
    assert list(books.disagreements()) == []


def test_an_undo_names_who_when_and_what_it_takes_back():
    string = logged_string()
    act = baskets.do_step(step="cut", sock_ids=ids_of(string), who=who())
    helper = UserFactory()

    reverse = undo(act, by=helper)

    assert (reverse.kind, reverse.by, reverse.at) == (ActKind.UNDO, helper, LATER)
    assert reverse.undoes == act
    assert [(m.start, m.end) for m in reverse.sock_moves.all()] == [
        (SockPlace.TO_SEAM, SockPlace.TO_CUT)
    ] * 2
    assert list(Act.objects.standing().filter(kind=ActKind.CUT)) == []


def test_a_chain_of_acts_is_undone_from_its_end_to_its_start():
    string = brought_to(SockPlace.TO_MATE)
    steps = list(Act.objects.filter(kind__in=[step.key for step in STEPS]).order_by("-pk"))

    for act in steps:
        undo(act)

    assert set(string.socks.values_list("place", flat=True)) == {SockPlace.TO_CUT}
    assert list(books.disagreements()) == []


def test_an_act_between_that_was_undone_does_not_stand_in_the_way():
    string = logged_string()
    ids = ids_of(string)
    first = baskets.do_step(step="cut", sock_ids=ids, who=who())
    undo(baskets.do_step(step="seam", sock_ids=ids[:1], who=who()))
    undo(baskets.do_step(step="seam", sock_ids=ids, who=who()))

    undo(first)

    assert set(string.socks.values_list("place", flat=True)) == {SockPlace.TO_CUT}
    assert list(books.disagreements()) == []


# refusals of undo write nothing


def test_an_act_is_undone_once():
    act = baskets.do_step(step="cut", sock_ids=ids_of(logged_string()), who=who())
    undo(act)
    written = Act.objects.count()

    with pytest.raises(CannotUndoError, match="already undone"):
        undo(act)

    assert Act.objects.count() == written


def test_an_undo_is_not_undone():
    act = baskets.do_step(step="cut", sock_ids=ids_of(logged_string()), who=who())
    reverse = undo(act)

    with pytest.raises(CannotUndoError, match="do the act again instead"):
        undo(reverse)


def test_what_has_moved_on_is_named_and_nothing_is_written():
    string = logged_string()
    ids = ids_of(string)
    act = baskets.do_step(step="cut", sock_ids=ids, who=who())
    baskets.do_step(step="seam", sock_ids=[ids[1]], who=who())
    before, written = state(), Act.objects.count()

    with pytest.raises(CannotUndoError, match=rf"{string.number}-02 has moved on .*toes seamed"):
        undo(act)

    assert state() == before
    assert Act.objects.count() == written


def test_a_pair_that_has_moved_on_is_named():
    pair = mated()
    act = Act.objects.get(kind=ActKind.MATE)
    pairs.split_pair(pair=pair, who=who())

    with pytest.raises(CannotUndoError, match=rf"{pair.label} has moved on .*pair split"):
        undo(act)


def test_a_note_that_was_overwritten_is_not_undone():
    sock = logged_string().socks.first()
    act = baskets.measure_sock(sock=sock, foot_mm=231, who=who())
    baskets.measure_sock(sock=sock, foot_mm=232, who=who())

    with pytest.raises(CannotUndoError, match="was noted again since"):
        undo(act)


def test_an_act_that_is_not_in_the_book_is_not_undone():
    with pytest.raises(Act.DoesNotExist, match="does not exist"):
        acts.undo_act(act_id=999, by=UserFactory(), at=LATER)


# recording


def test_the_same_key_is_the_same_act():
    string = logged_string()
    key = uuid.uuid4()
    person = UserFactory()
    sent = acts.Who(by=person, at=AT, key=key)

    first = baskets.do_step(step="cut", sock_ids=ids_of(string), who=sent)
    again = baskets.do_step(step="cut", sock_ids=ids_of(string), who=sent)

    assert again == first
    assert Act.objects.filter(kind=ActKind.CUT).count() == 1
    assert SockMove.objects.filter(act=first).count() == 2


def test_the_database_itself_takes_a_key_once():
    key = uuid.uuid4()
    sent = acts.Who(by=UserFactory(), at=AT, key=key)
    acts.record(ActKind.CUT, sent)

    with pytest.raises(IntegrityError), transaction.atomic():
        acts.record(ActKind.SEAM, sent)


def test_no_key_is_no_recorded_act():
    logged_string()

    assert acts.recorded(None) is None


def test_a_moment_before_this_century_is_refused():
    long_ago = acts.Who(by=UserFactory(), at=dt.datetime(1066, 10, 14, tzinfo=dt.UTC))

    with pytest.raises(MoveNotAllowedError, match="14 October 1066 is too long ago") as refused:
        acts.record(ActKind.CUT, long_ago)

    assert refused.value.field == "at"
    assert not Act.objects.exists()


@pytest.mark.parametrize(
    ("end", "said"),
    [
        (SockPlace.IN_PAIR, "it cannot go in a pair from there"),
        (SockPlace.TO_CUT, "it cannot go on the string, to cut from there"),
    ],
)
def test_a_sock_does_not_leap(end, said):
    socks = acts.lock_socks(ids_of(logged_string()))
    act = acts.record(ActKind.CUT, who())

    with pytest.raises(MoveNotAllowedError, match=said):
        acts.move_socks(act, socks, end)

    assert not act.sock_moves.exists()


def test_a_pair_does_not_leap():
    pair = mated()
    act = acts.record(ActKind.PACK, who())

    with pytest.raises(MoveNotAllowedError, match=rf"{pair.label} is to tag"):
        acts.move_pairs(act, [pair], PairPlace.STALL)


def test_a_sock_on_its_way_is_not_joined_to_a_pair():
    socks = acts.lock_socks(ids_of(logged_string()))
    pair = mated()

    with pytest.raises(MoveNotAllowedError, match="only socks to mate become a pair"):
        acts.join_pair(acts.record(ActKind.MATE, who()), pair, socks)


def test_many_socks_are_moved_in_few_statements(django_assert_max_num_queries):
    lot, version = stocked_lot(grams=100_000), PatternVersionFactory()
    strings = [logged_string(count=200, lot=lot, version=version) for _ in range(3)]
    ids = [pk for string in strings for pk in ids_of(string)]
    someone = who()

    # 600 socks come as two statements of at most 500 keys, each read, written and moved.
    with django_assert_max_num_queries(14):
        baskets.do_step(step="cut", sock_ids=ids, who=someone)

    assert Sock.objects.filter(place=SockPlace.TO_SEAM).count() == 600


def test_a_refused_couple_leaves_no_trace_of_the_others():
    left, right = ids_of(brought_to(SockPlace.TO_MATE))
    stray = ids_of(logged_string(count=2))
    before, written = state(), Act.objects.count()

    with pytest.raises(MoveNotAllowedError, match="does not wait for a mate"):
        pairs.mate_socks(couples=[(left, right), (stray[0], stray[1])], who=who())

    assert state() == before
    assert Act.objects.count() == written


def test_no_couple_at_all_is_refused():
    with pytest.raises(ProductionError, match="Choose the socks that go together"):
        pairs.mate_socks(couples=[], who=who())
