"""Restore each copy whose path comes in by a line into a fresh place, and prove it there.

Answers a line for each: "clean", or what is wrong with it. Runs beside `tests.load.mixed`.
"""

import os
import sys
import tempfile
from pathlib import Path


def prove(copy: Path, folder: Path) -> str:
    """Return what is wrong with a copy once it is restored, or "clean"."""
    from django.db import DatabaseError

    from socktrade.backups import BackupError, looking_into, restore
    from tests.load.ground import disagreements

    try:
        with looking_into(folder / "book.sqlite3", to_write=True):
            restore(copy)
            lines = disagreements()
    except (BackupError, DatabaseError) as problem:
        lines = [str(problem)]
    return lines[0] if lines else "clean"


def main() -> None:
    """Answer line by line."""
    import django

    django.setup()
    for line in sys.stdin:
        copy = Path(line.strip())
        with tempfile.TemporaryDirectory(dir=copy.parent) as folder:
            print(prove(copy, Path(folder)), flush=True)  # noqa: T201
        copy.unlink()


if __name__ == "__main__":
    if hasattr(os, "nice"):
        os.nice(10)  # the figures are of the server, not of this
    main()
