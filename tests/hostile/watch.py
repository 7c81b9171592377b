"""Seeing whether a request that was refused left anything in the book."""

import hashlib
import re
from collections.abc import Iterator
from contextlib import contextmanager

from django.apps import apps
from django.db import connection

WRITES = re.compile(r'^\s*(?:INSERT INTO|UPDATE|DELETE FROM) "(\w+)"', re.IGNORECASE)
# Not of the book: who is signed in, and who tried.
APART = {"django_session", "auth_user", "socktrade_signedin"}


class Written:
    """The tables that were written to."""

    def __init__(self) -> None:
        self.tables: set[str] = set()

    def __call__(self, execute, sql, params, many, context):
        if (found := WRITES.match(sql)) and not is_apart(found[1]):
            self.tables.add(found[1])
        return execute(sql, params, many, context)


@contextmanager
def watching() -> Iterator[Written]:
    """Note which tables of the book are written to meanwhile."""
    written = Written()
    with connection.execute_wrapper(written):
        yield written


def is_apart(table: str) -> bool:
    """Say whether a table holds no part of the book."""
    return table in APART or table.startswith("axes_")


def states(tables=None) -> dict[str, tuple[int, str]]:
    """Return count and check sum of the rows of every table of the book."""
    found = {}
    for model in apps.get_models(include_auto_created=True):
        table = model._meta.db_table
        if not is_apart(table) and (tables is None or table in tables):
            names = [one.attname for one in model._meta.concrete_fields]
            rows = list(model.objects.order_by("pk").values_list(*names))
            found[table] = len(rows), hashlib.sha256(repr(rows).encode()).hexdigest()
    return found
