"""Trouble of the disk is told in words, and nothing is taken for recorded that was not.

The codes are those of SQLite and of the system; `test_disk.py` meets them on a real small disk.
"""

import errno
import json
import sqlite3
import uuid

import pytest
from django.db import OperationalError

from production.services import books as bench_books
from sales.models import PhoneAct, Sale
from sales.services import books as stall_books
from sales.services import sync
from socktrade import folders, trouble
from tests.factories.sales import open_stall

pytestmark = pytest.mark.django_db


@pytest.fixture
def visitor(page):
    page.raise_request_exception = False
    return page


def _raises(problem):
    def fail(*_args, **_kwargs):
        raise OperationalError(str(problem)) from problem

    return fail


def _sqlite(code, words):
    problem = sqlite3.OperationalError(words)
    problem.sqlite_errorcode = code
    return problem


FULL = _sqlite(sqlite3.SQLITE_FULL, "database or disk is full")
READ_ONLY = _sqlite(sqlite3.SQLITE_READONLY, "attempt to write a readonly database")


@pytest.mark.parametrize(
    ("problem", "found"),
    [
        (FULL, trouble.FULL),
        (READ_ONLY, trouble.READ_ONLY),
        (_sqlite(sqlite3.SQLITE_BUSY, "database is locked"), trouble.BUSY),
        (_sqlite(sqlite3.SQLITE_IOERR | (3 << 8), "disk I/O error"), trouble.LOST),
        (_sqlite(sqlite3.SQLITE_CANTOPEN, "unable to open database file"), trouble.LOST),
        (_sqlite(sqlite3.SQLITE_CORRUPT, "malformed"), trouble.DAMAGED),
        (_sqlite(sqlite3.SQLITE_ERROR, "no such table: x"), None),
        (OSError(errno.ENOSPC, "No space left on device"), trouble.FULL),
        (OSError(errno.EROFS, "Read-only file system"), trouble.READ_ONLY),
        (BrokenPipeError(errno.EPIPE, "Broken pipe"), None),
        (OperationalError("connection refused"), trouble.LOST),
        (ValueError("x"), None),
        (None, None),
    ],
)
def test_each_error_is_known_for_what_it_is(problem, found):
    wrapped = OperationalError("wrapped")
    wrapped.__cause__ = problem

    assert trouble.trouble_of(problem) is found
    if isinstance(problem, sqlite3.Error):
        assert trouble.trouble_of(wrapped) is found


def test_a_full_disk_keeps_the_sale_on_the_phone(visitor, maker, monkeypatch):
    day = open_stall(maker, pairs=2)
    monkeypatch.setattr(sync, "record_told", _raises(FULL))
    line = {"number": "P999999", "price_minor": 2800}
    sale = {"kind": "sale", "key": str(uuid.uuid4()), "paid_by": "cash", "lines": [line]}
    parcel = json.dumps({"acts": [sale]})

    refused = visitor.post(f"/stall/{day.pk}/acts/", parcel, content_type="application/json")
    kept = PhoneAct.objects.count(), Sale.objects.count()
    monkeypatch.undo()
    again = visitor.post(f"/stall/{day.pk}/acts/", parcel, content_type="application/json")

    assert refused.status_code == 507
    assert refused.json()["answers"] == []
    assert "full" in refused.json()["error"]
    assert kept == (0, 0)
    assert again.json()["answers"][0]["state"] == "done"
    assert Sale.objects.count() == 1
    assert [*bench_books.disagreements(), *stall_books.disagreements()] == []


@pytest.mark.parametrize(
    ("problem", "status", "words"),
    [
        (FULL, 507, "The disk is full"),
        (READ_ONLY, 503, "The book cannot be written"),
        (_sqlite(sqlite3.SQLITE_BUSY, "database is locked"), 503, "The book is busy"),
    ],
)
def test_a_page_says_what_happened_and_what_to_do(visitor, monkeypatch, problem, status, words):
    monkeypatch.setattr("socktrade.views.book.undo_act", _raises(problem))

    answer = visitor.post("/acts/undo/", {"act": "1"})

    assert answer.status_code == status
    assert words in answer.content.decode()
    assert "Nothing of what you sent was saved." in answer.content.decode()
    assert "no-store" in answer.headers["Cache-Control"]
    assert "Content-Security-Policy" in answer.headers


def test_a_fault_of_the_program_has_a_page_of_its_own_too(visitor, monkeypatch):
    monkeypatch.setattr("socktrade.views.book.find_things", _fail)

    answer = visitor.get("/find/?q=sock")

    assert answer.status_code == 500
    assert "Something went wrong" in answer.content.decode()
    assert "Nothing of what you sent" not in answer.content.decode()


def _fail(*_args):
    msg = "a fault"
    raise KeyError(msg)


def test_a_secret_that_a_full_disk_left_empty_is_made_once_there_is_room(tmp_path):
    (tmp_path / "secret-key").touch()

    made = folders.load_or_make_secret(tmp_path)

    assert len(made) > 40
    assert folders.load_or_make_secret(tmp_path) == made


def test_the_icon_is_found_at_the_usual_place(client):
    answer = client.get("/favicon.ico")

    assert answer.status_code == 302
    assert answer.url.endswith("icons/sock.svg")
