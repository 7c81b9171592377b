"""Opening, listing and bringing up to date the books of a guild."""

from collections.abc import Iterator

from django.contrib.contenttypes.models import ContentType
from django.core.management import call_command
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from psycopg import sql

from socktrade.guild.names import PREFIX, book_of_schema, schema_of
from socktrade.guild.standing import NoBookError, in_book, in_hall


def books() -> list[str]:
    """Return the names of all books, in the order of the alphabet."""
    with in_hall(), connection.cursor() as cursor:
        cursor.execute(
            "SELECT nspname FROM pg_catalog.pg_namespace WHERE starts_with(nspname, %s)", [PREFIX]
        )
        found = [book_of_schema(row[0]) for row in cursor.fetchall()]
    return sorted(name for name in found if name)


def add_book(name: str) -> None:
    """Make an empty book.

    Raises:
        NoBookError: If there is one of this name.
        ValueError: If no book may have this name.
    """
    if schema_of(name) in map(schema_of, books()):
        msg = f"There is a book {name} already. Its tables are brought up to date by `migrate`."
        raise NoBookError(msg)
    make_schema(name)
    bring_up_to_date(name)


def make_schema(name: str) -> None:
    """Make the schema of a book, with nothing in it."""
    with in_hall(), connection.cursor() as cursor:
        cursor.execute(sql.SQL("CREATE SCHEMA {}").format(sql.Identifier(schema_of(name))))


def bring_up_to_date(name: str) -> bool:
    """Give the tables of a book the shape that this program needs; say whether it was needed."""
    with in_book(name):
        executor = MigrationExecutor(connection)
        if not executor.migration_plan(executor.loader.graph.leaf_nodes()):
            return False
        # Kinds of rows are numbered in each book by itself.
        ContentType.objects.clear_cache()
        call_command("migrate", verbosity=0, interactive=False)
        ContentType.objects.clear_cache()
    return True


def sizes() -> Iterator[tuple[str, int]]:
    """Yield each book with what it takes on the disk [bytes]."""
    for name in books():
        with in_hall(), connection.cursor() as cursor:
            cursor.execute(
                "SELECT coalesce(sum(pg_total_relation_size(c.oid)), 0)::bigint "
                "FROM pg_catalog.pg_class c JOIN pg_catalog.pg_namespace n "
                "ON n.oid = c.relnamespace WHERE n.nspname = %s AND c.relkind = 'r'",
                [schema_of(name)],
            )
            size = cursor.fetchone()[0]
        yield name, size
