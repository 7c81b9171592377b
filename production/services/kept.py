"""What was read of a long history, kept in this process until that history says more.

Acts and what hangs on them are only ever added, so the highest keys of their tables say how far
a history has come: while those stand, what was read of it stands too. A reading is kept under
these keys and under everything else that it depends on; whatever changes, it is read anew.
Acts take turns, so a key is never lower than one that was seen before. Nothing is kept of a
transaction under way, which may still come to nothing.
"""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from functools import cache
from threading import Lock
from typing import Any, TypeVar

from django.db import connection, models

from production.models import Act
from socktrade.guild.standing import book_name

MOST_WEIGHT = 5_000

Read = TypeVar("Read")

_kept: OrderedDict[Hashable, tuple[Any, int]] = OrderedDict()
_turn = Lock()


@dataclass(frozen=True, slots=True)
class Standing:
    """How far the history in some tables has come; None while that is not certain."""

    mark: Hashable | None

    def kept(self, asked: Hashable, read: Callable[[], Read], *, weight: int) -> Read:
        """Return what was read before at the same standing, or read it now.

        Args:
            asked: Everything besides the history that the reading depends on, its name first.
            read: Reads it. What it returns is shared by everybody, so nobody may change it.
            weight: Market days, lots or the like that it holds; all that is kept together
                holds at most `MOST_WEIGHT` of them.
        """
        if self.mark is None:
            return read()
        name = (self.mark, asked)
        with _turn:
            if name in _kept:
                _kept.move_to_end(name)
                found: Read = _kept[name][0]
                return found
        reading = read()
        with _turn:
            _kept[name] = reading, max(1, weight)
            while len(_kept) > 1 and sum(held for _, held in _kept.values()) > MOST_WEIGHT:
                _kept.popitem(last=False)
        return reading


def forget() -> None:
    """Forget everything, as a process that has just begun."""
    with _turn:
        _kept.clear()


def standing_of(*tables: type[models.Model]) -> Standing:
    """Return how far the history in some tables has come, in one question.

    Args:
        tables: Tables to which acts add rows, the first one with an `act` in it. What an undo
            changes in them needs no table of its own: undoing is an act that is looked at too.
    """
    if connection.in_atomic_block:
        return Standing(None)
    with connection.cursor() as cursor:
        cursor.execute(_question(tables))
        mark = tuple(cursor.fetchone())
    return Standing((connection.settings_dict["NAME"], book_name(), *mark))


@cache
def _question(tables: tuple[type[models.Model], ...]) -> str:
    """Return the question for the last key of each table and the last undo.

    Both databases read a highest key off the end of its index. The moment of the last act tells
    a book that was restored from the one that stood here before.
    """
    quoted = connection.ops.quote_name
    names = [quoted(table._meta.db_table) for table in tables]
    acts = quoted(Act._meta.db_table)
    last = "(SELECT MAX(id) FROM {}{})".format
    keys = [last(name, "") for name in names]
    undone = last(acts, " WHERE undoes_id IS NOT NULL")
    moment = f"(SELECT at FROM {acts} WHERE id = (SELECT MAX(act_id) FROM {names[0]}))"  # noqa: S608 - names of our own tables
    return f"SELECT {', '.join([*keys, undone, moment])}"
