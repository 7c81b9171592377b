import gzip
import http.server
import json
import re
import signal
import socket
import sqlite3
import subprocess
import sys
import threading
from contextlib import closing
from zoneinfo import ZoneInfo

import pytest

from socktrade.nearby import names_served, outward_address
from tests.socktrade.house import ROOT
from tests.socktrade.opened import OpenBook, Visitor, environment, free_port, manage, setting

OWNER = {
    "username": "maker",
    "password": "undyed-wool-7",
    "name": "Test Bench",
    "town": "Port Ellery",
    "country": "USA",
    "identity": "Test Bench Socks",
    "length_unit": "in",
    "currency": "USD",
    "label_rules": "us",
}


@pytest.fixture(scope="module")
def data(tmp_path_factory):
    return tmp_path_factory.mktemp("book")


@pytest.fixture(scope="module")
def book(data):
    with OpenBook(data) as opened:
        yield opened


@pytest.fixture(scope="module")
def first_run(book):
    """What the printed link led to, and what came of it."""
    stranger, owner, late = Visitor(), Visitor(), Visitor()
    return {
        "before": stranger.get(book.address + "/"),
        "forged": stranger.get(f"{book.address}/start/forged:token:here/"),
        "form": owner.get(book.link),
        "weak": owner.send(book.link, **{**OWNER, "password": "1234"}),
        "made": owner.send(book.link, **OWNER),
        "again": late.get(book.link),
        "owner": owner,
    }


def test_it_says_where_to_go_how_to_stop_and_where_the_book_is(book, data):
    assert book.link.startswith(f"http://localhost:{book.port}/start/")
    assert "Ctrl+C" in book.said
    assert str(data) in book.said


def test_the_printed_link_opens_the_set_up_page(first_run):
    assert first_run["form"].status == 200
    assert "Open your book" in first_run["form"].text


def test_a_weak_password_is_told_at_its_field_and_makes_nobody(first_run):
    assert first_run["weak"].status == 422
    assert "too short" in first_run["weak"].text


def test_the_set_up_page_makes_the_owner_and_leads_to_today(first_run):
    assert (first_run["made"].status, first_run["made"].path) == (200, "/")
    assert "Test Bench" in first_run["made"].text


def test_the_link_works_once(first_run):
    assert first_run["again"].path == "/sign-in/"


def test_pages_are_private(first_run):
    assert first_run["before"].path == "/sign-in/"


def test_a_forged_link_opens_nothing(first_run):
    assert first_run["forged"].status == 403


def test_health_names_the_app_and_the_book(book):
    answer = Visitor().get(f"{book.address}/health/")

    assert json.loads(answer.raw) == {"app": "socktrade", "book": "book"}


def test_it_serves_with_the_production_server_and_debug_off(book, first_run):
    answer = first_run["owner"].get(f"{book.address}/no-such-page/")

    assert answer.status == 404
    assert "DEBUG" not in answer.text
    assert "urlpatterns" not in answer.text
    assert "WSGIServer" not in answer.headers.get("Server", "")


def test_every_answer_carries_the_strict_policy(book):
    policy = Visitor().get(f"{book.address}/sign-in/").headers["Content-Security-Policy"]

    assert "default-src 'self'" in policy
    assert "unsafe-inline" not in policy


def test_assets_are_hashed_compressed_and_kept_for_a_year(book):
    page = Visitor().get(f"{book.address}/sign-in/").text
    sheet = re.search(r"/static/css/socktrade\.[0-9a-f]{12}\.css", page)[0]

    answer = Visitor().get(book.address + sheet, **{"Accept-Encoding": "gzip"})

    assert answer.status == 200
    assert answer.headers["Content-Encoding"] == "gzip"
    assert b"{" in gzip.decompress(answer.raw)
    assert "immutable" in answer.headers["Cache-Control"]


def test_another_host_name_is_refused(book):
    answer = Visitor().get(f"{book.address}/sign-in/", Host="elsewhere.example")

    assert answer.status == 400


def test_a_phone_on_the_same_network_is_let_in_and_told_that_it_is_not_encrypted(tmp_path):
    name = socket.gethostname()

    with OpenBook(tmp_path, "--host", "0.0.0.0") as shared:
        by_name = Visitor().get(f"{shared.address}/health/", Host=name)
        elsewhere = Visitor().get(f"{shared.address}/health/", Host="elsewhere.example")

    assert (by_name.status, elsewhere.status) == (200, 400)
    assert ("not encrypted" in shared.said) == bool(outward_address())


def test_a_second_start_says_that_it_is_open_already(book, data):
    second = manage(data, "open", "--port", str(book.port))

    assert second.returncode == 1
    assert f"open already. Go to {book.address}/" in second.stderr
    assert "Traceback" not in second.stderr


def test_the_demo_on_the_port_of_the_book_is_told_apart_and_not_made(book, data):
    demo = manage(data, "open", "--demo", "--port", str(book.port))

    assert demo.returncode == 1
    assert f"Another Socktrade book (book) is open at {book.address}/" in demo.stderr
    assert f"--port {book.port + 1}" in demo.stderr
    assert not (data / "demo.sqlite3").exists()


def test_a_port_of_another_program_is_told(tmp_path):
    class Stranger(http.server.BaseHTTPRequestHandler):
        def do_GET(self):
            self.send_error(404)

        def log_message(self, *_words):
            """Keep quiet."""

    with http.server.HTTPServer(("127.0.0.1", 0), Stranger) as other:
        threading.Thread(target=other.serve_forever, daemon=True).start()
        refused = manage(tmp_path, "open", "--port", str(other.server_port))
        other.shutdown()

    assert refused.returncode == 1
    assert f"Port {other.server_port} is taken by another program" in refused.stderr
    assert not (tmp_path / "book.sqlite3").exists()


