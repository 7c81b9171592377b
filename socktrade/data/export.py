"""Everything in the book as one CSV file a table and one JSON file, in a folder or a zip."""

import csv
import datetime as dt
import hashlib
import json
import os
import shutil
import tempfile
import zipfile
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import IO, Any

from django.db.migrations.loader import MigrationLoader
from django.db.models import Model

from patterns.core.words import say
from socktrade.data.errors import DataError
from socktrade.data.snapshot import one_moment
from socktrade.data.tables import APPS, SECRETS, book_models, columns_of, name_of
from socktrade.data.values import shown, to_cell
from socktrade.guild.standing import book_name

FORMAT = 1
CHUNK = 2000
MANIFEST = "manifest.json"
BOOK = "book.json"
TABLES = "tables"
READ_ME = "READ-ME.txt"
WORDS = """\
This is a whole book of Socktrade in open files.

tables/*.csv   one table each: UTF-8, commas, a header, dates and times as ISO 8601 (UTC)
book.json      the same tables again, for programs
manifest.json  rows and check sums of each table, and which program wrote them

In CSV an empty cell is nothing. An apostrophe in front of a text is not part of it: it keeps
a spreadsheet from running the text as a formula. Amounts of money are whole numbers in the
currency's smallest unit; lengths are in mm, weights in g, as the column says.
{sign_ins}
`python manage.py import_book` reads this folder, the zip or book.json into an empty book.
"""
WITH_SIGN_INS = "Sign-ins are inside, with password hashes. Keep these files as you keep keys."
WITHOUT = (
    "Names of people are inside, their passwords are not: after an import each person gets a "
    "new one."
)


def export_book(target: Path, *, at: dt.datetime, with_sign_ins: bool = False) -> dict[str, Any]:
    """Write the book to a folder, or to a zip if the name ends so, and return its manifest.

    Raises:
        DataError: If the target is there already or cannot be written.
    """
    if target.exists():
        msg = say(
            "{target} is there already. Name a folder or a .zip file that does not exist yet.",
            target=target,
        )
        raise DataError(msg)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=target.parent, prefix=".export-") as part:
            manifest = write_folder(Path(part), at=at, with_sign_ins=with_sign_ins)
            if target.suffix.lower() == ".zip":
                zip_folder(Path(part), target)
            else:
                shutil.copytree(part, target)
    except OSError as problem:
        msg = say(
            "The book could not be written to {target}: {figure}.",
            target=target,
            figure=problem.strerror or problem,
        )
        raise DataError(msg) from problem
    return manifest


def write_folder(folder: Path, *, at: dt.datetime, with_sign_ins: bool) -> dict[str, Any]:
    """Write the book into an empty folder, as it stands at one moment."""
    (folder / TABLES).mkdir()
    manifest: dict[str, Any] = {
        "program": "socktrade",
        "format": FORMAT,
        "book": book_name(),
        "written_at": at.isoformat(),
        "with_sign_ins": with_sign_ins,
        "migrations": migrations(),
        "tables": {},
    }
    with one_moment(), (folder / BOOK).open("w", encoding="utf-8") as book:
        book.write('{"tables": {')
        for number, model in enumerate(book_models()):
            book.write(f"{',' if number else ''}\n{json.dumps(name_of(model))}: [")
            secret = {} if with_sign_ins else SECRETS.get(name_of(model), {})
            manifest["tables"][name_of(model)] = _write_table(folder, book, model, secret)
            book.write("]")
        book.write(f'}},\n"manifest": {json.dumps(manifest)}}}\n')
    (folder / MANIFEST).write_text(json.dumps(manifest, indent=1), encoding="utf-8")
    words = WORDS.format(sign_ins=WITH_SIGN_INS if with_sign_ins else WITHOUT)
    (folder / READ_ME).write_text(words, encoding="utf-8")
    return manifest


def zip_folder(folder: Path, target: Path) -> None:
    """Pack an export; the file gets its name when it is whole."""
    part = target.with_name(f"{target.name}.part")
    try:
        with zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED) as packed:
            for path in sorted(folder.rglob("*")):
                if path.is_file():
                    packed.write(path, path.relative_to(folder).as_posix())
        with part.open("rb+") as written:
            os.fsync(written.fileno())
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)


def migrations() -> list[str]:
    """Return the tables' history as this program knows it, e.g. `sales.0001_initial`."""
    known = MigrationLoader(None).disk_migrations
    return sorted(f"{app}.{name}" for app, name in known if app in APPS)


def table_rows(model: type[Model]) -> Iterator[list[Any]]:
    """Return the rows of a table as JSON holds them, in the order of their keys."""
    fields = columns_of(model)
    rows = model._meta.base_manager.order_by("pk").values_list(*(f.attname for f in fields))
    for row in rows.iterator(chunk_size=CHUNK):
        yield [shown(field, value) for field, value in zip(fields, row, strict=True)]


def digest_of(rows: Iterable[list[Any]]) -> tuple[int, str]:
    """Return how many rows there are, and a check sum of what they hold."""
    count, total = 0, hashlib.sha256()
    for count, row in enumerate(rows, start=1):  # noqa: B007
        total.update(_canonical(row))
    return count, total.hexdigest()


def _canonical(row: list[Any]) -> bytes:
    # PostgreSQL keeps the keys of JSON in an order of its own, so here they are sorted.
    return f"{json.dumps(row, sort_keys=True, ensure_ascii=False)}\n".encode()


def _write_table(
    folder: Path, book: IO[str], model: type[Model], secret: dict[str, Any]
) -> dict[str, Any]:
    fields = columns_of(model)
    names = [field.attname for field in fields]
    path = folder / TABLES / f"{name_of(model)}.csv"
    count, total = 0, hashlib.sha256()
    with path.open("w", encoding="utf-8", newline="") as out:
        writer = csv.writer(out)
        writer.writerow(names)
        for row in table_rows(model):
            for name, instead in secret.items():
                row[names.index(name)] = instead()
            writer.writerow([to_cell(f, value) for f, value in zip(fields, row, strict=True)])
            line = dict(zip(names, row, strict=True))
            book.write(f"{',' if count else ''}\n{json.dumps(line, ensure_ascii=False)}")
            total.update(_canonical(row))
            count += 1
    return {"columns": names, "rows": count, "sha256": total.hexdigest()}
