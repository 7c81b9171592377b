"""Reading an export: a folder, a zip or the one JSON file. What is inside is not trusted."""

import csv
import io
import json
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any, Protocol

from django.db.models import Model

from patterns.core.words import say
from socktrade.data.errors import DataError
from socktrade.data.export import FORMAT, MANIFEST, TABLES, migrations
from socktrade.data.tables import book_models, columns_of, name_of
from socktrade.data.values import from_cell, read

LARGEST_MANIFEST = 4 * 1024 * 1024
LARGEST_UNPACKED = 4 * 1024**3
BROKEN = (zipfile.BadZipFile, csv.Error, EOFError, RecursionError, NotImplementedError)
LONGEST_CELL = 256 * 1024 * 1024


class Source(Protocol):
    """An export that can be read table by table."""

    manifest: dict[str, Any]

    def rows(self, model: type[Model]) -> Iterator[list[Any]]:
        """Yield the rows of a table as the database takes them."""


class _Csv:
    """One CSV file a table, in a folder or a zip."""

    def __init__(self, place: Path | zipfile.Path) -> None:
        self.place = place
        with self._open(MANIFEST) as said:
            self.manifest = _manifest_of(said.read(LARGEST_MANIFEST))

    def _open(self, name: str) -> IO[str]:
        path = self.place / name
        if not path.is_file():
            msg = say(
                "{place} holds no {name}; it is no whole export of Socktrade.",
                place=self.place,
                name=name,
            )
            raise DataError(msg)
        if isinstance(path, zipfile.Path):
            return io.TextIOWrapper(path.open("rb"), encoding="utf-8", newline="")  # type: ignore[arg-type]
        return path.open(encoding="utf-8", newline="")

    def rows(self, model: type[Model]) -> Iterator[list[Any]]:
        fields, name = columns_of(model), name_of(model)
        csv.field_size_limit(LONGEST_CELL)
        with self._open(f"{TABLES}/{name}.csv") as lines:
            reader = csv.reader(lines, strict=True)
            header = next(reader, [])
            _same_columns(name, header, model)
            for number, cells in enumerate(reader, start=2):
                if len(cells) != len(fields):
                    msg = say(
                        "{name}, row {number}: {count} cells, {count2} are needed.",
                        name=name,
                        number=number,
                        count=len(cells),
                        count2=len(fields),
                    )
                    raise DataError(msg)
                yield [
                    _read(from_cell, name, number, field, cell)
                    for field, cell in zip(fields, cells, strict=True)
                ]


class _Json:
    """All tables in one JSON file; it is read into memory whole."""

    def __init__(self, path: Path) -> None:
        book = json.loads(path.read_text(encoding="utf-8"))
        if not isinstance(book, dict) or not isinstance(book.get("tables"), dict):
            msg = say("{path} is no export of Socktrade.", path=path)
            raise DataError(msg)
        self.tables = book["tables"]
        self.manifest = _manifest_of(json.dumps(book.get("manifest")))

    def rows(self, model: type[Model]) -> Iterator[list[Any]]:
        fields, name = columns_of(model), name_of(model)
        for number, row in enumerate(self.tables.get(name, ()), start=1):
            if not isinstance(row, dict):
                msg = say("{name}, row {number} is no row.", name=name, number=number)
                raise DataError(msg)
            _same_columns(name, list(row), model)
            yield [_read(read, name, number, f, row[f.attname]) for f in fields]


@contextmanager
def open_source(path: Path) -> Iterator[Source]:
    """Open an export and see that this program can read it.

    Raises:
        DataError: If it is none, is damaged, or comes from another version of the program.
    """
    try:
        if path.is_dir():
            yield _checked(_Csv(path))
        elif not path.is_file():
            msg = say("There is no export at {path}.", path=path)
            raise DataError(msg)
        elif zipfile.is_zipfile(path):
            with zipfile.ZipFile(path) as packed:
                _refuse_bomb(packed)
                yield _checked(_Csv(zipfile.Path(packed)))
        else:
            yield _checked(_Json(path))
    except BROKEN as trouble:
        msg = say(
            "{name} is damaged or no export of Socktrade: {trouble}.",
            name=path.name,
            trouble=trouble,
        )
        raise DataError(msg) from trouble
    except ValueError as trouble:  # broken JSON and broken UTF-8 as well
        msg = say(
            "{name} is no export of Socktrade: {trouble}.",
            name=path.name,
            trouble=str(trouble)[:200],
        )
        raise DataError(msg) from trouble
    except OSError as trouble:
        msg = say("{path} cannot be read: {figure}.", path=path, figure=trouble.strerror or trouble)
        raise DataError(msg) from trouble


def _checked(source: Source) -> Source:
    here, there = set(migrations()), set(source.manifest["migrations"])
    if newer := there - here:
        msg = say(
            "It was written by a newer Socktrade ({min}). Update the program first.", min=min(newer)
        )
        raise DataError(msg)
    if older := here - there:
        msg = say(
            "It was written by an older Socktrade (before {min}). Open that book with this "
            "version once, which brings it up to date, and export it again.",
            min=min(older),
        )
        raise DataError(msg)
    names = {name_of(model) for model in book_models()}
    if strange := names ^ set(source.manifest["tables"]):
        msg = say("The tables differ from those of this program: {min}.", min=min(strange))
        raise DataError(msg)
    return source


def _manifest_of(text: str) -> dict[str, Any]:
    said = json.loads(text)
    if not isinstance(said, dict) or said.get("program") != "socktrade":
        msg = say("It does not say that Socktrade wrote it.")
        raise DataError(msg)
    if said.get("format") != FORMAT:
        msg = say(
            "It is written in format {found:.20}; this program reads {wanted}.",
            found=repr(said.get("format")),
            wanted=FORMAT,
        )
        raise DataError(msg)
    tables, applied = said.get("tables"), said.get("migrations")
    whole = isinstance(tables, dict) and all(isinstance(t, dict) for t in tables.values())
    if not whole or not isinstance(applied, list) or not all(isinstance(n, str) for n in applied):
        msg = say("Its {MANIFEST} is not whole.", MANIFEST=MANIFEST)
        raise DataError(msg)
    return said


def _same_columns(name: str, found: list[str], model: type[Model]) -> None:
    wanted = [field.attname for field in columns_of(model)]
    if found != wanted:
        odd = ", ".join(sorted(set(found) ^ set(wanted)))[:80] or say("their order")
        msg = say("{name}: its columns are not those of this program ({odd}).", name=name, odd=odd)
        raise DataError(msg)


def _read(how: Any, name: str, number: int, field: Any, value: Any) -> Any:
    try:
        return how(field, value)
    except ValueError as problem:
        msg = say(
            "{name}, row {number}, column {attname}: {problem}.",
            name=name,
            number=number,
            attname=field.attname,
            problem=problem,
        )
        raise DataError(msg) from problem


def _refuse_bomb(packed: zipfile.ZipFile) -> None:
    if sum(entry.file_size for entry in packed.infolist()) > LARGEST_UNPACKED:
        msg = say(
            "Unpacked it would be larger than {figure} GB.", figure=LARGEST_UNPACKED // 1024**3
        )
        raise DataError(msg)
