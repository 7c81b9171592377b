"""Log lines that a machine can read: one JSON object each."""

import datetime as dt
import json
import logging
import time
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from socktrade.guild.standing import book_name

LOG = logging.getLogger("socktrade.requests")
SECRET = frozenset({"secret", "token"})
"""Names in addresses whose values open doors, and so stay out of any log."""


class JsonFormatter(logging.Formatter):
    """Writes time, level, source, words and book, and what a record carries besides."""

    def format(self, record: logging.LogRecord) -> str:
        """Return one line."""
        line = {
            "time": dt.datetime.fromtimestamp(record.created, dt.UTC).isoformat(),
            "level": record.levelname,
            "logger": record.name,
            "message": record.getMessage(),
            "book": book_name(),
            **getattr(record, "answer", {}),
        }
        if record.exc_info:
            line["trouble"] = self.formatException(record.exc_info)
        return json.dumps(line, default=str)


class RequestLogMiddleware:
    """Logs every request; comes first of all, so that its time is the whole time."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, and write the line."""
        began = time.perf_counter()
        response = self.get_response(request)
        answer = {
            "book": getattr(request, "book", book_name()),
            "method": request.method,
            "path": told_path(request),
            "status": response.status_code,
            "ms": round((time.perf_counter() - began) * 1000, 1),
        }
        LOG.info("request", extra={"answer": answer})
        return response


def told_path(request: HttpRequest) -> str:
    """Return the path without what opens doors; of an unknown address only the first word."""
    found = request.resolver_match
    if found is None:
        first, slash, _rest = request.path.lstrip("/").partition("/")
        return f"/{first}{slash}"
    path = request.path
    for name in SECRET & found.kwargs.keys():
        path = path.replace(str(found.kwargs[name]), "***")
    return path
