"""A real `manage.py open` in a process of its own, and a visitor with cookies."""

import http.cookiejar
import os
import queue
import re
import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.parse
import urllib.request
from pathlib import Path

from tests.socktrade.house import ROOT

PATIENCE_SECONDS = 120
FRAME_LINES = 2  # what it says stands between two rules


def free_port() -> int:
    """Return a port that nobody serves on just now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def environment(data: Path, **more: str) -> dict[str, str]:
    """Return the environment of a person's terminal, with the book kept in `data`."""
    plain = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("SOCKTRADE_", "DJANGO_", "PYTEST_")) and name != "DATABASE_URL"
    }
    return {**plain, "SOCKTRADE_DATA": str(data), "PYTHONUNBUFFERED": "1", **more}


def manage(data: Path, *words: str, **more: str) -> subprocess.CompletedProcess[str]:
    """Run one command to its end."""
    return subprocess.run(
        [sys.executable, "manage.py", *words],
        cwd=ROOT,
        env=environment(data, **more),
        capture_output=True,
        text=True,
        timeout=PATIENCE_SECONDS,
        check=False,
    )


def setting(data: Path, name: str, **more: str) -> str:
    """Return one setting as a process of its own reads it."""
    said = subprocess.run(
        [sys.executable, "-c", f"from django.conf import settings; print(settings.{name})"],
        cwd=ROOT,
        env=environment(data, DJANGO_SETTINGS_MODULE="socktrade.settings", **more),
        capture_output=True,
        text=True,
        check=True,
    )
    return said.stdout.strip()


class OpenBook:
    """The open command at work; use it in a `with`."""

    def __init__(self, data: Path, *words: str, **more: str) -> None:
        self.port = free_port()
        self.address = f"http://localhost:{self.port}"
        self.said = ""
        self._lines: queue.Queue[str] = queue.Queue()
        self._process = subprocess.Popen(
            [sys.executable, "manage.py", "open", "--port", str(self.port), *words],
            cwd=ROOT,
            env=environment(data, **more),
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _read(self) -> None:
        for line in self._process.stdout:
            self._lines.put(line)
        self._lines.put("")

    def __enter__(self) -> "OpenBook":
        until = time.monotonic() + PATIENCE_SECONDS
        while len(re.findall("^={9,}$", self.said, re.MULTILINE)) < FRAME_LINES:
            line = self._next_line(until)
            if not line:
                self.stop()
                message = f"open never said where to go:\n{self.said}"
                raise AssertionError(message)
            self.said += line
        return self

    def _next_line(self, until: float) -> str:
        try:
            return self._lines.get(timeout=max(0.1, until - time.monotonic()))
        except queue.Empty:
            return ""

    def __exit__(self, *_problem: object) -> None:
        self.stop()

    @property
    def link(self) -> str:
        """The address that it printed."""
        return re.search(r"http://\S+", self.said)[0]

    def stop(self, how: signal.Signals = signal.SIGINT) -> int:
        """Press Ctrl+C or the like, and return how the command ended."""
        if self._process.poll() is None:
            self._process.send_signal(how)
        code = self._process.wait(timeout=30)
        self._reader.join(timeout=30)
        self._process.stdout.close()
        return code


class Visitor:
    """A browser's cookies and forms, without the browser."""

    def __init__(self) -> None:
        cookies = urllib.request.HTTPCookieProcessor(http.cookiejar.CookieJar())
        self._opener = urllib.request.build_opener(urllib.request.ProxyHandler({}), cookies)

    def get(self, address: str, **headers: str):
        """Return status, headers, body and where it ended up."""
        return self._answer(urllib.request.Request(address, headers=headers))  # noqa: S310

    def send(self, address: str, **fields: str):
        """Fill in the form at an address and send it."""
        page = self.get(address)
        token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', page.text)[1]
        return self.post(address, csrfmiddlewaretoken=token, **fields)

    def post(self, address: str, **fields: str):
        """Send fields as they are."""
        body = urllib.parse.urlencode(fields).encode()
        return self._answer(urllib.request.Request(address, data=body))  # noqa: S310

    def _answer(self, request):
        try:
            with self._opener.open(request, timeout=30) as answer:
                return Page(answer)
        except urllib.error.HTTPError as refusal:
            with refusal:
                return Page(refusal)


class Page:
    """One answer."""

    def __init__(self, answer) -> None:
        self.status = answer.status
        self.headers = answer.headers
        self.raw = answer.read()
        self.text = self.raw.decode("utf-8", errors="replace")
        self.path = urllib.parse.urlsplit(answer.url).path
