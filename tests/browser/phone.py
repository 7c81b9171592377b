"""A phone at the stall: a Chromium with a profile of its own that can be cut off and killed."""

import contextlib
import os
import signal
import threading
import time
from pathlib import Path

from django.conf import settings
from django.db import connection
from django.test import Client

from sales.services import sync
from tests.browser.chromium import ARGS, find_chromium

SIZE = {"width": 360, "height": 740}
A_YEAR_S = 31_536_000

WAITING = """async () => {
  const { open } = await import("/static/js/till/store.js");
  return (await (await open()).getAllFromIndex("acts", "state", "waiting")).length;
}"""
KEPT_KEYS = """async () => {
  const { open } = await import("/static/js/till/store.js");
  return (await (await open()).getAll("acts")).map((act) => act.key);
}"""
STORED = "navigator.serviceWorker.ready.then(() => !!navigator.serviceWorker.controller)"


def take_turns(monkeypatch):
    """Let parcels in one by one.

    The threads of the test server share one connection to the database in memory, so that a
    rollback of one would undo the rows of another. A served book has one for each thread.
    """
    if connection.vendor != "sqlite":
        return  # a server gives each thread a connection of its own, as a served book has
    turn, receive = threading.Lock(), sync.receive

    def received(parcel):
        with turn:
            return receive(parcel)

    monkeypatch.setattr(sync, "receive", received)


class Phone:
    """One phone with the till on it."""

    def __init__(self, chromium, site, folder, user):
        self.launch = chromium.browser_type.launch_persistent_context
        self.site, self.folder, self.user = site, Path(folder), user
        self.troubles = []
        self.handler = None
        self.offline = False
        self.start()
        self.context.add_cookies([self._session()])
        # Chromium writes cookies down now and then: a sign-in of this second would be lost.
        self.context.close()
        self.start()

    def start(self):
        self.context = self.launch(
            str(self.folder),
            executable_path=find_chromium(),
            args=ARGS,
            base_url=self.site,
            viewport=SIZE,
        )
        self.context.set_default_timeout(10_000)
        self.page = self.context.pages[0]
        self.page.on("pageerror", lambda error: self.troubles.append(str(error)))
        if self.handler:
            self.context.route("**/acts/", self.handler)
        self.context.set_offline(self.offline)

    def open(self, day=None):
        self.page.goto(f"/stall/till/?day={day.pk}" if day else "/stall/till/")
        self.page.wait_for_selector("html[data-ready=yes]")

    def keep_the_till(self):
        """Wait until the worker holds everything and answers for the page."""
        self.page.wait_for_function(STORED)

    def cut_off(self, *, cut=True):
        self.offline = cut
        self.context.set_offline(cut)

    def meet(self, handler):
        self.handler = handler
        self.context.route("**/acts/", handler)

    def kill(self):
        """End the browser as a drained battery does: no goodbye, nothing flushed."""
        name = str(self.folder).encode()
        mine = [
            int(entry.name)
            for entry in Path("/proc").iterdir()
            if entry.name.isdecimal() and name in _command_of(entry)
        ]
        for pid in mine:
            try:
                os.kill(pid, signal.SIGKILL)
            except ProcessLookupError:
                continue
        with contextlib.suppress(Exception):  # it is dead already
            self.context.close()
        for left in self.folder.glob("Singleton*"):
            left.unlink()
        self.start()

    def close(self):
        self.context.unroute_all(behavior="ignoreErrors")
        self.page.goto("about:blank")
        self.page.wait_for_timeout(200)  # what is on its way to the book arrives
        self.context.close()

    def run(self, script, *values):
        return self.page.evaluate(script, list(values))

    def waiting(self):
        return self.page.evaluate(WAITING)

    def act_keys(self):
        return self.page.evaluate(KEPT_KEYS)

    def send_all(self, *, seconds=20):
        """Send until nothing waits."""
        until = time.monotonic() + seconds
        while self.waiting():
            assert time.monotonic() < until, f"{self.waiting()} acts still wait"
            self.page.evaluate("document.getElementById('send-now').click()")
            self.page.wait_for_timeout(100)

    def _session(self):
        client = Client()
        client.force_login(self.user)
        return {
            "name": settings.SESSION_COOKIE_NAME,
            "value": client.cookies[settings.SESSION_COOKIE_NAME].value,
            "url": self.site,
            "expires": int(time.time()) + A_YEAR_S,
        }


def _command_of(entry):
    try:
        return (entry / "cmdline").read_bytes()
    except OSError:
        return b""
