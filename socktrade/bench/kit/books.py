"""Books of a given age, each in a folder of its own, and programs run inside them."""

import json
import os
import shutil
import subprocess
import sys
import tempfile
from functools import cache
from pathlib import Path
from typing import Any

from django.conf import settings

SEED = 20


def book_of(seasons: int, folder: Path | None = None) -> Path:
    """Return the data folder of a book with so many seasons in it, made once a run.

    Args:
        seasons: How many seasons of one maker.
        folder: Where books are kept from run to run; without one they go with the run.

    Raises:
        ValueError: If `seasons` is not 1 to 100.
    """
    if not 1 <= seasons <= 100:
        msg = f"seasons is {seasons}; 1 to 100 would do."
        raise ValueError(msg)
    data = (folder or Path(_passing().name)) / f"seasons-{seasons}"
    if not (data / "ready").exists():
        shutil.rmtree(data, ignore_errors=True)
        data.mkdir(parents=True)
        _manage(data, "migrate", "--verbosity", "0")
        _manage(data, "make_history", "--seasons", str(seasons), "--seed", str(SEED))
        (data / "ready").touch()
    # A book kept from an earlier run may be older than the program.
    _manage(data, "migrate", "--verbosity", "0")
    _manage(data, "collectstatic", "--verbosity", "0", "--no-input")
    return data


@cache
def _passing() -> tempfile.TemporaryDirectory[str]:
    """Return a folder that goes when this process ends."""
    return tempfile.TemporaryDirectory(prefix="socktrade-bench-")


def copied(data: Path) -> tempfile.TemporaryDirectory[str]:
    """Return a passing copy of a book, for what changes it."""
    holder = tempfile.TemporaryDirectory(prefix="socktrade-bench-")
    shutil.copytree(data, holder.name, dirs_exist_ok=True)
    return holder


def run_inside(data: Path, module: str, call: str) -> Any:
    """Run a function of a module in a process that has this book open; return what it says.

    The function returns something that JSON can carry.
    """
    program = (
        "import django; django.setup(); import json, sys; "
        f"from {module} import {call.partition('(')[0]}; "
        f"sys.stdout.write(json.dumps({call}) + chr(10))"
    )
    done = subprocess.run(  # noqa: S603 - our own words only
        [sys.executable, "-c", program],
        cwd=settings.BASE_DIR, capture_output=True, text=True, check=False, env=surroundings(data),
    )  # fmt: skip
    if done.returncode:
        msg = f"{module}.{call} broke off: {done.stderr.strip()[-2000:]}"
        raise RuntimeError(msg)
    return json.loads(done.stdout.splitlines()[-1])


def surroundings(data: Path) -> dict[str, str]:
    """Return the environment of a process that has this book open."""
    named = {
        "SOCKTRADE_DATA": str(data),
        "SOCKTRADE_BOOK": "book",
        "SOCKTRADE_DEBUG": "",
        "DJANGO_SETTINGS_MODULE": "socktrade.settings",
    }
    kept = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    return {**kept, **named}


def _manage(data: Path, *words: str) -> None:
    subprocess.run(  # noqa: S603 - our own words only
        [sys.executable, "manage.py", *words],
        cwd=settings.BASE_DIR, check=True, stdout=subprocess.DEVNULL, env=surroundings(data),
    )  # fmt: skip
