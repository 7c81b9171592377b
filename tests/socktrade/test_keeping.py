"""Daily copies: made while others write, proved, kept by age, and their failure told."""

import datetime as dt
import sqlite3
import threading
import time
from contextlib import closing

import pytest
from django.contrib.auth.models import User
from django.db import connection, connections
from hypothesis import given
from hypothesis import strategies as st

from production.models import Act
from production.services import books
from production.services.acts import Who
from production.services.strings import Run, log_string
from production.services.yarn import take_yarn
from sales.services import books as stall_books
from sales.services.till import undo_act
from socktrade.backups import BackupError, back_up, check_file, looking_into, restore
from socktrade.data import keeping
from socktrade.data.keeping import KEEPER, backup_trouble, copies_in, keep_daily, to_keep
from tests.factories.patterns import PatternVersionFactory
from tests.factories.production import stocked_lot
from tests.factories.socktrade import UserFactory, WorkshopFactory
from tests.socktrade.books import run

FIRST = dt.date(2026, 1, 1)
SECONDS = 6


@pytest.fixture(scope="module")
def empty_book(tmp_path_factory):
    """A book file with its tables and nothing in them, made once."""
    folder = tmp_path_factory.mktemp("empty")
    made = run(folder, "migrate", "-v0")
    assert made.returncode == 0, made.stderr
    return folder / "book.sqlite3"


@pytest.fixture
def book(empty_book, tmp_path, transactional_db):
    """A book of its own in a file, open in this thread."""
    path = tmp_path / "book.sqlite3"
    with closing(sqlite3.connect(empty_book)) as source, closing(sqlite3.connect(path)) as copy:
        source.backup(copy)
    with looking_into(path, to_write=True):
        yield path


def _all_disagreements():
    return [*books.disagreements(), *stall_books.disagreements()]


def _work(path, version, lot, by, stop, failures, done):
    """Log strings, take yarn and undo until told to stop, as a phone of its own would."""
    with looking_into(path, to_write=True):
        while not stop.is_set():
            who = Who(by=by, at=dt.datetime.now(tz=dt.UTC))
            try:
                string = log_string(runs=[Run(version=version, count=4, lot=lot)], who=who)
                take_yarn(lot=lot, grams=5, use="waste", who=who)
                if string.number % 3 == 0:
                    undo_act(act_id=string.act_id, who=who)
                done.append(string.number)
            except Exception as problem:
                failures.append(problem)
                return


def test_a_copy_every_tenth_of_a_second_during_work_restores_clean_each_time(book, tmp_path):
    WorkshopFactory()
    by, version, lot = UserFactory(), PatternVersionFactory(), stocked_lot(grams=90_000)
    stop, failures, done, copies = threading.Event(), [], [], []
    workers = [
        threading.Thread(target=_work, args=(book, version, lot, by, stop, failures, done))
        for _ in range(3)
    ]
    for worker in workers:
        worker.start()
    end = time.monotonic() + SECONDS
    while time.monotonic() < end:
        copies.append(back_up(tmp_path / f"copy-{len(copies)}.sqlite3"))
        time.sleep(0.1)
    stop.set()
    for worker in workers:
        worker.join()

    acts = []
    for copy in copies:
        with looking_into(copy):
            assert _all_disagreements() == []
            acts.append(Act.objects.count())
    assert not failures
    assert done
    assert len(copies) > 5
    assert acts == sorted(acts)
    assert acts[-1] > acts[0]
    restore(copies[-1])
    assert Act.objects.count() == acts[-1]


def test_a_daily_copy_is_made_once_and_checked(book, tmp_path):
    WorkshopFactory()
    folder = tmp_path / "backups"

    made = keep_daily(folder, today=FIRST)
    again = keep_daily(folder, today=FIRST)

    assert made.name == f"{keeping.settings.BOOK}-2026-01-01.sqlite3"
    assert again is None
    check_file(made)
    assert [path.name for path in folder.iterdir()] == [made.name]


def test_old_copies_go_and_other_files_stay(book, tmp_path):
    folder = tmp_path / "backups"
    folder.mkdir()
    names = [f"{keeping.settings.BOOK}-{FIRST + dt.timedelta(days=n)}.sqlite3" for n in range(60)]
    for name in [*names, "my own copy.sqlite3", "another-2026-01-02.sqlite3"]:
        (folder / name).write_bytes(b"")

    keep_daily(folder, today=FIRST + dt.timedelta(days=60))

    dates = {copy.date for copy in copies_in(folder)}
    assert dates == to_keep(FIRST + dt.timedelta(days=n) for n in range(61))
    assert (folder / "my own copy.sqlite3").exists()
    assert (folder / "another-2026-01-02.sqlite3").exists()


