"""Two people at once, on two connections of a real database: a file, or PostgreSQL."""

import sqlite3
import threading

import pytest
from django.db import connection, connections

from production.core.places import SockPlace
from production.errors import MoveNotAllowedError
from production.models import Act, Pair, Sock, String
from production.services import baskets, books, pairs, strings, washing
from production.services.acts import Who
from tests.factories.production import AT, logged_string
from tests.factories.socktrade import UserFactory, WorkshopFactory

pytestmark = pytest.mark.django_db(transaction=True)

ROUNDS = 5


@pytest.fixture
def at_once(tmp_path, monkeypatch):
    """Run two acts in threads with connections of their own, started together."""
    if connection.vendor == "sqlite":
        # The tests' own database lives in memory; two real writers need a file.
        book = tmp_path / "book.sqlite3"
        monkeypatch.setitem(connections.settings["default"], "NAME", str(book))

    def run(*acts):
        if connection.vendor == "sqlite":
            with sqlite3.connect(book) as copy:
                connection.connection.backup(copy)
                # Changing to the write-ahead log does not wait its turn, so it is done once
                # before the two come, as the first opening of a real book does.
                copy.execute("PRAGMA journal_mode=WAL")
            copy.close()
        said, start = [None] * len(acts), threading.Barrier(len(acts))

        def one(nth, act):
            try:
                start.wait(timeout=20)
                said[nth] = act()
            except Exception as problem:
                said[nth] = problem
            finally:
                connections.close_all()

        threads = [threading.Thread(target=one, args=pair) for pair in enumerate(acts)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join(timeout=60)
        return said

    return run


def _people():
    WorkshopFactory()
    return [Who(by=UserFactory(), at=AT), Who(by=UserFactory(), at=AT)]


def _seen_by_a_third(question):
    """Ask on a fresh connection."""
    said = []

    def ask():
        said.append(question())
        connections.close_all()

    thread = threading.Thread(target=ask)
    thread.start()
    thread.join(timeout=60)
    return said[0]


def test_the_same_socks_ticked_by_two_are_moved_once_and_the_other_is_told(at_once):
    one, two = _people()
    ids = list(logged_string(count=8, by=one.by).socks.values_list("pk", flat=True))

    said = at_once(
        lambda: baskets.do_step(step="cut", sock_ids=ids, who=one),
        lambda: baskets.do_step(step="cut", sock_ids=ids, who=two),
    )

    refusals = [each for each in said if isinstance(each, MoveNotAllowedError)]
    assert len(refusals) == 1
    assert "Nothing was moved; look at the basket again." in str(refusals[0])
    found = _seen_by_a_third(
        lambda: (
            Act.objects.filter(kind="cut").count(),
            Sock.objects.filter(place=SockPlace.TO_SEAM).count(),
            list(books.disagreements()),
        ),
    )
    assert found == (1, 8, [])


def test_different_socks_of_one_basket_ticked_by_two_all_move(at_once):
    one, two = _people()
    ids = list(logged_string(count=8, by=one.by).socks.values_list("pk", flat=True))

    said = at_once(
        lambda: baskets.do_step(step="cut", sock_ids=ids[:5], who=one),
        lambda: baskets.do_step(step="cut", sock_ids=ids[5:], who=two),
    )

    assert all(isinstance(each, Act) for each in said)
    moved = _seen_by_a_third(lambda: Sock.objects.filter(place=SockPlace.TO_SEAM).count())
    assert moved == 8


def test_strings_logged_by_two_get_two_numbers(at_once):
    one, two = _people()
    run = logged_string(by=one.by).runs.select_related("version").get()
    lot = run.yarns.select_related("lot").get().lot

    def log(who):
        for _ in range(ROUNDS):
            runs = [strings.Run(version=run.version, count=2, lot=lot)]
            strings.log_string(runs=runs, who=who)
        return True

    said = at_once(lambda: log(one), lambda: log(two))

    assert said == [True, True]
    numbers = _seen_by_a_third(
        lambda: list(String.objects.order_by("number").values_list("number", flat=True))
    )
    assert numbers == list(range(1, 2 + 2 * ROUNDS))


def test_pairs_mated_by_two_get_their_own_numbers(at_once):
    one, two = _people()
    ids = list(logged_string(count=20, by=one.by).socks.values_list("pk", flat=True))
    for step in ("cut", "seam", "wash", "dry", "block"):
        baskets.do_step(step=step, sock_ids=ids, who=one)

    def mate(who, mine):
        for left, right in zip(mine[::2], mine[1::2], strict=True):
            pairs.mate_socks(couples=[(left, right)], who=who)
        return True

    said = at_once(lambda: mate(one, ids[:10]), lambda: mate(two, ids[10:]))

    assert said == [True, True]
    numbers = _seen_by_a_third(
        lambda: list(Pair.objects.order_by("number").values_list("number", flat=True))
    )
    assert numbers == list(range(1001, 1011))


def test_a_load_washed_by_two_is_one_load(at_once):
    one, two = _people()
    ids = list(logged_string(count=6, by=one.by).socks.values_list("pk", flat=True))
    for step in ("cut", "seam"):
        baskets.do_step(step=step, sock_ids=ids, who=one)

    said = at_once(
        lambda: washing.wash_socks(sock_ids=ids, together=False, who=one),
        lambda: washing.wash_socks(sock_ids=ids, together=False, who=two),
    )

    assert sum(isinstance(each, MoveNotAllowedError) for each in said) == 1
    loads = _seen_by_a_third(lambda: [load.socks for load in washing.newest_loads()])
    assert loads == [6]
