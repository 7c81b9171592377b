"""A copy of the book every day, kept by age: 7 days, 4 weeks, 12 months."""

import datetime as dt
import logging
import re
import sqlite3
import threading
from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass
from itertools import chain, islice
from pathlib import Path

from django.conf import settings
from django.db import DatabaseError, connection, connections
from django.utils import timezone

from patterns.core.words import say
from production.services import books as bench_books
from sales.services import books as stall_books
from socktrade.backups import BackupError, back_up, looking_into

LOG = logging.getLogger("socktrade")
SOON = 3600
STALE_DAYS = 2
SHOWN = 20

# How many of the newest days, weeks and months keep their last copy.
AGES: tuple[tuple[int, Callable[[dt.date], Hashable]], ...] = (
    (7, lambda day: day),
    (4, lambda day: day.isocalendar()[:2]),
    (12, lambda day: (day.year, day.month)),
)


@dataclass(frozen=True, slots=True)
class Copy:
    """One kept copy."""

    path: Path
    date: dt.date

    @property
    def size(self) -> int:
        """Bytes; 0 if it went away meanwhile."""
        try:
            return self.path.stat().st_size
        except OSError:
            return 0


@dataclass(slots=True)
class Keeper:
    """What the thread that keeps copies last met."""

    running: bool = False
    trouble: str = ""


KEEPER = Keeper()


def to_keep(dates: Iterable[dt.date]) -> set[dt.date]:
    """Return the dates whose copies stay.

    Days, weeks and months without a copy do not count, so a book that is opened twice a year
    loses none of its last copies to the passing of time.
    """
    newest_first = sorted(set(dates), reverse=True)
    kept: set[dt.date] = set()
    for count, period in AGES:
        last: dict[Hashable, dt.date] = {}
        for date in newest_first:
            last.setdefault(period(date), date)
        kept |= set(islice(last.values(), count))
    return kept


def copies_in(folder: Path) -> list[Copy]:
    """Return the kept copies of this book, the newest first."""
    named = re.compile(rf"{re.escape(settings.BOOK)}-(\d{{4}}-\d\d-\d\d)\.sqlite3")
    found = []
    try:
        there = sorted(folder.iterdir())
    except OSError:
        return []
    for path in there:
        if match := named.fullmatch(path.name):
            try:
                found.append(Copy(path, dt.date.fromisoformat(match[1])))
            except ValueError:
                continue
    return sorted(found, key=lambda copy: copy.date, reverse=True)


def keep_daily(folder: Path, *, today: dt.date) -> Path | None:
    """Make today's copy if there is none, open and check it, and let old ones go.

    Raises:
        BackupError: If no copy could be made, or the book in it does not follow from its acts.
    """
    target = folder / f"{settings.BOOK}-{today.isoformat()}.sqlite3"
    set_back = any(copy.date > today for copy in copies_in(folder))
    if target.exists() and not set_back:
        return None
    try:
        folder.mkdir(parents=True, exist_ok=True)
        back_up(target, replace=set_back)
        check_books_of(target)
        _let_go(copies_in(folder), today)
    except OSError as problem:
        msg = say(
            "The daily copy could not be kept in {folder}: {figure}.",
            folder=folder,
            figure=problem.strerror or problem,
        )
        raise BackupError(msg) from problem
    return target


def _let_go(copies: Iterable[Copy], today: dt.date) -> None:
    """Delete what is too old. Copies of days to come are of a clock that was set since.

    They stay until their day, and push out none of those that the present clock dates.
    """
    dated = [copy for copy in copies if copy.date <= today]
    keep = to_keep(copy.date for copy in dated)
    for copy in dated:
        if copy.date not in keep:
            copy.path.unlink(missing_ok=True)


def check_books_of(path: Path) -> None:
    """Open a copy as a book and prove it from its acts.

    Raises:
        BackupError: If something in it disagrees; the copy stays, for it may be all there is.
    """
    try:
        with looking_into(path):
            lines = list(islice(chain(bench_books.disagreements(), stall_books.disagreements()), 1))
    except DatabaseError as problem:
        msg = say(
            "The copy {name} cannot be opened as a book: {problem}.",
            name=path.name,
            problem=problem,
        )
        raise BackupError(msg) from problem
    if lines:
        msg = say(
            "The copy {name} was made, but its books disagree: {lines_0}",
            name=path.name,
            lines_0=lines[0],
        )
        raise BackupError(msg)


def keep_copies(folder: Path) -> threading.Event | None:
    """Keep daily copies in a thread of its own for as long as the app runs.

    Returns:
        What ends the thread when it is set; None where the book is no file.
    """
    if connection.vendor != "sqlite" or settings.IS_DEMO:
        return None
    stop = threading.Event()
    KEEPER.running = True
    threading.Thread(target=keep_on, args=(folder, stop), name="daily-copies", daemon=True).start()
    return stop


def backup_trouble(folder: Path, *, today: dt.date) -> str:
    """Return in words what is wrong with the daily copies, or nothing."""
    if not KEEPER.running:
        return ""
    if KEEPER.trouble:
        return KEEPER.trouble
    copies = [copy for copy in copies_in(folder) if copy.date <= today]
    if copies and (today - copies[0].date).days > STALE_DAYS:
        return say("The newest copy of the book is of {date:long}.", date=copies[0].date)
    return ""


def copy_trouble() -> str:
    """Return in words what is wrong with the copies of the open book, for the pages she sees."""
    return backup_trouble(settings.DATA_DIR / "backups", today=timezone.localdate())


def keep_on(folder: Path, stop: threading.Event) -> None:
    """Keep a copy of each day until told to stop; what fails is told and tried again."""
    while not stop.is_set():
        try:
            if keep_daily(folder, today=timezone.localdate()):
                KEEPER.trouble = ""
        except (BackupError, OSError, DatabaseError, sqlite3.Error) as problem:
            KEEPER.trouble = problem.words if isinstance(problem, BackupError) else str(problem)
            LOG.warning("No sound daily copy of the book: %s", problem)
        finally:
            connections.close_all()
        stop.wait(SOON)  # whether a new day has begun is asked each hour: laptops sleep
    KEEPER.running = False
