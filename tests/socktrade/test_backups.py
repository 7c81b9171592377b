"""Copies of a book that is a file of its own, made and put back by the commands."""

import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def manage(tmp_path):
    """Run a command on a book in an empty data folder."""
    kept = {key: os.environ[key] for key in ("PATH", "HOME", "LANG") if key in os.environ}

    def run(*words):
        return subprocess.run(
            [sys.executable, "manage.py", *words],
            cwd=ROOT,
            env={**kept, "SOCKTRADE_DATA": str(tmp_path)},
            capture_output=True,
            text=True,
            check=False,
        )

    assert run("migrate", "-v0").returncode == 0
    return run


def test_a_restored_copy_is_the_book_again_and_the_former_book_is_kept(manage, tmp_path):
    book, copy = tmp_path / "book.sqlite3", tmp_path / "copy.sqlite3"
    with sqlite3.connect(book) as rows:
        columns = [row[1] for row in rows.execute("PRAGMA table_info(socktrade_workshop)")]
        values = dict.fromkeys(columns, 1) | {"name": "before"}
        rows.execute(
            f"INSERT INTO socktrade_workshop ({', '.join(values)})"  # noqa: S608
            f" VALUES ({', '.join('?' * len(values))})",
            list(values.values()),
        )

    backed_up = manage("backup", str(copy))
    with sqlite3.connect(book) as rows:
        rows.execute("UPDATE socktrade_workshop SET name = 'after'")
    restored = manage("restore", str(copy))

    assert "the copy is sound" in backed_up.stdout
    assert restored.returncode == 0, restored.stderr
    assert _name_in(book) == "before"
    assert _name_in(tmp_path / "book.sqlite3.before-restore-1") == "after"


def test_backup_never_writes_over_a_file(manage, tmp_path):
    taken = tmp_path / "taken"
    taken.write_text("mine")

    done = manage("backup", str(taken))

    assert done.returncode == 1
    assert "is there already" in done.stderr
    assert taken.read_text() == "mine"


@pytest.mark.parametrize("content", [b"", b"no book at all" * 400])
def test_restore_refuses_what_is_no_book(manage, tmp_path, content):
    other = tmp_path / "other"
    other.write_bytes(content)

    done = manage("restore", str(other))

    assert done.returncode == 1
    assert "is no book of Socktrade" in done.stderr
    assert (tmp_path / "book.sqlite3").exists()


def test_restore_refuses_a_book_of_a_newer_program(manage, tmp_path):
    copy = tmp_path / "copy.sqlite3"
    manage("backup", str(copy))
    with sqlite3.connect(copy) as rows:
        rows.execute(
            "INSERT INTO django_migrations (app, name, applied)"
            " VALUES ('sales', '9999_later', '2030-01-01')"
        )

    done = manage("restore", str(copy))

    assert done.returncode == 1
    assert "newer Socktrade (sales 9999_later)" in done.stderr


def _name_in(path):
    with sqlite3.connect(path) as rows:
        return rows.execute("SELECT name FROM socktrade_workshop").fetchone()[0]