def test_a_copy_whose_books_disagree_is_told(book, tmp_path):
    WorkshopFactory()
    string = log_string(
        runs=[Run(version=PatternVersionFactory(), count=1, lot=stocked_lot())],
        who=Who(by=UserFactory(), at=dt.datetime.now(tz=dt.UTC)),
    )
    string.socks.update(place="to_seam")

    with pytest.raises(BackupError, match="books disagree"):
        keep_daily(tmp_path / "backups", today=FIRST)


def test_a_folder_that_cannot_be_written_is_told(book, tmp_path):
    (tmp_path / "backups").write_text("a file where the folder should be")

    with pytest.raises(BackupError):
        keep_daily(tmp_path / "backups", today=FIRST)


def test_what_failed_is_kept_for_the_pages_until_a_copy_is_made(tmp_path, monkeypatch, db):
    tries = iter([BackupError("No copy was made: disk full."), tmp_path])
    told, stop = [], threading.Event()

    def keep(_folder, *, today):
        result = next(tries)
        if isinstance(result, Exception):
            raise result
        return result

    def wait(_seconds):
        told.append(backup_trouble(tmp_path, today=FIRST))
        if len(told) == 2:
            stop.set()

    monkeypatch.setattr(keeping, "keep_daily", keep)
    monkeypatch.setattr(stop, "wait", wait)
    monkeypatch.setattr(KEEPER, "running", True)
    monkeypatch.setattr(connections, "close_all", lambda: None)

    keeping.keep_on(tmp_path, stop)

    assert told == ["No copy was made: disk full.", ""]
    assert backup_trouble(tmp_path, today=FIRST) == ""


@given(st.sets(st.dates(dt.date(2020, 1, 1), dt.date(2030, 12, 31)), max_size=400))
def test_the_last_of_each_day_week_and_month_stays(dates):
    kept = to_keep(dates)

    newest = sorted(dates, reverse=True)
    assert kept <= dates
    assert set(newest[:7]) <= kept
    weeks = list(dict.fromkeys(day.isocalendar()[:2] for day in newest))[:4]
    months = list(dict.fromkeys((day.year, day.month) for day in newest))[:12]
    assert {day.isocalendar()[:2] for day in kept} >= set(weeks)
    assert {(day.year, day.month) for day in kept} >= set(months)
    assert len(kept) <= 7 + 4 + 12


def test_a_year_of_daily_copies_leaves_a_few(tmp_path):
    """What goes never has to come back: pruning day by day keeps a copy of each month."""
    kept = set()
    for number in range(730):
        kept = to_keep(kept | {FIRST + dt.timedelta(days=number)})

    assert len(kept) <= 23
    assert len({(day.year, day.month) for day in kept}) >= 12


def test_another_thread_keeps_its_own_book(book, tmp_path):
    WorkshopFactory(name="here")
    with looking_into(book):
        inside = connection.settings_dict["NAME"]

    assert inside == str(book)
    check_file(book)


def _touch_copies(folder, dates):
    for date in dates:
        (folder / f"book-{date.isoformat()}.sqlite3").touch()


def test_a_clock_set_back_deletes_neither_the_newest_copies_nor_todays(book, tmp_path):
    folder = tmp_path / "backups"
    folder.mkdir()
    ahead = [FIRST + dt.timedelta(days=40 + day) for day in range(9)]
    _touch_copies(folder, ahead)

    made = keep_daily(folder, today=FIRST)

    assert made is not None
    assert {copy.date for copy in copies_in(folder)} == {FIRST, *ahead}


def test_after_a_clock_was_set_back_the_days_copy_is_renewed(book, tmp_path):
    folder = tmp_path / "backups"
    first = keep_daily(folder, today=FIRST)
    keep_daily(folder, today=FIRST + dt.timedelta(days=3))
    UserFactory()

    renewed = keep_daily(folder, today=FIRST)

    assert renewed == first
    with looking_into(renewed):
        assert connection.introspection.table_names()
        assert User.objects.count() == 1


def test_copies_of_days_to_come_do_not_hide_that_none_was_made_lately(tmp_path, monkeypatch):
    monkeypatch.setattr(KEEPER, "running", True)
    _touch_copies(tmp_path, [FIRST, FIRST + dt.timedelta(days=300)])

    told = backup_trouble(tmp_path, today=FIRST + dt.timedelta(days=10))

    assert "1 January 2026" in told
