"""Copies of the book that are proved before they are trusted (SQLite)."""

import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from django.db import connection, connections
from django.db.migrations.loader import MigrationLoader

from patterns.core.words import say

NEEDED_TABLES = {"django_migrations", "production_act", "production_sock", "sales_sale"}


class BackupError(Exception):
    """A copy could not be made, or a file is no book that this program can open.

    `words` say it later too, in the language of whoever is told.
    """

    def __init__(self, words: str) -> None:
        super().__init__(words)
        self.words = words


def book_path() -> Path:
    """Return the file of the open book.

    Raises:
        BackupError: If the book lives in another database than SQLite.
    """
    if connection.vendor != "sqlite":
        msg = say(
            "This book lives in a database server. Use its own tools for copies: pg_dump "
            "and pg_restore for PostgreSQL."
        )
        raise BackupError(msg)
    return Path(str(connection.settings_dict["NAME"]))


def back_up(target: Path, *, replace: bool = False) -> Path:
    """Copy the book while it is in use, check the copy, and only then give it its name.

    Raises:
        BackupError: If the target exists and is not to be replaced, cannot be written, or the
            copy is not sound.
    """
    source = book_path()
    if target.exists() and not replace:
        msg = say("{target} is there already. Name a file that does not exist yet.", target=target)
        raise BackupError(msg)
    part = target.with_name(f"{target.name}.part")
    try:
        with (
            closing(sqlite3.connect(f"file:{source}?mode=ro", uri=True)) as book,
            closing(sqlite3.connect(part)) as copy,
        ):
            book.backup(copy)
            copy.execute("PRAGMA journal_mode=DELETE")  # one file, whole by itself
        check_file(part)
        with part.open("rb+") as written:
            os.fsync(written.fileno())
        part.replace(target)
    except (OSError, sqlite3.Error) as problem:
        msg = say("No copy was made at {target}: {problem}.", target=target, problem=problem)
        raise BackupError(msg) from problem
    finally:
        part.unlink(missing_ok=True)
    return target


@contextmanager
def looking_into(path: Path, *, to_write: bool = False) -> Iterator[None]:
    """Let this thread read, or also write, another file as the book.

    Connections belong to threads, so others go on with the book as before.
    """
    usual = connections["default"]
    copy = connections.create_connection("default")
    copy.settings_dict = {**usual.settings_dict, "NAME": str(path)}
    if not to_write:
        options = {**usual.settings_dict["OPTIONS"], "init_command": "PRAGMA query_only=ON;"}
        copy.settings_dict["OPTIONS"] = options
    connections["default"] = copy
    try:
        yield
    finally:
        copy.close()
        connections["default"] = usual


def restore(source: Path) -> Path | None:
    """Put a copy in the place of the book; the book as it was is kept beside it.

    Returns:
        Where the former book was put, or None if there was none.

    Raises:
        BackupError: If the file is no sound book, or was written by a newer program.
    """
    target = book_path()
    check_file(source)
    _refuse_newer(source)
    connection.close()
    aside = _aside(target) if target.exists() else None
    part = target.with_name(f"{target.name}.part")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(source, part)
        if aside is not None:
            _move_whole(target, aside)
        part.replace(target)
    except OSError as problem:
        if aside is not None and aside.exists() and not target.exists():
            aside.replace(target)
        msg = say(
            "The copy could not be put in place: {strerror}. The book is as it was.",
            strerror=problem.strerror,
        )
        raise BackupError(msg) from problem
    finally:
        part.unlink(missing_ok=True)
    return aside


def put_back(aside: Path) -> None:
    """Make the book that `restore` put aside the book again."""
    connection.close()
    target = book_path()
    for ending in ("-wal", "-shm"):
        target.with_name(target.name + ending).unlink(missing_ok=True)
    aside.replace(target)


def check_file(path: Path) -> None:
    """Open a file as a book and let the database check itself.

    Raises:
        BackupError: If it is missing, damaged or something else.
    """
    if not path.is_file():
        msg = say("There is no file {path}.", path=path)
        raise BackupError(msg)
    with _reading(path) as book:
        said = [row[0] for row in book.execute("PRAGMA integrity_check")]
        loose = book.execute("PRAGMA foreign_key_check").fetchone()
        tables = {row[0] for row in book.execute("SELECT name FROM sqlite_master")}
    if said != ["ok"]:
        msg = say("{path} is damaged: {said_0}.", path=path, said_0=said[0])
        raise BackupError(msg)
    if loose:
        msg = say(
            "{path} is damaged: a row of {loose_0} points at nothing in {loose_2}.",
            path=path,
            loose_0=loose[0],
            loose_2=loose[2],
        )
        raise BackupError(msg)
    if missing := NEEDED_TABLES - tables:
        msg = say(
            "{path} is no book of Socktrade: it has no table {min}.", path=path, min=min(missing)
        )
        raise BackupError(msg)


def _refuse_newer(path: Path) -> None:
    with _reading(path) as book:
        applied = set(book.execute("SELECT app, name FROM django_migrations"))
    known = set(MigrationLoader(None).disk_migrations)
    newer = {(app, name) for app, name in applied - known if app in {k[0] for k in known}}
    if newer:
        app, name = min(newer)
        msg = say(
            "{path} was written by a newer Socktrade ({app} {name}). Update the program "
            "first, then restore.",
            path=path,
            app=app,
            name=name,
        )
        raise BackupError(msg)


@contextmanager
def _reading(path: Path) -> Iterator[sqlite3.Connection]:
    try:
        with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as book:
            yield book
    except sqlite3.DatabaseError as problem:
        msg = say("{path} is no book of Socktrade: {problem}.", path=path, problem=problem)
        raise BackupError(msg) from problem


def _aside(target: Path) -> Path:
    number = 1
    while (aside := target.with_name(f"{target.name}.before-restore-{number}")).exists():
        number += 1
    return aside


def _move_whole(target: Path, aside: Path) -> None:
    """Fold the write-ahead log into the file first, so that the file alone is the book.

    Leaving that mode needs the file for oneself. An app that still had it open would go on
    writing into the file that was put aside.
    """
    try:
        with closing(sqlite3.connect(target, timeout=1)) as book:
            alone = book.execute("PRAGMA journal_mode=DELETE").fetchone() == ("delete",)
    except sqlite3.OperationalError:
        alone = False
    except sqlite3.DatabaseError:
        alone = True  # the present book is damaged; it is kept aside as it is
    if not alone:
        msg = say("The book is open. Stop the app first, then restore.")
        raise BackupError(msg)
    for ending in ("-wal", "-shm"):
        target.with_name(target.name + ending).unlink(missing_ok=True)
    target.replace(aside)
