"""Everything goes out as open files, and an empty book that reads them is the same book."""

import json
import shutil
import zipfile

import pytest
from django.contrib.auth.models import User
from django.contrib.sessions.models import Session
from django.core.management import CommandError, call_command
from django.db import connection

from production.models import Act, ActKind
from production.services.acts import Who, record
from sales.models import StallPass
from socktrade.access import people
from socktrade.data.bringing_in import import_book, why_not_empty
from socktrade.data.errors import DataError
from socktrade.data.export import export_book
from socktrade.data.tables import LEFT_OUT, book_models, name_of
from socktrade.models import SignedIn, Workshop
from tests.factories.production import logged_string
from tests.factories.sales import MarketDayFactory
from tests.factories.socktrade import UserFactory, WorkshopFactory
from tests.socktrade.books import empty_the_book, run, state_of_book

pytestmark = pytest.mark.django_db
MAKE_DEMO = (
    "import datetime as dt; from socktrade.demo import ensure_demo; "
    "ensure_demo(now=dt.datetime(2026, 6, 4, 9, 30, tzinfo=dt.UTC))"
)


@pytest.fixture
def book(at):
    """A small book with a string, a helper and a stall pass."""
    WorkshopFactory(calendar_token="secret-part")
    owner = UserFactory(username="maker", is_superuser=True, password="pbkdf2$kept")
    logged_string(by=owner)
    people.add_helper(name="mate", password="toe-and-heel-7")
    people.make_pass(day=MarketDayFactory(), name="phone", at=at)
    return owner


def test_every_table_of_the_database_is_covered_or_left_out_with_a_reason():
    covered = {model._meta.db_table for model in book_models()}
    there = set(connection.introspection.table_names())

    assert there - covered == set(LEFT_OUT) & there
    assert not covered & set(LEFT_OUT)
    assert all(LEFT_OUT.values())


def test_each_table_comes_after_those_that_it_needs():
    order = [name_of(model) for model in book_models()]

    for before, after in (
        ("auth.user", "production.act"),
        ("patterns.pattern", "patterns.patternversion"),
        ("production.string", "production.sock"),
        ("production.pair", "production.pairmove"),
        ("sales.saleline", "sales.takenback"),
    ):
        assert order.index(before) < order.index(after)


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    """The demo book, made on SQLite and exported from there."""
    place = tmp_path_factory.mktemp("demo")
    for words in (
        ("migrate", "-v0"),
        ("shell", "-v0", "-c", MAKE_DEMO),
        ("export", str(place / "folder"), "--with-sign-ins"),
        ("export", str(place / "book.zip"), "--with-sign-ins"),
    ):
        made = run(place / "data", *words)
        assert made.returncode == 0, made.stderr
    shutil.copy(place / "folder" / "book.json", place / "book.json")
    return place


@pytest.mark.parametrize("form", ["folder", "book.zip", "book.json"])
def test_the_whole_demo_comes_in_identical(demo, form):
    said = json.loads((demo / "folder" / "manifest.json").read_text(encoding="utf-8"))["tables"]

    done = import_book(demo / form)

    assert state_of_book() == {n: (table["rows"], table["sha256"]) for n, table in said.items()}
    assert done.total > 10_000
    assert not done.disagreements


def test_a_book_moves_to_this_database_and_back(tmp_path, at, book):
    """On the PostgreSQL of `.ci/postgres` this is the move from SQLite and back to it."""
    export_book(tmp_path / "first", at=at, with_sign_ins=True)
    there = run(tmp_path / "sqlite", "import_book", str(tmp_path / "first"))
    assert there.returncode == 0, there.stderr
    back = run(tmp_path / "sqlite", "export", str(tmp_path / "second.zip"), "--with-sign-ins")
    assert back.returncode == 0, back.stderr
    before = state_of_book()
    empty_the_book()

    import_book(tmp_path / "second.zip")

    assert state_of_book() == before
    assert "clean" in run(tmp_path / "sqlite", "check_books").stdout


def test_new_rows_get_numbers_after_those_that_came_in(tmp_path, at, book):
    export_book(tmp_path / "out", at=at)
    last = Act.objects.order_by("-pk").values_list("pk", flat=True).first()
    empty_the_book()
    import_book(tmp_path / "out")

    act = record(ActKind.COUNT, Who(by=User.objects.get(username="maker"), at=at))

    assert act.pk == last + 1


