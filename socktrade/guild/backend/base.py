"""Django's PostgreSQL connection, which steps into the book at hand before it asks anything.

A connection is used by one thread for many requests, so it may stand in another maker's book.
Every cursor compares where the connection stands with the book at hand, and only a difference
costs a statement. Without a book at hand there is no cursor, so nothing can fall through to
whatever book was open last.
"""

from typing import Any

from django.db.backends.postgresql import base

from socktrade.guild.names import book_of_schema
from socktrade.guild.standing import HALL, NoBookError, schema_here

# Quoted by the database itself, and only if there is such a schema.
STEP = (
    "SELECT set_config('search_path', quote_ident(nspname), false) "
    "FROM pg_catalog.pg_namespace WHERE nspname = %s"
)
STEP_OUT = "SELECT set_config('search_path', '', false)"


class DatabaseWrapper(base.DatabaseWrapper):
    """One connection of one thread."""

    stands_in: str | None = None

    def init_connection_state(self) -> None:
        """Begin nowhere."""
        self.stands_in = None
        super().init_connection_state()

    def create_cursor(self, name: str | None = None) -> Any:
        """Return a cursor that sees the book at hand."""
        self._step()
        return super().create_cursor(name)

    def _set_autocommit(self, autocommit: bool) -> None:  # noqa: FBT001 - Django's own
        # Before a transaction begins: a rollback would take the step back unnoticed.
        if not autocommit:
            self._step()
        super()._set_autocommit(autocommit)

    def _step(self) -> None:
        schema = schema_here()
        if schema == self.stands_in:
            return
        if self.in_atomic_block or not self.connection.autocommit:
            msg = "A transaction belongs to one book. End it before the next book is opened."
            raise NoBookError(msg)
        self.stands_in = None
        with self.wrap_database_errors, self.connection.cursor() as cursor:
            cursor.execute(*((STEP_OUT,) if schema == HALL else (STEP, [schema])))
            if cursor.fetchone() is None:
                msg = f"There is no book {book_of_schema(schema)} in this guild."
                raise NoBookError(msg)
        self.stands_in = schema
