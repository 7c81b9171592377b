"""When the disk or the database lets the book down: what it is, in words a person can act on.

Nothing here reads the book, for it may be the very thing that cannot be read.
"""

import errno
import sqlite3
import sys
from collections.abc import Iterator
from dataclasses import dataclass

from django.db import DatabaseError, InterfaceError, OperationalError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.template.loader import render_to_string
from django.utils.translation import gettext_lazy as _

STORAGE_ERRORS = (OSError, DatabaseError, sqlite3.Error)


@dataclass(frozen=True, slots=True)
class Trouble:
    """A kind of trouble: the answer's status, what happened, and what to do."""

    status: int
    title: str
    what: str
    do: str

    def __str__(self) -> str:
        return f"{self.what} {self.do}"


FULL = Trouble(
    507,
    _("The disk is full"),
    _("The disk that holds the book is full, so nothing could be written."),
    _("Free some space on it, then do it again. What is in the book already is safe."),
)
READ_ONLY = Trouble(
    503,
    _("The book cannot be written"),
    _("The disk or the file of the book lets itself be read, not written."),
    _("Give it back its write permission or check the disk, then do it again."),
)
BUSY = Trouble(
    503,
    _("The book is busy"),
    _("Something else is writing to the book and did not finish in time."),
    _("Wait a moment, then do it again."),
)
DAMAGED = Trouble(
    503,
    _("The file of the book is damaged"),
    _("The database says that its file is damaged or is none."),
    _("Stop the app and restore the newest copy from the folder “backups”."),
)
LOST = Trouble(
    503,
    _("The book cannot be reached"),
    _("The disk or the database that holds the book does not answer."),
    _("Check that it is there and has room and permission, then do it again."),
)
BY_FAULT = Trouble(
    500,
    _("Something went wrong"),
    _("The program met something that it was not made for."),
    _("Go back and try once more. If it happens again, the program's log says where."),
)

_SQLITE = {
    sqlite3.SQLITE_FULL: FULL,
    sqlite3.SQLITE_READONLY: READ_ONLY,
    sqlite3.SQLITE_PERM: READ_ONLY,
    sqlite3.SQLITE_BUSY: BUSY,
    sqlite3.SQLITE_LOCKED: BUSY,
    sqlite3.SQLITE_CORRUPT: DAMAGED,
    sqlite3.SQLITE_NOTADB: DAMAGED,
    sqlite3.SQLITE_IOERR: LOST,
    sqlite3.SQLITE_CANTOPEN: LOST,
}
# Class or whole code of a PostgreSQL error (appendix A of its manual; from memory).
_POSTGRES = {"53100": FULL, "25006": READ_ONLY, "55P03": BUSY, "40P01": BUSY, "40001": BUSY}
_DISK = {
    errno.ENOSPC: FULL,
    errno.EDQUOT: FULL,
    errno.EFBIG: FULL,
    errno.EROFS: READ_ONLY,
    errno.EACCES: READ_ONLY,
    errno.EPERM: READ_ONLY,
    errno.EIO: LOST,
}


def trouble_of(problem: BaseException | None) -> Trouble | None:
    """Return what kind of trouble an error tells of; None if it is a fault of the program."""
    chain = list(_chain(problem))
    for one in chain:
        if found := _known(one):
            return found
    told = any(isinstance(one, sqlite3.Error) for one in chain)  # a code of its own: no such table
    lost = any(isinstance(one, OperationalError | InterfaceError) for one in chain)
    return LOST if lost and not told else None


def answer_failed(request: HttpRequest) -> HttpResponse:
    """Answer a request that failed: in words, and never as if it had been recorded."""
    problem = sys.exc_info()[1]
    trouble = trouble_of(problem) or BY_FAULT
    answer: HttpResponse
    if request.content_type == "application/json" or request.path.endswith(".json"):
        said = {"error": f"{trouble}", "title": f"{trouble.title}", "answers": []}
        answer = JsonResponse(said, status=trouble.status)
    else:
        words = {"trouble": trouble, "sent": request.method == "POST", "path": request.path}
        page = render_to_string("socktrade/trouble.html", words)
        answer = HttpResponse(page, status=trouble.status)
    answer["Cache-Control"] = "no-store"
    return answer


def _chain(problem: BaseException | None) -> Iterator[BaseException]:
    seen: set[int] = set()
    while problem is not None and id(problem) not in seen:
        seen.add(id(problem))
        yield problem
        problem = problem.__cause__ or problem.__context__


def _known(one: BaseException) -> Trouble | None:
    if isinstance(one, sqlite3.Error):
        return _SQLITE.get((getattr(one, "sqlite_errorcode", 0) or 0) & 0xFF)
    if isinstance(one, OSError) and not isinstance(one, ConnectionError):
        return _DISK.get(one.errno or 0)
    if state := getattr(one, "sqlstate", None):
        return _POSTGRES.get(str(state))
    return None
