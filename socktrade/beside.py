"""The invented demo, opened beside a person's own book in a process of its own.

Two processes and two files: nothing done in the demo can reach her book. The demo lives as
long as the one that started it, which holds the other end of its standard input.
"""

import os
import re
import signal
import socket
import subprocess
import sys
import threading
from dataclasses import dataclass

from django.conf import settings

from patterns.core.words import say

MOST_SAID = 4000
ENDS_WITH_INPUT = "SOCKTRADE_ENDS_WITH_INPUT"


@dataclass(slots=True)
class DemoBeside:
    """The demo's process as far as it is known: on its way, open at a port, or in trouble."""

    port: int
    child: subprocess.Popen[str]
    path: str = ""
    said: str = ""

    @property
    def trouble(self) -> str:
        """What it said when it ended; empty while it runs."""
        if self.child.poll() is None:
            return ""
        ended = say("It ended with {code}.", code=self.child.returncode)
        return self.said.strip() or ended


_host = ""
_demo: DemoBeside | None = None
_turn = threading.Lock()


def serve_beside(host: str) -> None:
    """Remember that this process serves a book by itself, so that it can open the demo too."""
    global _host  # noqa: PLW0603 - there is one address for the process
    _host = "" if settings.IS_DEMO else host


def can_open_demo() -> bool:
    """Say whether a demo can be opened from here: not under a hosting server, nor in the demo."""
    return bool(_host)


def open_demo() -> None:
    """Begin to open the demo, unless it is open or on its way."""
    global _demo  # noqa: PLW0603 - there is one demo for the process
    with _turn:
        if _demo is None or _demo.trouble:
            _demo = _start()


def demo_beside() -> DemoBeside | None:
    """Return the demo that was opened from here, or None."""
    return _demo


def _start() -> DemoBeside:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    child = subprocess.Popen(  # noqa: S603 - our own words, and the host this process was given
        [sys.executable, "manage.py", "open", "--demo", "--host", _host, "--port", str(port)],
        cwd=settings.BASE_DIR,
        env={**os.environ, ENDS_WITH_INPUT: "1"},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    demo = DemoBeside(port, child)
    threading.Thread(target=_listen, args=(demo,), daemon=True).start()
    return demo


def _listen(demo: DemoBeside) -> None:
    """Take what it says to the end: it would stop once nobody did."""
    for line in demo.child.stdout or ():
        demo.said = (demo.said + line)[-MOST_SAID:]
        if found := re.search(rf"http://\S+:{demo.port}(/\S+)", line):
            demo.path = found[1]


def end_with_input() -> None:
    """Close this process when the one that started it is gone, if that was asked for."""
    if os.environ.get(ENDS_WITH_INPUT) == "1":
        threading.Thread(target=_wait_for_end, daemon=True).start()


def _wait_for_end() -> None:
    sys.stdin.read()
    os.kill(os.getpid(), signal.SIGTERM)
