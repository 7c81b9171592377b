"""Open the book: one command from nothing to a page in the browser."""

import errno
import json
import signal
import socket
import sys
import threading
import urllib.error
import urllib.request
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.auth.models import User
from django.contrib.staticfiles.finders import get_finders
from django.core.management import call_command
from django.core.management.base import CommandError, CommandParser
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.utils import timezone

from socktrade.backups import BackupError, back_up
from socktrade.beside import end_with_input, serve_beside
from socktrade.data.keeping import keep_copies
from socktrade.first_run import way_in
from socktrade.management.bookcommand import BookCommand
from socktrade.nearby import EVERYWHERE, LOOPBACK, names_served, outward_address
from socktrade.papers import how_to_install, pdf_ready_elsewhere

THREADS = 8


class Command(BookCommand):
    """Prepare the data folder, the book and the assets, then serve."""

    # They look at the program and not at the book, and are run where the program is changed.
    requires_system_checks = []
    help = "Open the book (or, with --demo, an invented one) and serve it on this machine."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the address to serve on."""
        parser.add_argument("--host", default="127.0.0.1", help="address to serve on")
        parser.add_argument("--port", type=int, default=8000, help="port to serve on")

    def handle(self, *_args: Any, **options: Any) -> None:
        """Prepare, say where to look, and serve until stopped."""
        if settings.GUILD:
            msg = "A guild is served by an application server; README.md says how."
            raise CommandError(msg)
        host, port = options["host"], options["port"]
        if not 1 <= port <= 65535:
            msg = f"--port {port} is no port. Give a number from 1 to 65535, such as 8000."
            raise CommandError(msg)
        _refuse_unwritable(settings.DATA_DIR)
        _stop_on_signals()
        try:
            self._open(host, port)
        except KeyboardInterrupt:
            self.stdout.write("Closed.")

    def _open(self, host: str, port: int) -> None:
        listener = self._listen(host, port)
        self._prepare_book()
        _collect_assets()
        settings.ALLOWED_HOSTS.extend(names_served(host))
        self._announce(host, port)
        keep_copies(settings.DATA_DIR / "backups")
        serve_beside(host)
        end_with_input()
        _serve(listener)

    def _listen(self, host: str, port: int) -> socket.socket:
        """Bind first: a second start must find out before it touches the book."""
        try:
            return _bound(host, port)
        except OSError as problem:
            raise CommandError(_why_not(host, port, problem)) from problem

    def _prepare_book(self) -> None:
        try:
            _copy_before_upgrade()
            call_command("migrate", verbosity=0, interactive=False)
        except BackupError as problem:
            msg = f"The book was not brought up to this program. {problem}"
            raise CommandError(msg) from problem
        except DatabaseError as problem:
            msg = f"The book {settings.DATABASES['default']['NAME']} cannot be opened: {problem}."
            raise CommandError(msg) from problem
        if settings.IS_DEMO:
            from socktrade.demo import ensure_demo

            if not User.objects.exists():
                self.stdout.write("Making the demo book: two seasons take a moment.")
                self.stdout.flush()
            if ensure_demo(now=timezone.now(), metric=settings.BOOK.endswith("metric")):
                self.stdout.write("The demo book was made.")

    def _announce(self, host: str, port: int) -> None:
        shown = "localhost" if host in (*LOOPBACK, *EVERYWHERE) else names_served(host)[0]
        address = f"http://{shown}:{port}"
        line = "=" * max(48, len(address + way_in()) + 4)
        self.stdout.write(
            f"\n{line}\n  SOCKTRADE IS OPEN. In a browser on this machine go to\n\n"
            f"  {address}{way_in()}\n\n{_for_other_devices(host, port)}"
            f"  Stop with Ctrl+C. The book is kept in\n  {settings.DATA_DIR}\n{line}\n"
        )
        self.stdout.flush()
        threading.Thread(target=self._say_of_papers, daemon=True).start()

    def _say_of_papers(self) -> None:
        """Say what PDFs want here, once that is known.

        Loading their library takes longer than all the rest of the start and half of its
        memory, so another process tries it while the first page is on its way.
        """
        if not pdf_ready_elsewhere():
            self.stdout.write(
                f"  PDF papers need a system library. {how_to_install()}\n"
                "  Until then pages print from the browser.\n"
            )
            self.stdout.flush()


def _for_other_devices(host: str, port: int) -> str:
    if host not in EVERYWHERE or not outward_address():
        return ""
    return (
        f"  From a phone on the same network: http://{outward_address()}:{port}/\n"
        "  That way is not encrypted. Use a network of your own.\n\n"
    )


def _stop_on_signals() -> None:
    """Close in order on Ctrl+C and on a service manager's request, in the background too.

    A shell lets what it starts in the background ignore Ctrl+C; asked for by name it stops.
    """
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, signal.default_int_handler)


def _refuse_unwritable(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
        probe = folder / ".probe"
        probe.write_text("", encoding="utf-8")
        probe.unlink()
    except OSError as problem:
        msg = (
            f"The data folder {folder} cannot be written ({problem.strerror}). "
            "Give it back its write permission, or name another folder in SOCKTRADE_DATA."
        )
        raise CommandError(msg) from problem


def _bound(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    listener = socket.socket(family, socket.SOCK_STREAM)
    if sys.platform != "win32":
        # There the option would let two programs share a port; here it only skips the
        # minute of waiting after a stop.
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((host, port))
        listener.listen(128)
    except OSError:
        listener.close()
        raise
    return listener


def _why_not(host: str, port: int, problem: OSError) -> str:
    address = f"http://{'localhost' if host in (*LOOPBACK, *EVERYWHERE) else host}:{port}"
    if problem.errno == errno.EADDRINUSE:
        book = _book_at(port)
        if book == settings.BOOK:
            return f"Socktrade is open already. Go to {address}/ in a browser."
        if book:
            return (
                f"Another Socktrade book ({book}) is open at {address}/. "
                f"Open this one beside it with --port {port + 1}."
            )
        return (
            f"Port {port} is taken by another program. Choose another one, e.g. --port {port + 1}."
        )
    if problem.errno == errno.EACCES:
        return f"This user may not serve on port {port}. Choose one above 1023, e.g. --port 8000."
    return f"Cannot serve on {host}, port {port}: {problem.strerror or problem}."


def _book_at(port: int) -> str:
    try:
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/health/", timeout=2) as answer:
            said = json.loads(answer.read(1000))
    except (OSError, ValueError, urllib.error.URLError):
        return ""
    return (
        str(said.get("book", ""))
        if isinstance(said, dict) and said.get("app") == "socktrade"
        else ""
    )


def _copy_before_upgrade() -> None:
    """Keep the book as it was before a newer program changes its tables."""
    executor = MigrationExecutor(connection)
    plan = executor.migration_plan(executor.loader.graph.leaf_nodes())
    path = Path(str(connection.settings_dict["NAME"]))
    if (
        plan
        and connection.vendor == "sqlite"
        and executor.loader.applied_migrations
        and path.exists()
    ):
        back_up(path.with_name(f"{path.name}.before-upgrade"), replace=True)
        connection.close()


def _collect_assets() -> None:
    """Collect hashed and compressed assets, only when a source file changed."""
    stamp = settings.STATIC_ROOT / "stamp.txt"
    sources = [
        Path(storage.path(name))
        for finder in get_finders()
        for name, storage in finder.list(ignore_patterns=[])
    ]
    state = f"{len(sources)} {max((file.stat().st_mtime_ns for file in sources), default=0)}"
    if stamp.exists() and stamp.read_text(encoding="utf-8") == state:
        return
    call_command("collectstatic", verbosity=0, interactive=False, clear=True)
    stamp.write_text(state, encoding="utf-8")


def _serve(listener: socket.socket) -> None:
    from waitress import serve

    from socktrade.wsgi import application

    serve(application, sockets=[listener], threads=THREADS, ident="socktrade")
