"""Rows from a file into the book: previewed by doing it and taking it back, all or nothing."""

import datetime as dt
import uuid
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from django.contrib.auth.models import User
from django.db import DatabaseError, transaction

from patterns.core.words import say
from production.errors import ProductionError
from production.models import Act
from production.services.acts import Who
from sales.errors import SalesError
from socktrade.data.csvfiles import Row
from socktrade.data.rowkinds import RowError, RowKind

NAMESPACE = uuid.UUID("5b0f5b52-6f3e-4d0b-9c3e-2a4c1f7f7b11")


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of the rows, or would."""

    rows: Sequence[Row]
    done: bool

    @property
    def wrong(self) -> list[Row]:
        """Rows that cannot be taken."""
        return [row for row in self.rows if row.troubles]

    @property
    def new(self) -> int:
        """Rows that the book lacks."""
        return sum(not row.troubles and not row.known for row in self.rows)

    @property
    def known(self) -> int:
        """Rows that came in before."""
        return sum(row.known for row in self.rows)


def bring_rows(
    kind: RowKind, rows: Sequence[Row], *, by: User, at: dt.datetime, keep: bool
) -> Outcome:
    """Record every row as an act; with a single bad one, or without `keep`, none stays.

    A row is known by what it says: sent again, alone or in a longer file, it is recorded
    once. The second of two equal rows in one file counts as another. A row whose act was
    undone comes in anew.
    """
    seen: Counter[str] = Counter()
    with transaction.atomic():
        for row in rows:
            text = "\n".join((kind.key, *row.cells.values()))
            seen[text] += 1
            _bring(kind, row, f"{text}\n{seen[text]}", Who(by=by, at=at))
        done = keep and not any(row.troubles for row in rows)
        if not done:
            transaction.set_rollback(True)
    return Outcome(rows, done=done)


def _bring(kind: RowKind, row: Row, text: str, who: Who) -> None:
    if row.troubles:
        return
    key = _free_key(text)
    if key is None:
        row.known = True
        return
    try:
        with transaction.atomic():
            kind.record(row.cells, Who(by=who.by, at=who.at, key=key))
    except RowError as problem:
        row.troubles |= problem.troubles
    except (ProductionError, SalesError) as refusal:
        field = refusal.field if refusal.field in row.cells else ""
        row.troubles[field or ""] = str(refusal)
    except DatabaseError:
        row.troubles[""] = say("The book cannot hold this row.")


def _free_key(text: str) -> uuid.UUID | None:
    """Return the key under which a row is recorded, or None if it is recorded and stands."""
    attempt = 0
    while True:
        key = uuid.uuid5(NAMESPACE, f"{text}\n{attempt}")
        act = Act.objects.filter(key=key).select_related("undone_by").first()
        if act is None:
            return key
        if not act.is_undone:
            return None
        attempt += 1