@pytest.mark.parametrize("port", ["0", "65536", "-1"])
def test_a_port_out_of_range_is_told(tmp_path, port):
    refused = manage(tmp_path, "open", f"--port={port}")

    assert refused.returncode == 1
    assert f"--port {port} is no port" in refused.stderr


def test_a_data_folder_that_cannot_be_written_is_told(tmp_path):
    # Permissions do not stop the administrator; a file where a folder should be stops anyone.
    (tmp_path / "file").write_text("not a folder", encoding="utf-8")

    refused = manage(tmp_path / "file" / "book", "open", "--port", str(free_port()))

    assert refused.returncode == 1
    assert "cannot be written" in refused.stderr
    assert "SOCKTRADE_DATA" in refused.stderr
    assert "Traceback" not in refused.stderr


def test_a_file_that_is_no_book_is_told_and_left_alone(tmp_path):
    file = tmp_path / "book.sqlite3"
    file.write_bytes(b"a shopping list, not a database\n" * 40)

    refused = manage(tmp_path, "open", "--port", str(free_port()))

    assert refused.returncode == 1
    assert "cannot be opened" in refused.stderr
    assert "Traceback" not in refused.stderr
    assert file.read_bytes().startswith(b"a shopping list")


def test_what_was_written_is_there_after_a_restart_and_an_upgrade_keeps_a_copy(tmp_path):
    book = tmp_path / "book.sqlite3"
    with OpenBook(tmp_path) as first:
        Visitor().send(first.link, **OWNER)
        ended = first.stop()
    # An older book: one table fewer than this program wants.
    assert manage(tmp_path, "migrate", "sessions", "zero").returncode == 0

    with OpenBook(tmp_path) as second:
        visitor = Visitor()
        signed_in = visitor.send(second.link, username="maker", password=OWNER["password"])

    assert ended == 0
    assert second.link.endswith("/sign-in/")
    assert (signed_in.status, signed_in.path) == (200, "/")
    with closing(sqlite3.connect(book.with_name("book.sqlite3.before-upgrade"))) as copy:
        tables = {name for (name,) in copy.execute("SELECT name FROM sqlite_master")}
    assert "production_act" in tables
    assert "django_session" not in tables


def test_a_service_manager_can_close_it_and_the_assets_are_not_made_again(tmp_path):
    with OpenBook(tmp_path) as first:
        ended = first.stop(signal.SIGTERM)
    made = (tmp_path / "assets" / "stamp.txt").stat().st_mtime_ns
    with OpenBook(tmp_path):
        kept = (tmp_path / "assets" / "stamp.txt").stat().st_mtime_ns

    assert ended == 0
    assert kept == made


def test_the_demo_opens_by_its_own_link_in_a_file_of_its_own(tmp_path):
    with OpenBook(tmp_path, "--demo") as demo:
        visitor = Visitor()
        today = visitor.get(demo.link)
        books = manage(tmp_path, "check_books", "--demo")

    assert "/demo/" in demo.link
    assert (today.status, today.path) == (200, "/")
    assert "Demo book, invented" in today.text
    assert (tmp_path / "demo.sqlite3").exists()
    assert not (tmp_path / "book.sqlite3").exists()
    assert books.returncode == 0, books.stdout + books.stderr


def test_the_demo_never_uses_the_shared_database(tmp_path):
    said = setting(
        tmp_path, "DATABASES['default']['NAME']", SOCKTRADE_BOOK="demo",
        DATABASE_URL="postgres://somebody@localhost:1/hers",
    )  # fmt: skip

    assert said == str(tmp_path / "demo.sqlite3")


def test_the_shared_database_is_used_for_the_book(tmp_path):
    url = "postgres://somebody@localhost:1/hers"

    assert setting(tmp_path, "DATABASES['default']['NAME']", DATABASE_URL=url) == "hers"


def test_the_time_zone_is_the_one_that_was_named(tmp_path):
    assert setting(tmp_path, "TIME_ZONE", SOCKTRADE_TIME_ZONE="America/Halifax", TZ="UTC") == (
        "America/Halifax"
    )


def test_the_time_zone_is_the_machines_where_none_was_named(tmp_path):
    assert setting(tmp_path, "TIME_ZONE", TZ="Europe/Dublin") == "Europe/Dublin"


def test_a_machine_without_a_usable_zone_gets_one_that_exists(tmp_path):
    assert ZoneInfo(setting(tmp_path, "TIME_ZONE", TZ="Nowhere/At_All"))


def test_a_zone_that_does_not_exist_is_told_to_its_writer(tmp_path):
    said = manage(tmp_path, "check", SOCKTRADE_TIME_ZONE="Nowhere/At_All")

    assert said.returncode != 0
    assert "Nowhere/At_All" in said.stderr


def test_without_its_packages_it_points_to_the_readme(tmp_path):
    # -S leaves out everything that was installed.
    bare = subprocess.run(
        [sys.executable, "-S", "manage.py", "open"],
        cwd=ROOT,
        env=environment(tmp_path),
        capture_output=True,
        text=True,
        check=False,
    )

    assert bare.returncode == 1
    assert "README.md has the one line" in bare.stderr
    assert "Traceback" not in bare.stderr


def test_only_the_names_of_this_machine_are_served():
    assert names_served("127.0.0.1") == []
    assert names_served("192.0.2.7") == ["192.0.2.7"]
    assert names_served("2001:db8::7") == ["[2001:db8::7]"]
    assert socket.gethostname() in names_served("0.0.0.0")
    assert "*" not in names_served("0.0.0.0")
