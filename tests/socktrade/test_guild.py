"""Which book a host asks for, and what the environment may say; no database is asked."""

import pytest
from django.core.exceptions import ImproperlyConfigured
from hypothesis import given
from hypothesis import strategies as st

from socktrade.guild.choice import chosen_guild
from socktrade.guild.names import book_of_host, book_of_schema, checked_name, schema_of
from tests.socktrade.opened import manage, setting

LETTERS = "abcdefghijklmnopqrstuvwxyz"
names = st.builds(
    str.__add__, st.sampled_from(LETTERS), st.text(f"{LETTERS}0123456789-", min_size=1, max_size=30)
)
URL = "postgres://somebody@localhost:1/guild"


@pytest.mark.parametrize(
    ("host", "book"),
    [
        ("wren.guild.example", "wren"),
        ("wren.guild.example:8000", "wren"),
        ("WREN.Guild.Example.", "wren"),
        ("red-hen.guild.example", "red-hen"),
        ("guild.example", None),
        ("www.wren.guild.example", None),
        ("wren.guild.example.org", None),
        ("wrenguild.example", None),
        (".guild.example", None),
        ("-wren.guild.example", None),
        ("7wren.guild.example", None),
        ("w.guild.example", None),
        ("book_wren.guild.example", None),
        ("[::1]:8000", None),
        ("", None),
    ],
)
def test_a_host_asks_for(host, book):
    assert book_of_host(host, "guild.example") == book


@given(names)
def test_every_book_has_a_schema_of_its_own(name):
    assert book_of_schema(schema_of(name)) == name
    # An identifier of more than 63 bytes would be cut off. (PostgreSQL manual, 4.1.1; from memory)
    assert len(schema_of(name)) <= 63


@given(names)
def test_every_book_has_a_host(name):
    assert book_of_host(f"{name}.guild.example", "guild.example") == name


@given(st.text())
def test_no_host_leads_to_a_name_that_no_book_may_have(text):
    found = book_of_host(f"{text}.guild.example", "guild.example")

    assert found is None or checked_name(found) == found


@pytest.mark.parametrize("schema", ["public", "pg_catalog", "book_", "book_7", "bookwren"])
def test_a_schema_that_is_no_book(schema):
    assert book_of_schema(schema) is None


@pytest.mark.parametrize("name", ["", "w", "Wren", "wren_2", "7wren", "wren\n", 'w"x', "w" * 32])
def test_a_name_that_no_book_may_have_is_refused(name):
    with pytest.raises(ValueError, match=r"name is .* small letters, digits and hyphens"):
        schema_of(name)


@pytest.mark.parametrize(
    ("said", "database", "told"),
    [
        ({"SOCKTRADE_GUILD": "guild.example"}, "django.db.backends.sqlite3", "DATABASE_URL"),
        ({"SOCKTRADE_GUILD": "guild"}, "django.db.backends.postgresql", "guild.example"),
        ({"SOCKTRADE_GUILD_BOOK": "wren"}, "django.db.backends.postgresql", "SOCKTRADE_GUILD to"),
        (
            {"SOCKTRADE_GUILD": "guild.example", "SOCKTRADE_GUILD_BOOK": "Wren"},
            "django.db.backends.postgresql",
            "small letters",
        ),
    ],
)
def test_a_guild_that_cannot_be_served_is_told_why(said, database, told):
    with pytest.raises(ImproperlyConfigured, match=told):
        chosen_guild(said, database=database, demo=False)


def test_the_demo_is_never_of_a_guild():
    said = {"SOCKTRADE_GUILD": "guild.example"}

    assert chosen_guild(said, database="django.db.backends.sqlite3", demo=True) == ("", "")


def test_a_guild_answers_to_its_own_hosts_and_keeps_cookies_to_one(tmp_path):
    guild = {"SOCKTRADE_GUILD": "guild.example", "DATABASE_URL": URL, "SOCKTRADE_TLS": "1"}

    assert "'.guild.example'" in setting(tmp_path, "ALLOWED_HOSTS", **guild)
    assert setting(tmp_path, "SESSION_COOKIE_NAME", **guild) == "__Host-socktrade_book"
    assert setting(tmp_path, "SESSION_COOKIE_DOMAIN", **guild) == "None"
    # One maker's pages may not send forms to another's.
    assert setting(tmp_path, "CSRF_TRUSTED_ORIGINS", **guild) == "[]"


@pytest.mark.parametrize("words", [("--book", "wren"), ("--book=wren",)])
def test_a_command_names_its_book_anywhere_in_the_line(words, tmp_path):
    said = manage(tmp_path, "check_books", *words)

    assert said.returncode != 0
    assert "--book wren names a book of a guild" in said.stderr


def test_a_guild_without_postgresql_is_told_what_to_set(tmp_path):
    said = manage(tmp_path, "guild", "list", SOCKTRADE_GUILD="guild.example")

    assert said.returncode != 0
    assert "Set DATABASE_URL" in said.stderr


def test_the_guild_command_alone_is_told_what_to_set(tmp_path):
    said = manage(tmp_path, "guild", "list")

    assert said.returncode != 0
    assert "CommandError: Set SOCKTRADE_GUILD" in said.stderr
