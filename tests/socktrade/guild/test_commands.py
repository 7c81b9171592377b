"""The commands that keep a guild."""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from production.models import Pair
from production.services.acts import Who
from socktrade.guild.schemas import books as all_books
from socktrade.guild.standing import NoBookError, in_book
from tests.factories import shelf
from tests.factories.socktrade import UserFactory, WorkshopFactory
from tests.socktrade.guild.conftest import say_in_hall


def said(*words):
    out = StringIO()
    call_command(*words, stdout=out)
    return out.getvalue()


@pytest.fixture
def crane(books, at):
    """A book of its own with a pair on the shelf; it goes with the test."""
    call_command("guild", "add", "crane", stdout=StringIO())
    with in_book("crane"):
        WorkshopFactory()
        who = Who(by=UserFactory(), at=at)
        shelf.pairs_on_shelf(1, who)
    yield "crane"
    say_in_hall("DROP SCHEMA book_crane CASCADE")


def test_add_prints_the_link_that_opens_the_book(client):
    words = said("guild", "add", "heron")
    link = next(word for word in words.split() if word.startswith("http://heron.guild.example"))

    answer = client.get(
        link.removeprefix("http://heron.guild.example"), SERVER_NAME="heron.guild.example"
    )

    assert answer.status_code == 200
    say_in_hall("DROP SCHEMA book_heron CASCADE")


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("wren", "There is a book wren already"),
        ("Wren", "small letters"),
        ("w", "2 to 31"),
        ('x"; DROP SCHEMA book_wren', "small letters"),
    ],
)
def test_add_refuses(name, told):
    before = all_books()

    with pytest.raises(CommandError, match=told):
        call_command("guild", "add", name)

    assert all_books() == before


def test_list_names_every_book_with_its_address():
    words = said("guild", "list")

    assert "http://wren.guild.example/" in words
    assert "http://robin.guild.example/" in words


def test_migrate_may_be_repeated_and_tells_each_book():
    words = said("guild", "migrate")

    assert "wren: is up to date" in words
    assert words.count("\n") == len(all_books())


def test_migrate_brings_an_older_book_up_to_date(crane):
    with in_book(crane):
        call_command("migrate", "socktrade", "0007", verbosity=0)

    assert f"{crane}: brought up to date" in said("guild", "migrate")
    with in_book(crane):
        assert Pair.objects.count() == 1


def test_check_names_the_book_that_disagrees(crane):
    assert "books are clean" in said("guild", "check")
    with in_book(crane):
        Pair.objects.update(place="stall")
    out = StringIO()

    with pytest.raises(CommandError, match="disagreements"):
        call_command("guild", "check", stdout=out)

    lines = out.getvalue().splitlines()
    assert lines
    assert all(line.startswith("crane: ") for line in lines)


def test_a_command_without_a_book_is_told_to_name_one():
    with pytest.raises(NoBookError, match="--book NAME"):
        call_command("check_books")


def test_open_serves_no_guild():
    with pytest.raises(CommandError, match="application server"):
        call_command("open")


def test_an_export_is_of_one_book_and_names_it(tmp_path):
    with in_book("wren"):
        call_command("export", str(tmp_path / "out"), stdout=StringIO())

    manifest = json.loads((tmp_path / "out" / "manifest.json").read_text(encoding="utf-8"))
    assert manifest["book"] == "wren"
    assert manifest["tables"]["socktrade.workshop"]["rows"] == 1
    assert connection.vendor == "postgresql"
