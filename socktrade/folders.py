"""Where the book lives on this machine. Standard library and platformdirs only."""

import os
import secrets
from contextlib import suppress
from pathlib import Path

import platformdirs


def data_folder() -> Path:
    """Return the folder of books, keys and collected assets; it may not exist yet."""
    named = os.environ.get("SOCKTRADE_DATA")
    return Path(named) if named else Path(platformdirs.user_data_dir("socktrade", appauthor=False))


def book_file(folder: Path, book: str) -> Path:
    """Return the database file of one book; the demo never shares a file with hers."""
    return folder / f"{book}.sqlite3"


def load_or_make_secret(folder: Path) -> str:
    """Return the signing key kept in the data folder, made on first use.

    A folder that cannot be written gives a key for this process only, so that the
    command that follows can explain the folder in plain words instead of failing here.
    """
    path = folder / "secret-key"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        _discard_empty(path)
        if not path.exists():
            _put_secret(path)
        return path.read_text(encoding="utf-8") or secrets.token_urlsafe(48)
    except OSError:
        return secrets.token_urlsafe(48)


def _discard_empty(path: Path) -> None:
    """Remove a key that lost its text in a crash: with it every start would make another one."""
    if path.exists() and path.stat().st_size == 0:
        path.unlink(missing_ok=True)


def _put_secret(path: Path) -> None:
    """Write a key under another name first, so that it is never there half written.

    Of several processes that start at once the first one's key stays; all read that one.
    """
    part = path.with_name(f"{path.name}.{secrets.token_hex(4)}")
    try:
        part.touch(mode=0o600)
        part.write_text(secrets.token_urlsafe(48), encoding="utf-8")
        with suppress(FileExistsError):
            _give_name(part, path)
    finally:
        part.unlink(missing_ok=True)


def _give_name(part: Path, path: Path) -> None:
    try:
        os.link(part, path)
    except FileExistsError:
        raise
    except OSError:  # a disk without hard links
        part.replace(path)
