"""Workshop, data: what can be taken out and brought in by hand."""

import io
import sqlite3
import zipfile
from contextlib import closing

import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from socktrade.data import keeping
from socktrade.data.keeping import KEEPER
from tests.factories.production import logged_string
from tests.factories.socktrade import UserFactory, WorkshopFactory
from tests.socktrade.books import empty_the_book, state_of_book

pytestmark = pytest.mark.django_db


def _body(answer):
    return b"".join(answer.streaming_content)


def test_everything_is_downloaded_as_a_zip(page, maker):
    maker.password = "md5$kept"
    maker.save()
    page.force_login(maker)
    logged_string(by=maker)

    answer = page.post(reverse("data_export"))

    packed = zipfile.ZipFile(io.BytesIO(_body(answer)))
    assert "attachment" in answer["Content-Disposition"]
    assert {"manifest.json", "book.json", "READ-ME.txt", "tables/production.sock.csv"} <= set(
        packed.namelist()
    )
    assert "md5$kept" not in packed.read("tables/auth.user.csv").decode()


def test_a_download_brought_into_an_empty_book_is_that_book(client, maker):
    maker.is_superuser = True
    maker.save()
    client.force_login(maker)
    logged_string(by=maker)
    packed = _body(client.post(reverse("data_export")))
    before = state_of_book()
    client.logout()
    empty_the_book()
    WorkshopFactory(name="new one")
    client.force_login(UserFactory(username="me", is_superuser=True, password="mine"))

    answer = client.post(
        reverse("data_import"), {"book": SimpleUploadedFile("b.zip", packed)}, follow=True
    )

    assert "every table is as it was exported" in answer.content.decode()
    after = state_of_book()
    assert {name for name in after if after[name] != before[name]} == {"auth.user"}
    assert User.objects.get(username="me").pk == maker.pk


@pytest.mark.parametrize("raw", [b"no zip", b"PK\x03\x04 no zip either", b""])
def test_a_file_that_is_no_export_is_refused_at_its_field(page, maker, raw):
    answer = page.post(reverse("data_import"), {"book": SimpleUploadedFile("b.zip", raw)})

    assert answer.status_code == 422
    assert answer.context["form"].errors["book"]


def test_a_book_in_use_says_why_it_takes_in_no_other(page, maker):
    logged_string(by=maker)

    shown = page.get(reverse("data")).content.decode()

    assert "Only an empty book can take in another" in shown
    assert 'name="book"' not in shown


def test_kept_copies_and_their_trouble_are_told(page, settings, tmp_path, monkeypatch):
    settings.DATA_DIR = tmp_path
    (tmp_path / "backups").mkdir()
    (tmp_path / "backups" / f"{settings.BOOK}-2026-05-02.sqlite3").write_bytes(b"x" * 2048)
    monkeypatch.setattr(KEEPER, "running", True)

    old = page.get(reverse("data")).content.decode()
    monkeypatch.setattr(KEEPER, "trouble", "No copy was made: disk full.")
    full = page.get(reverse("data")).content.decode()

    assert "Saturday, 2 May 2026" in old
    assert "The newest copy of the book is of 2 May 2026." in old
    assert "disk full" in full
    assert "disk full" in page.get(reverse("today")).content.decode()
    assert "disk full" in page.get(reverse("workshop")).content.decode()


def test_a_copy_of_the_file_is_downloaded(page, monkeypatch, tmp_path):
    with closing(sqlite3.connect(tmp_path / "made.sqlite3")) as made:
        made.execute("CREATE TABLE one (two)")
    monkeypatch.setattr(
        "socktrade.data.views.back_up",
        (tmp_path / "made.sqlite3").replace,
    )

    answer = page.post(reverse("data_backup"))

    assert _body(answer).startswith(b"SQLite format 3")


def test_a_copy_that_fails_is_told_in_words(page, monkeypatch):
    def fail(_target):
        msg = "No copy was made: disk full."
        raise keeping.BackupError(msg)

    monkeypatch.setattr("socktrade.data.views.back_up", fail)

    assert "disk full" in page.post(reverse("data_backup"), follow=True).content.decode()


def test_the_page_asks_the_same_number_of_questions_however_much_there_is(
    page, maker, django_assert_max_num_queries
):
    logged_string(by=maker, count=20)
    page.get(reverse("data"))

    with django_assert_max_num_queries(70):
        page.get(reverse("data"))
