"""Log lines for machines."""

import json
import logging
import sys

import pytest
from django.http import HttpResponse

from socktrade import logs
from tests.socktrade.opened import setting


@pytest.fixture
def lines(monkeypatch):
    """What the log of requests says, each line read back."""
    told = []

    class Keep(logging.Handler):
        def emit(self, record):
            told.append(json.loads(logs.JsonFormatter().format(record)))

    handler = Keep()
    logs.LOG.addHandler(handler)
    yield told
    logs.LOG.removeHandler(handler)


@pytest.fixture
def logged(settings, lines):
    settings.MIDDLEWARE = ["socktrade.logs.RequestLogMiddleware", *settings.MIDDLEWARE]
    return lines


def test_a_request_is_one_line(logged, page):
    page.get("/glossary/?q=hush")

    (line,) = logged
    assert line.pop("ms") >= 0
    assert line.pop("time").endswith("+00:00")
    assert line == {
        "level": "INFO", "logger": "socktrade.requests", "message": "request", "book": "book",
        "method": "GET", "path": "/glossary/", "status": 200,
    }  # fmt: skip


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("address", "told"),
    [
        ("/start/open-sesame/", "/start/***/"),
        ("/stall/in/open-sesame/", "/stall/in/***/"),
        ("/stall/in/open-sesame", "/stall/"),
        ("/no-such-page/open-sesame/", "/no-such-page/"),
    ],
)
def test_what_opens_doors_stays_out_of_the_log(address, told, logged, client):
    client.get(address)

    assert [line["path"] for line in logged] == [told]


def test_trouble_is_told_in_the_same_line():
    try:
        int("odd sock")
    except ValueError:
        record = logging.LogRecord("django", 40, "x", 1, "Broke: %s", ("seam",), sys.exc_info())

    line = logs.JsonFormatter().format(record)

    assert "\n" not in line
    assert json.loads(line)["message"] == "Broke: seam"
    assert "odd sock" in json.loads(line)["trouble"]


def test_the_log_is_for_machines_when_asked(tmp_path):
    assert "RequestLog" not in setting(tmp_path, "MIDDLEWARE")
    assert "RequestLog" in setting(tmp_path, "MIDDLEWARE", SOCKTRADE_LOG="json")
    formatter = "LOGGING['handlers']['console']['formatter']"
    assert setting(tmp_path, formatter, SOCKTRADE_LOG="json") == "json"


def test_it_times_the_whole_answer(logged, rf):
    logs.RequestLogMiddleware(lambda _request: HttpResponse("Yes"))(rf.get("/"))

    assert [line["status"] for line in logged] == [200]
