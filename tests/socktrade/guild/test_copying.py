"""A book copied by the database is the same book."""

import datetime as dt

import pytest
from django.core.management import call_command
from django.db import connection
from django.db.utils import IntegrityError

from production.models import Pair
from production.services import books as bench_books
from production.services.acts import Who
from socktrade.guild.copying import copy_book, template_of
from socktrade.guild.standing import in_book
from tests.factories import shelf
from tests.factories.socktrade import UserFactory, WorkshopFactory
from tests.socktrade.books import state_of_book
from tests.socktrade.guild.conftest import say_in_hall

PARTS = (
    "SELECT relname, relkind::text FROM pg_class "
    "WHERE relnamespace = current_schema()::regnamespace AND relkind <> 'S' UNION ALL "
    "SELECT conname, contype::text FROM pg_constraint "
    "WHERE connamespace = current_schema()::regnamespace ORDER BY 1, 2"
)
# A check is read back in other words once it was read; the test of its rule is below.
RULES = (
    "SELECT conrelid::regclass::text, conname, pg_get_constraintdef(oid) FROM pg_constraint "
    "WHERE connamespace = current_schema()::regnamespace AND contype <> 'c' ORDER BY 1, 2"
)


def asked(statement):
    with connection.cursor() as cursor:
        cursor.execute(statement)
        return cursor.fetchall()


@pytest.fixture(scope="module")
def swift_and_copy(guild, django_db_blocker):
    at = dt.datetime(2026, 6, 4, 9, 30, tzinfo=dt.UTC)
    with django_db_blocker.unblock():
        call_command("guild", "add", "swift")
        with in_book("swift"):
            WorkshopFactory()
            shelf.pairs_on_shelf(2, Who(by=UserFactory(), at=at))
        copy_book(template_of("swift"), "copy-of-swift")
        yield "swift", "copy-of-swift"
        say_in_hall("DROP SCHEMA book_swift CASCADE")
        say_in_hall("DROP SCHEMA book_copy_of_swift CASCADE")


def in_each(both, question):
    found = []
    for book in both:
        with in_book(book):
            found.append(question())
    return found


@pytest.mark.parametrize("statement", [PARTS, RULES])
def test_a_copy_has_the_same_parts_under_the_same_names(statement, swift_and_copy):
    first, copy = in_each(swift_and_copy, lambda: asked(statement))

    assert len(first) > 100
    assert copy == first


def test_a_copy_holds_the_same_rows(swift_and_copy):
    first, copy = in_each(swift_and_copy, state_of_book)

    assert first["production.sock"][0] == 4
    assert copy == first


def test_a_copy_goes_on_by_itself(swift_and_copy, at):
    first, copy = swift_and_copy
    with in_book(copy):
        made = shelf.pairs_on_shelf(1, Who(by=UserFactory(), at=at))
        assert Pair.objects.count() == 3
        assert made[0].number == Pair.objects.order_by("-pk")[1].number + 1
        assert list(bench_books.disagreements()) == []
    with in_book(first):
        assert Pair.objects.count() == 2


def test_the_rules_of_a_copy_hold(swift_and_copy):
    with in_book(swift_and_copy[1]), pytest.raises(IntegrityError, match="known_place"):
        Pair.objects.update(place="moon")


def test_a_copy_takes_part_in_the_next_change_of_tables(swift_and_copy):
    with in_book(swift_and_copy[1]):
        call_command("migrate", "sales", "zero", verbosity=0)
        call_command("migrate", verbosity=0)
        assert asked("SELECT count(*) FROM sales_sale") == [(0,)]
