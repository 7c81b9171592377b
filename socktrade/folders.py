"""Where the book lives on this machine. Standard library and platformdirs only."""

import os
import secrets
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
        if not path.exists():
            path.touch(mode=0o600)
            path.write_text(secrets.token_urlsafe(48), encoding="utf-8")
        return path.read_text(encoding="utf-8") or secrets.token_urlsafe(48)
    except OSError:
        return secrets.token_urlsafe(48)
