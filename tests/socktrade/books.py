"""Books in folders of their own, for tests that need a second one."""

import os
import subprocess
import sys

from django.db import connection

from socktrade.data.export import digest_of, table_rows
from socktrade.data.tables import book_models, name_of
from socktrade.models import SignedIn
from tests.socktrade.house import ROOT

KEPT = ("PATH", "HOME", "LANG", "SYSTEMROOT")


def run(folder, *words, **more):
    """Run a command on the SQLite book of a folder."""
    kept = {key: os.environ[key] for key in KEPT if key in os.environ}
    return subprocess.run(
        [sys.executable, "manage.py", *words],
        cwd=ROOT,
        env={**kept, "SOCKTRADE_DATA": str(folder), **more},
        capture_output=True,
        text=True,
        check=False,
    )


def state_of_book():
    """Return rows and check sum of every table, to compare two books by."""
    return {name_of(model): digest_of(table_rows(model)) for model in book_models()}


def empty_the_book():
    """Take every row out of the test's own database, ink and all."""
    with connection.cursor() as cursor:
        for model in (SignedIn, *reversed(book_models())):
            cursor.execute(f"DELETE FROM {model._meta.db_table}")  # noqa: S608
