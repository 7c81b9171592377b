"""Reading a CSV file that a person made with whatever program she has."""

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass, field

from django.utils.functional import Promise

from patterns.core.words import say
from socktrade.data.errors import DataError

LARGEST_BYTES = 512 * 1024
MOST_ROWS = 2000
LONGEST_CELL = 300
DELIMITERS = ",;\t|"


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a template."""

    name: str
    help: str | Promise
    example: str
    required: bool = True


@dataclass(slots=True)
class Row:
    """One row as it stands in the file, and what is wrong with it, by column."""

    number: int
    cells: dict[str, str]
    troubles: dict[str, str] = field(default_factory=dict)
    known: bool = False

    def show(self, columns: Sequence[Column]) -> list[tuple[str, str]]:
        """Return each cell with what is wrong with it, in the order of the columns."""
        return [(self.cells[c.name], self.troubles.get(c.name, "")) for c in columns]

    @property
    def other_trouble(self) -> str:
        """What is wrong with the row as a whole."""
        return self.troubles.get("", "")


def decode(raw: bytes) -> str:
    """Return the text of a file; its encoding is read from its first bytes, or tried.

    UTF-8 with or without a mark, UTF-16 with one, else the Windows encoding that older
    spreadsheets of the West write.

    Raises:
        DataError: If it is too large, empty or no text.
    """
    if len(raw) > LARGEST_BYTES:
        msg = say(
            "The file is larger than {figure} kB. Import it in parts.", figure=LARGEST_BYTES // 1024
        )
        raise DataError(msg)
    wide = raw.startswith((b"\xff\xfe", b"\xfe\xff"))
    for encoding in ("utf-16",) if wide else ("utf-8-sig", "cp1252"):
        try:
            text = raw.decode(encoding)
        except UnicodeDecodeError:
            continue
        if any(ord(sign) < 32 and sign not in "\t\r\n" for sign in text):
            break
        return text
    msg = say("The file is no text. Save the table as CSV (UTF-8) and choose that file.")
    raise DataError(msg)


def read_rows(text: str, columns: Sequence[Column]) -> list[Row]:
    """Return the rows of a table; its columns may stand in any order.

    Raises:
        DataError: If it has no rows or too many, or its header is not that of the template.
    """
    lines = io.StringIO(text.strip("\ufeff\r\n"), newline="")
    try:
        table = list(csv.reader(lines, delimiter=_delimiter(text, columns), strict=True))
    except csv.Error as problem:
        msg = say("The file is no whole CSV: {problem}.", problem=problem)
        raise DataError(msg) from problem
    names = _header(table[0] if table else [], columns)
    filled = [
        (n, cells) for n, cells in enumerate(table[1:], start=2) if any(map(str.strip, cells))
    ]
    if not filled:
        msg = say("The file has no rows under its header.")
        raise DataError(msg)
    if len(filled) > MOST_ROWS:
        msg = say(
            "The file has {count} rows; import at most {MOST_ROWS} at once.",
            count=len(filled),
            MOST_ROWS=MOST_ROWS,
        )
        raise DataError(msg)
    return [_row(number, cells, names, columns) for number, cells in filled]


def template_text(columns: Sequence[Column], examples: int = 1) -> str:
    """Return an empty table with its header and example rows."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow([column.name for column in columns])
    for _ in range(examples):
        writer.writerow([column.example for column in columns])
    return f"\ufeff{out.getvalue()}"  # the mark tells spreadsheets that it is UTF-8


def _row(number: int, cells: list[str], names: list[str], columns: Sequence[Column]) -> Row:
    there = dict(zip(names, (" ".join(cell.split()) for cell in cells), strict=False))
    row = Row(number, {column.name: there.get(column.name, "") for column in columns})
    if len(cells) > len(names) and any(cell.strip() for cell in cells[len(names) :]):
        row.troubles[""] = say(
            "{cells} cells under {names} headings.", cells=len(cells), names=len(names)
        )
    for column in columns:
        cell = row.cells[column.name]
        if column.required and not cell:
            row.troubles[column.name] = say("is needed")
        elif len(cell) > LONGEST_CELL:
            row.troubles[column.name] = say("is longer than {most} signs", most=LONGEST_CELL)
            row.cells[column.name] = f"{cell[:60]}…"
    return row


def _header(cells: list[str], columns: Sequence[Column]) -> list[str]:
    names = [_plain(cell) for cell in cells]
    known = {column.name for column in columns}
    while names and not names[-1]:
        names.pop()
    if strange := [name for name in names if name not in known]:
        msg = say(
            "There is no column “{strange_0}” here. The first line names the columns: {items}.",
            strange_0=strange[0][:40],
            items=", ".join(c.name for c in columns),
        )
        raise DataError(msg)
    if missing := [c.name for c in columns if c.required and c.name not in names]:
        msg = say(
            "The column “{missing_0}” is missing. Start from the template.", missing_0=missing[0]
        )
        raise DataError(msg)
    if len(set(names)) < len(names):
        msg = say("Two columns have the same name.")
        raise DataError(msg)
    return names


def _delimiter(text: str, columns: Sequence[Column]) -> str:
    """Return the sign that cuts the header into the most names we know."""
    known = {column.name for column in columns}
    first = text.lstrip("\ufeff\r\n").partition("\n")[0]

    def fits(sign: str) -> int:
        return sum(_plain(name) in known for name in first.split(sign))

    return max(DELIMITERS, key=fits)


def _plain(name: str) -> str:
    return "_".join(name.strip().strip('"').strip("\ufeff").lower().split())
