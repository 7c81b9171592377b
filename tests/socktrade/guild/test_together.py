"""Many makers at once: threads that serve one after the other, and acts that do not wait."""

import http.client
import random
import threading
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.core.wsgi import get_wsgi_application
from django.db import connection, transaction
from django.db.utils import OperationalError
from waitress import create_server

from production.services.acts import take_turn
from socktrade.guild.standing import in_book
from tests.socktrade.guild.conftest import NAMES, PASSWORDS

PATHS = ("/workshop/", "/yarn/99999/", "/baskets/", "/find/?q=harbour", "/workshop/")
VISITS = 40


@pytest.fixture
def port():
    """The app behind two threads, each with one connection for whoever comes."""
    server = create_server(get_wsgi_application(), host="127.0.0.1", port=0, threads=2)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    yield server.effective_port
    server.close()
    thread.join(timeout=10)


def visit(port, book, path, cookie):
    call = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    try:
        call.request("GET", path, headers={"Host": f"{book}.guild.example", "Cookie": cookie})
        answer = call.getresponse()
        return answer.status, answer.read().decode()
    finally:
        call.close()


def test_threads_that_serve_every_book_in_turn_mix_up_none(port, at_home):
    cookies = {
        book: "; ".join(f"{c.key}={c.value}" for c in at_home(book, word).cookies.values())
        for book, word in PASSWORDS.items()
    }
    draw = random.Random(5)
    visits = [(draw.choice([*NAMES]), draw.choice(PATHS)) for _ in range(VISITS)]

    with ThreadPoolExecutor(8) as visitors:
        answers = list(visitors.map(lambda v: (v, visit(port, *v, cookies[v[0]])), visits))

    for (book, path), (status, text) in answers:
        other = next(name for key, name in NAMES.items() if key != book)
        assert status == (404 if "99999" in path else 200), (book, path)
        assert other not in text
        assert path != "/workshop/" or NAMES[book] in text
    assert len(answers) == VISITS


def held_elsewhere(book, held, over):
    """Take the turn of a book and keep it until told."""
    try:
        with in_book(book), transaction.atomic():
            take_turn()
            held.set()
            over.wait(timeout=30)
    finally:
        connection.close()


@pytest.fixture
def turn_of_wren():
    held, over = threading.Event(), threading.Event()
    thread = threading.Thread(target=held_elsewhere, args=("wren", held, over))
    thread.start()
    assert held.wait(timeout=30)
    yield
    over.set()
    thread.join(timeout=30)


def take_soon(book):
    with in_book(book), transaction.atomic():
        with connection.cursor() as cursor:
            cursor.execute("SET LOCAL lock_timeout = '300ms'")
        take_turn()


def test_acts_of_two_makers_do_not_wait_for_each_other(turn_of_wren):
    take_soon("robin")

    with pytest.raises(OperationalError, match="lock timeout"):
        take_soon("wren")
