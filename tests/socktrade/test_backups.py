"""Copies of a book that is a file of its own, made and put back by the commands."""

import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def manage(tmp_path):
    """Run a command on a book in an empty data folder."""
    kept = {key: os.environ[key] for key in ("PATH", "HOME", "LANG") if key in os.environ}

    def run(*words, **more):
        return subprocess.run(
            [sys.executable, "manage.py", *words],
            cwd=ROOT,
            env={**kept, "SOCKTRADE_DATA": str(tmp_path), **more},
            capture_output=True,
            text=True,
            check=False,
        )

    assert run("migrate", "-v0").returncode == 0
    return run


def test_a_restored_copy_is_the_book_again_and_the_former_book_is_kept(manage, tmp_path):
    book, copy = tmp_path / "book.sqlite3", tmp_path / "copy.sqlite3"
    named = manage("shell", "-v0", "-c", "Workshop.objects.create(pk=1, name='before')")
    assert named.returncode == 0, named.stderr

    backed_up = manage("backup", str(copy))
    with closing(sqlite3.connect(book)) as rows:
        rows.execute("UPDATE socktrade_workshop SET name = 'after'")
        rows.commit()
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


def test_an_older_copy_is_brought_up_to_this_program(manage, tmp_path):
    old, env = tmp_path / "old", {"SOCKTRADE_DATA": str(tmp_path / "old")}
    for app, name in (("sales", "0003"), ("production", "0004"), ("socktrade", "0003")):
        assert manage("migrate", app, name, "-v0", **env).returncode == 0
    copy = tmp_path / "copy.sqlite3"
    assert manage("backup", str(copy), **env).returncode == 0
    assert "sales_phoneact" in _tables_in(old / "book.sqlite3")
    assert "sales_stallpass" not in _tables_in(copy)

    restored = manage("restore", str(copy))

    assert restored.returncode == 0, restored.stderr
    assert "sales_stallpass" in _tables_in(tmp_path / "book.sqlite3")
    assert manage("check_books").returncode == 0


def test_a_book_that_is_open_is_not_taken_from_under_the_app(manage, tmp_path):
    copy = tmp_path / "copy.sqlite3"
    manage("backup", str(copy))
    with closing(sqlite3.connect(tmp_path / "book.sqlite3")) as app:
        app.execute("PRAGMA journal_mode=WAL")
        app.execute("SELECT count(*) FROM production_act").fetchone()

        done = manage("restore", str(copy))

    assert done.returncode == 1
    assert "Stop the app first" in done.stderr
    assert not (tmp_path / "book.sqlite3.before-restore-1").exists()


def test_a_copy_whose_rows_point_at_nothing_is_refused(manage, tmp_path):
    copy = tmp_path / "copy.sqlite3"
    manage("backup", str(copy))
    with closing(sqlite3.connect(copy)) as rows:
        rows.execute(
            "INSERT INTO sales_designseason (design_id, ends_on) VALUES (77, '2026-01-01')"
        )
        rows.commit()

    done = manage("restore", str(copy))

    assert done.returncode == 1
    assert "points at nothing in patterns_design" in done.stderr


def test_a_copy_is_one_file_whole_by_itself(manage, tmp_path):
    (tmp_path / "out").mkdir()
    manage("backup", str(tmp_path / "out" / "copy.sqlite3"))

    assert [path.name for path in (tmp_path / "out").iterdir()] == ["copy.sqlite3"]


def _tables_in(path):
    with closing(sqlite3.connect(path)) as rows:
        return {row[0] for row in rows.execute("SELECT name FROM sqlite_master")}


def _name_in(path):
    with sqlite3.connect(path) as rows:
        return rows.execute("SELECT name FROM socktrade_workshop").fetchone()[0]
