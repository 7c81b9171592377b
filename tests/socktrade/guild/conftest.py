"""Two makers' books in one PostgreSQL.

Collected only where a guild is served, as in CI:
`SOCKTRADE_GUILD=guild.example sh .ci/postgres pytest tests/socktrade/guild`.
"""

import pytest
from django.conf import settings
from django.contrib.auth.models import User
from django.core.management import call_command
from django.db import connection, connections
from django.test import Client

from socktrade.guild.standing import in_book, in_hall
from tests.factories.socktrade import WorkshopFactory

collect_ignore_glob = [] if settings.GUILD else ["test_*.py"]

NAMES = {"wren": "Wren Socks", "robin": "Robin Socks"}
PASSWORDS = {"wren": "undyed-wool-7", "robin": "madder-root-9"}


def say_in_hall(statement: str) -> None:
    with in_hall(), connection.cursor() as cursor:
        cursor.execute(statement)


@pytest.fixture(scope="session")
def guild(django_test_environment, django_db_blocker):
    """A database with two books, each with an owner called maker."""
    usual = connection.settings_dict["NAME"]
    passing = f"test_{usual}"
    with django_db_blocker.unblock():
        say_in_hall(f"DROP DATABASE IF EXISTS {passing}")
        say_in_hall(f"CREATE DATABASE {passing}")
        connection.close()
        connection.settings_dict["NAME"] = passing
        for book, name in NAMES.items():
            call_command("guild", "add", book)
            with in_book(book):
                WorkshopFactory(name=name)
                User.objects.create_superuser("maker", password=PASSWORDS[book])
        yield settings.GUILD
        connections.close_all()
        connection.settings_dict["NAME"] = usual
        say_in_hall(f"DROP DATABASE {passing} WITH (FORCE)")
        connection.close()


@pytest.fixture(autouse=True)
def books(guild, django_db_blocker):
    """Let each test ask the database, from inside a book."""
    with django_db_blocker.unblock():
        yield NAMES


@pytest.fixture
def at_home(guild):
    """Return a browser at the address of a book; with a password, the maker has signed in."""

    def open_browser(book: str, password: str = "") -> Client:
        client = Client(SERVER_NAME=f"{book}.{guild}")
        if password:
            client.post("/sign-in/", {"username": "maker", "password": password})
        return client

    return open_browser
