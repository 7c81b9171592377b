"""A small disk, full for real: the commands and the served book say so, and lose nothing.

As root the disk is a small file system in memory. For others it is a limit on the size of a
file, at which the system answers much the same.
"""

import os
import resource
import shutil
import signal
import subprocess
import sys
import zipfile

import pytest

from tests.socktrade.house import ROOT
from tests.socktrade.opened import OpenBook, Visitor, environment, manage
from tests.socktrade.test_open import OWNER

ROOM = "12m"
KINDS = ("backup", "export", "import")


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A book with an owner, and an export of it."""
    folder = tmp_path_factory.mktemp("made")
    with OpenBook(folder) as book:
        assert Visitor().send(book.link, **OWNER).status == 200
    exported = manage(folder, "export", str(folder / "book.zip"))
    assert exported.returncode == 0, exported.stderr
    return folder


class SmallDisk:
    """A place with little room; `fill` leaves none."""

    def __init__(self, folder):
        self.folder = folder
        self.mounted = os.geteuid() == 0 and not _mount(folder, f"size={ROOM}")
        self.filled = False

    def fill(self):
        self.filled = True
        if self.mounted:
            with (self.folder / "ballast").open("wb", buffering=0) as ballast:
                try:
                    while True:
                        ballast.write(bytes(4096))
                except OSError:
                    return

    def empty(self):
        self.filled = False
        (self.folder / "ballast").unlink(missing_ok=True)

    def run(self, *words):
        """Run a command whose data lie here."""
        return subprocess.run(
            [sys.executable, "manage.py", *words],
            cwd=ROOT,
            env=environment(self.folder / "data"),
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
            preexec_fn=None if self.mounted or not self.filled else _small_files,
        )

    def leave(self):
        if self.mounted:
            subprocess.run(["umount", "-l", str(self.folder)], check=True)


def _mount(folder, options):
    words = ["mount", "-t", "tmpfs", "-o", options, "tmpfs", str(folder)]
    return subprocess.run(words, capture_output=True, check=False).returncode


def _small_files():
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))


@pytest.fixture
def disk(tmp_path):
    folder = tmp_path / "disk"
    folder.mkdir()
    small = SmallDisk(folder)
    (folder / "data").mkdir()
    yield small
    small.leave()


@pytest.fixture
def with_book(disk, made):
    shutil.copy(made / "book.sqlite3", disk.folder / "data" / "book.sqlite3")
    shutil.copy(made / "secret-key", disk.folder / "data" / "secret-key")
    return disk


def _words_for(kind, folder, made):
    return {
        "backup": ("backup", str(folder / "copy.sqlite3")),
        "export": ("export", str(folder / "out.zip")),
        "import": ("import_book", str(made / "book.zip")),
        "open": ("open", "--port", "1"),
    }[kind]


@pytest.mark.parametrize("kind", KINDS)
def test_a_command_on_a_full_disk_says_so_and_leaves_no_half_file(kind, disk, made):
    if kind != "import":
        shutil.copy(made / "book.sqlite3", disk.folder / "data" / "book.sqlite3")
    disk.fill()
    before = _files(disk)

    said = disk.run(*_words_for(kind, disk.folder, made))

    assert said.returncode == 1
    assert "Traceback" not in said.stderr
    assert any(word in said.stderr.lower() for word in ("full", "space", "large", "disk"))
    assert {
        name for name in _files(disk) - before if name.endswith((".zip", "copy.sqlite3"))
    } == set()
    disk.empty()
    again = disk.run(*_words_for(kind, disk.folder, made))
    assert again.returncode == 0, again.stderr
    assert disk.run("check_books").returncode == 0


def _files(disk):
    return {path.name for path in disk.folder.rglob("*") if path.name != "ballast"}


def test_opening_on_a_full_disk_says_so(disk):
    disk.fill()

    said = disk.run("open", "--port", "8999")

    assert said.returncode == 1
    assert "Traceback" not in said.stderr
    assert any(word in said.stderr.lower() for word in ("full", "space", "large", "disk"))


def test_a_served_book_on_a_full_disk_refuses_in_words_and_goes_on_after(with_book):
    if not with_book.mounted:
        _refused_by_limit(with_book)
        return
    with OpenBook(with_book.folder / "data") as book:
        owner = _owner(book)
        with_book.fill()
        full = _add_market(owner, book, "Full harbour " * 4)
        read = owner.get(book.address + "/markets/")
        with_book.empty()
        done = _add_market(owner, book, "Roomy quay")
        after = owner.get(book.address + "/markets/")

    assert full.status == 507
    assert "The disk is full" in full.text
    assert "Nothing of what you sent was saved." in full.text
    assert read.status == 200
    assert "Full harbour" not in after.text
    assert done.status == 200
    assert "Roomy quay" in after.text
    assert with_book.run("check_books").returncode == 0


def _refused_by_limit(disk):
    disk.fill()
    assert disk.run("migrate", "sales", "zero").returncode != 0


def _owner(book):
    owner = Visitor()
    signed = owner.send(
        book.address + "/sign-in/", username=OWNER["username"], password=OWNER["password"]
    )
    assert signed.path == "/"
    return owner


def _add_market(owner, book, name):
    return owner.send(
        book.address + "/markets/new/",
        name=name,
        opens="08:00",
        closes="14:00",
        factor="1",
        places_on_table="40",
    )


def test_a_damaged_export_is_no_book(disk, tmp_path):
    broken = tmp_path / "broken.zip"
    with zipfile.ZipFile(broken, "w") as packed:
        packed.writestr("book/manifest.json", "[]")

    said = disk.run("import_book", str(broken))

    assert said.returncode == 1
    assert "Traceback" not in said.stderr
