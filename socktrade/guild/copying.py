"""A whole book copied into another schema by the database itself, names of all its parts kept."""

from dataclasses import dataclass

from django.db import connection, transaction
from psycopg import sql

from socktrade.guild.names import schema_of
from socktrade.guild.schemas import make_schema
from socktrade.guild.standing import in_book

TABLES = (
    "SELECT c.relname, array_agg(a.attname ORDER BY a.attnum) FILTER (WHERE a.attgenerated = ''), "
    "min(a.attname) FILTER (WHERE a.attidentity <> '') "
    "FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid "
    "WHERE c.relnamespace = %s::regnamespace AND c.relkind = 'r' "
    "AND a.attnum > 0 AND NOT a.attisdropped GROUP BY c.relname ORDER BY c.relname"
)
# What points at other tables comes last: there must be a key to point at.
CONSTRAINTS = (
    "SELECT conrelid::regclass::text, conname, pg_get_constraintdef(oid) FROM pg_constraint "
    "WHERE connamespace = %s::regnamespace AND contype IN ('p', 'u', 'c', 'x', 'f') "
    "ORDER BY contype = 'f', conname"
)
INDEXES = (
    "SELECT pg_get_indexdef(i.indexrelid) FROM pg_index i "
    "JOIN pg_class c ON c.oid = i.indexrelid WHERE c.relnamespace = %s::regnamespace "
    "AND NOT EXISTS (SELECT FROM pg_constraint k WHERE k.conindid = i.indexrelid "
    "AND k.contype IN ('p', 'u', 'x')) ORDER BY c.relname"
)


@dataclass(frozen=True, slots=True)
class Template:
    """What a book is built of.

    Attributes:
        schema: Where it lies.
        tables: Name, columns that hold something of their own, and the column that counts.
        additions: Statements that add keys, rules and indexes once the rows are there.
    """

    schema: str
    tables: tuple[tuple[str, list[str], str | None], ...]
    additions: tuple[sql.Composable, ...]


def template_of(book: str) -> Template:
    """Read what a book is built of."""
    schema = schema_of(book)
    with in_book(book), connection.cursor() as cursor:
        cursor.execute(TABLES, [schema])
        tables = tuple(cursor.fetchall())
        cursor.execute(CONSTRAINTS, [schema])
        additions = [
            sql.SQL("ALTER TABLE {} ADD CONSTRAINT {} {}").format(
                sql.SQL(table), sql.Identifier(name), sql.SQL(words)
            )
            for table, name, words in cursor.fetchall()
        ]
        cursor.execute(INDEXES, [schema])
        # An index is told with the schema of its table, whatever is in sight.
        additions += [
            sql.SQL(words.replace(f" ON {schema}.", " ON ", 1)) for (words,) in cursor.fetchall()
        ]
    return Template(schema, tables, tuple(additions))


def copy_book(template: Template, name: str) -> None:
    """Make a new book that holds what the template's book holds."""
    make_schema(name)
    with in_book(name), transaction.atomic(), connection.cursor() as cursor:
        for table, columns, counter in template.tables:
            there = sql.Identifier(template.schema, table)
            here, names = sql.Identifier(table), sql.SQL(", ").join(map(sql.Identifier, columns))
            cursor.execute(
                sql.SQL(
                    "CREATE TABLE {} (LIKE {} INCLUDING DEFAULTS INCLUDING IDENTITY "
                    "INCLUDING GENERATED)"
                ).format(here, there)
            )
            cursor.execute(
                sql.SQL("INSERT INTO {} ({}) SELECT {} FROM {}").format(here, names, names, there)
            )
            if counter:
                _count_on(cursor, template.schema, table, counter)
        for addition in template.additions:
            cursor.execute(addition)


def _count_on(cursor: connection.Database.Cursor, schema: str, table: str, counter: str) -> None:
    """Let the counter of a copied table go on where the first one stands."""
    cursor.execute("SELECT pg_get_serial_sequence(%s, %s)", [f"{schema}.{table}", counter])
    sequence = cursor.fetchone()[0]
    cursor.execute(
        sql.SQL(
            "SELECT setval(pg_get_serial_sequence(%s, %s), last_value, is_called) FROM {}"
        ).format(sql.SQL(sequence)),
        [table, counter],
    )
