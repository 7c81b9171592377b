"""Tables as CSV that no spreadsheet takes for formulas."""

import csv
import io
from collections.abc import Iterable, Sequence

from socktrade.cells import safe_cell


def csv_text(rows: Iterable[Sequence[object]]) -> str:
    """Return the rows as CSV."""
    out = io.StringIO()
    writer = csv.writer(out)
    for row in rows:
        writer.writerow([safe_cell(cell) for cell in row])
    return out.getvalue()
