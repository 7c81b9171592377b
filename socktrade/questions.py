"""Questions to the database that are put into SQL once and then asked again and again.

Putting a question into SQL takes several times as long as the database takes to answer it.
Pages that are opened all day ask the very same questions each time, so they keep them here.
"""

from collections.abc import Iterator
from copy import copy
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from django.db import connections
from django.db.models.sql.compiler import SQLCompiler

if TYPE_CHECKING:
    from django.db.models import QuerySet

Row = TypeVar("Row")


class Question(Generic[Row]):
    """A question whose every part is known when it is made; its answer is always read anew.

    Whatever changes from one asking to the next, a date or a key, needs a question of its own.
    """

    def __init__(self, rows: "QuerySet[Any, Row]") -> None:
        """Keep the question; it is put into SQL when it is asked for the first time.

        Args:
            rows: What is asked. Filters that are added later go to a question of their own.
        """
        self._rows = rows.all()
        self._write = self._rows.query.get_compiler
        self._written: tuple[SQLCompiler, Any] | None = None
        self._rows.query.get_compiler = self._compiler  # type: ignore[method-assign]

    def __iter__(self) -> Iterator[Row]:
        """Ask, and go through the answer."""
        return iter(self._rows.all())

    def first(self) -> Row | None:
        """Ask, and return the first row; the question should stop there by itself."""
        return next(iter(self), None)

    def _compiler(
        self,
        using: str | None = None,
        connection: Any = None,
        elide_empty: bool = True,  # noqa: FBT001, FBT002 - as Django calls it
    ) -> SQLCompiler:
        """Return what asks in the words that were written before, on the asker's connection."""
        if self._written is None:
            compiler = self._write(using, connection, elide_empty)
            self._written = compiler, compiler.as_sql()
        compiler, words = self._written
        asking = copy(compiler)
        asking.connection = connection or connections[using or compiler.using]
        asking.as_sql = lambda *_args, **_more: words  # type: ignore[method-assign]
        return asking
