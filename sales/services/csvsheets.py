"""Tables as CSV that no spreadsheet takes for formulas."""

import csv
import io
from collections.abc import Iterable, Sequence

# A cell that starts with one of these would be run as a formula by a spreadsheet.
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def csv_text(rows: Iterable[Sequence[object]]) -> str:
    """Return the rows as CSV."""
    out = io.StringIO()
    writer = csv.writer(out)
    for row in rows:
        writer.writerow([safe_cell(cell) for cell in row])
    return out.getvalue()


def safe_cell(cell: object) -> object:
    """Return a cell with an apostrophe before a text that would be run as a formula."""
    if isinstance(cell, str) and cell.startswith(FORMULA_STARTS):
        return f"'{cell}"
    return cell
