"""The serving process, started and killed as a whole."""

import os
import signal
import subprocess
import sys
import time
import urllib.error
import urllib.request
from contextlib import suppress
from pathlib import Path

from tests.socktrade.house import ROOT
from tests.socktrade.opened import free_port

PATIENCE_SECONDS = 120
WORKERS = 3


class Server:
    """`manage.py open`, or gunicorn with several workers where a database server is named."""

    def __init__(self, folder: Path) -> None:
        self.port = free_port()
        self.log = folder / "server.log"
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Start it; it is not ready yet."""
        if self._process is not None:
            message = "It is running already: kill it first."
            raise AssertionError(message)
        with self.log.open("ab") as log:
            self._process = subprocess.Popen(
                [sys.executable, *self._words()],
                cwd=ROOT,
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=log,
                start_new_session=True,
            )

    def wait_ready(self) -> None:
        """Wait until it answers."""
        until = time.monotonic() + PATIENCE_SECONDS
        address = f"http://127.0.0.1:{self.port}/health/"
        while time.monotonic() < until and self._process and self._process.poll() is None:
            try:
                with urllib.request.urlopen(address, timeout=5):
                    break
            except (OSError, urllib.error.URLError):
                time.sleep(0.02)
        if self._process is None or self._process.poll() is not None or time.monotonic() > until:
            message = f"The server did not come up:\n{self.said()}"
            raise AssertionError(message)

    def kill(self) -> None:
        """End every process of it with SIGKILL: none of them can tidy up."""
        if self._process is None:
            return
        gone = self._process.poll() is not None
        with suppress(ProcessLookupError):
            os.killpg(self._process.pid, signal.SIGKILL)
        self._process.wait()
        self._process = None
        if gone:
            message = f"The server was gone before it was killed:\n{self.said()}"
            raise AssertionError(message)

    def said(self) -> str:
        """Return the end of what it printed."""
        return self.log.read_text(encoding="utf-8", errors="replace")[-4000:]

    def _words(self) -> list[str]:
        if not os.environ.get("DATABASE_URL"):
            return ["manage.py", "open", "--port", str(self.port)]
        bind = f"127.0.0.1:{self.port}"
        return ["-m", "gunicorn", "socktrade.wsgi", "--workers", str(WORKERS), "--bind", bind]
