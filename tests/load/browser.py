"""A browser without a screen: cookies, forms, and every answer timed."""

import html
import http.client
import json
import re
import time
import urllib.parse
from collections.abc import Callable, Iterable
from http.cookies import SimpleCookie
from typing import Any

PATIENCE_SECONDS = 120
SAID = re.compile(r'<div class="done (\w*)">\s*<p>(.*?)</p>', re.DOTALL)


class GoneError(Exception):
    """Nobody answered: what became of the request is not known."""


class Answer:
    """One answer of the server."""

    def __init__(self, answer: http.client.HTTPResponse) -> None:
        self.status = answer.status
        self.location = answer.getheader("Location", "")
        self.cookies = answer.headers.get_all("Set-Cookie") or []
        self.text = answer.read().decode("utf-8", "replace")

    def found(self, pattern: str) -> list[str]:
        """Return what a pattern finds on the page, as a person reads it."""
        return [html.unescape(text) for text in re.findall(pattern, self.text)]

    def said(self) -> list[str]:
        """Return what the page says was done or refused, the newest last."""
        return [" ".join(html.unescape(text).split()) for _, text in SAID.findall(self.text)]


class Browser:
    """Cookies and forms of one person. A new connection for each request, as after a restart."""

    def __init__(self, port: int, clock: Callable[[str, float], None]) -> None:
        self.port, self.clock = port, clock
        self.cookies: dict[str, str] = {}

    def get(self, path: str, kind: str = "page") -> Answer:
        """Open a page."""
        return self._ask(kind, "GET", path)

    def post(self, path: str, fields: Iterable[tuple[str, Any]], kind: str = "act") -> Answer:
        """Send a form."""
        body = urllib.parse.urlencode(list(fields))
        return self._ask(kind, "POST", path, body, "application/x-www-form-urlencoded")

    def post_json(self, path: str, said: Any) -> Answer:
        """Send what a script of the page would send."""
        return self._ask("act", "POST", path, json.dumps(said), "application/json")

    def sign_in(self, name: str, password: str) -> None:
        """Sign in by the page for it."""
        self.get("/sign-in/", "sign-in")
        fields = [("username", name), ("password", password)]
        answer = self.post("/sign-in/", fields, "sign-in")
        if answer.status != 302:
            message = f"{name} could not sign in: {answer.status} {answer.said()}"
            raise AssertionError(message)

    def _ask(self, kind: str, method: str, path: str, body: str = "", sort: str = "") -> Answer:
        headers = {"Cookie": "; ".join(f"{name}={text}" for name, text in self.cookies.items())}
        if method == "POST":
            headers["Content-Type"] = sort
            headers["X-CSRFToken"] = self._token()
        link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE_SECONDS)
        began = time.perf_counter()
        try:
            link.request(method, path, body or None, headers)
            answer = Answer(link.getresponse())
        except (OSError, http.client.HTTPException) as problem:
            message = f"{method} {path}: {problem!r}"
            raise GoneError(message) from problem
        finally:
            link.close()
        self.clock(kind, time.perf_counter() - began)
        self._keep(answer.cookies)
        return answer

    def _token(self) -> str:
        return next((text for name, text in self.cookies.items() if name.endswith("_csrf")), "")

    def _keep(self, lines: list[str]) -> None:
        for line in lines:
            for name, morsel in SimpleCookie(line).items():
                if morsel["max-age"] == "0" or not morsel.value:
                    self.cookies.pop(name, None)
                else:
                    self.cookies[name] = morsel.coded_value
