"""Start and memory: from the command to the first page, and what the process holds.

The book is opened twice; the second start is the one that a maker sees every morning.
"""

import os
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path
from typing import Any

from django.conf import settings

from socktrade.bench import Asked, Say, flag
from socktrade.bench.kit.books import book_of, copied, run_inside, surroundings
from socktrade.bench.pages import plain_addresses, signed_in

TITLE = "Start: from the command to the first page, and memory before and after the first PDF"

TARGET_S, TARGET_MB = 2.5, 150.0
PATIENCE_S = 60
VISITS = ("today", "production:basket_list", "sales:shelf", "sales:sells", "sales:make", "find")
PDF = "production:price_board"


def run(say: Say, asked: Asked) -> None:
    """Open the youngest book twice, walk through it, and print a paper."""
    with copied(book_of(asked.seasons[0], asked.folder)) as folder:
        data = Path(folder)
        ways = run_inside(data, __name__, "way_in()")
        first = _opened(data, ways)
        second = _opened(data, ways)
    took, memory, paper = second["took_s"], second["memory_mb"], second["paper_mb"]
    say(f"  first start {first['took_s']:.2f} s")
    say(f"  second start {took:.2f}{flag(took > TARGET_S)} s, target {TARGET_S:g} s")
    say(
        f"  memory {memory:.0f}{flag(memory > TARGET_MB)} MB after {len(ways['pages'])} pages, "
        f"target {TARGET_MB:g} MB; {paper:.0f} MB after the first PDF"
    )


def way_in() -> dict[str, Any]:
    """Return the cookie of a signed-in owner and the addresses to visit."""
    client = signed_in()
    known = dict(plain_addresses())
    cookie = client.cookies[settings.SESSION_COOKIE_NAME]
    return {
        "cookie": f"{cookie.key}={cookie.value}",
        "pages": [known[name] for name in VISITS],
        "pdf": known[PDF],
    }


def _opened(data: Path, ways: dict[str, Any]) -> dict[str, float]:
    """Open the book, visit its pages, and close it."""
    port = _free_port()
    site = f"http://127.0.0.1:{port}"
    began = time.perf_counter()
    served = subprocess.Popen(  # noqa: S603 - our own words only
        [sys.executable, "manage.py", "open", "--port", str(port)],
        cwd=settings.BASE_DIR, stdout=subprocess.DEVNULL, env=surroundings(data),
    )  # fmt: skip
    try:
        _ask_until_answered(f"{site}{ways['pages'][0]}", ways["cookie"])
        took = time.perf_counter() - began
        for page in ways["pages"]:
            _ask(f"{site}{page}", ways["cookie"])
        memory = _memory_mb(served.pid)
        _ask(f"{site}{ways['pdf']}", ways["cookie"])
        return {"took_s": took, "memory_mb": memory, "paper_mb": _memory_mb(served.pid)}
    finally:
        served.terminate()
        served.wait(timeout=PATIENCE_S)


def _ask(address: str, cookie: str) -> None:
    request = urllib.request.Request(address, headers={"Cookie": cookie})  # noqa: S310
    with urllib.request.urlopen(request, timeout=PATIENCE_S) as answer:  # noqa: S310
        answer.read()


def _ask_until_answered(address: str, cookie: str) -> None:
    """Ask until somebody answers.

    Raises:
        TimeoutError: If nobody does in a minute.
    """
    until = time.perf_counter() + PATIENCE_S
    while time.perf_counter() < until:
        try:
            return _ask(address, cookie)
        except urllib.error.HTTPError:
            raise
        except (urllib.error.URLError, ConnectionError):
            time.sleep(0.02)
    msg = f"{address} did not answer within {PATIENCE_S} s."
    raise TimeoutError(msg)


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
    return port


def _memory_mb(pid: int) -> float:
    """Return what a process holds in memory now [MB], not a number where that is not told."""
    told = Path(f"/proc/{pid}/statm")
    if not told.exists():
        return float("nan")
    pages = int(told.read_text(encoding="ascii").split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6