def test_what_opens_doors_stays_behind_unless_asked_for(tmp_path, at, book):
    export_book(tmp_path / "out.zip", at=at)
    export_book(tmp_path / "keys.zip", at=at, with_sign_ins=True)
    digest = StallPass.objects.get().digest

    plain, keys = (_all_of(tmp_path / name) for name in ("out.zip", "keys.zip"))

    password = User.objects.get(username="mate").password
    for secret in ("pbkdf2$kept", password, digest, "secret-part"):
        assert secret in keys
        assert secret not in plain
    assert "mate" in plain


def test_without_sign_ins_everybody_needs_a_new_password(tmp_path, at, book):
    export_book(tmp_path / "out", at=at)
    empty_the_book()

    import_book(tmp_path / "out")

    assert {user.has_usable_password() for user in User.objects.all()} == {False}
    assert User.objects.get(username="mate").member.role == "helper"


def test_who_opened_the_empty_book_stays_its_owner(tmp_path, at, book):
    export_book(tmp_path / "out", at=at)
    owner_key = book.pk
    empty_the_book()
    WorkshopFactory(name="not yet")
    UserFactory(pk=owner_key + 40, username="me", password="mine", is_superuser=True)

    done = import_book(tmp_path / "out")

    assert (done.owner.pk, done.owner.username, done.owner.password) == (owner_key, "me", "mine")
    assert Act.objects.filter(by=done.owner, kind=ActKind.STRING).exists()
    assert Workshop.objects.get().name != "not yet"
    assert not User.objects.filter(pk=owner_key + 40).exists()


def test_a_book_with_anything_in_it_is_left_alone(tmp_path, at, book):
    export_book(tmp_path / "out", at=at)
    before = state_of_book()

    with pytest.raises(DataError, match="not empty"):
        import_book(tmp_path / "out")

    assert state_of_book() == before
    assert why_not_empty()


def test_sessions_do_not_travel(tmp_path, at, book, client):
    client.force_login(book)
    SignedIn.objects.create(user=book, session_key="k" * 32, since=at)
    export_book(tmp_path / "out.zip", at=at, with_sign_ins=True)

    assert Session.objects.get().session_key not in _all_of(tmp_path / "out.zip")
    assert "k" * 32 not in _all_of(tmp_path / "out.zip")


@pytest.mark.parametrize("change", ["cell", "row", "column", "table", "junk", "newer", "older"])
def test_a_changed_export_is_refused_in_words_and_nothing_stays(tmp_path, at, book, change):
    export_book(tmp_path / "out", at=at)
    empty_the_book()
    _damage(tmp_path / "out", change)

    with pytest.raises(DataError) as refusal:
        import_book(tmp_path / "out")

    assert str(refusal.value).endswith(".")
    assert not why_not_empty()
    assert not Act.objects.exists()


@pytest.mark.parametrize("raw", [b"", b"PK\x03\x04no", b"{", b'{"tables": {}}', b"\xff\xfe\x00"])
def test_what_is_no_export_is_refused(tmp_path, raw):
    (tmp_path / "other").write_bytes(raw)

    with pytest.raises(DataError):
        import_book(tmp_path / "other")


def test_the_commands_say_what_they_did(tmp_path, at, book, capsys):
    call_command("export", tmp_path / "out.zip")
    with pytest.raises(CommandError, match="is there already"):
        call_command("export", tmp_path / "out.zip")
    empty_the_book()
    call_command("import_book", tmp_path / "out.zip")

    said = capsys.readouterr().out
    assert "their passwords are not" in said
    assert "every table is as it was exported" in said
    assert "changepassword maker" in said


def _all_of(path):
    with zipfile.ZipFile(path) as packed:
        return "".join(packed.read(name).decode() for name in packed.namelist())


def _damage(folder, change):
    acts = folder / "tables" / "production.act.csv"
    text = acts.read_text(encoding="utf-8")
    if change == "cell":
        acts.write_text(text.replace("string", "sale", 1), encoding="utf-8")
    elif change == "row":
        acts.write_text(text[: text.rindex("\n", 0, -1) + 1], encoding="utf-8")
    elif change == "column":
        acts.write_text(text.replace("note", "remark", 1), encoding="utf-8")
    elif change == "table":
        acts.unlink()
    elif change == "junk":
        acts.write_bytes(b'id,kind\n"1\xff')
    else:
        manifest = json.loads((folder / "manifest.json").read_text())
        names = manifest["migrations"]
        manifest["migrations"] = [*names, "sales.9999_later"] if change == "newer" else names[1:]
        (folder / "manifest.json").write_text(json.dumps(manifest))
