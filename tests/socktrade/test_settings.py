import stat
import sys

import pytest

from socktrade.folders import book_file, data_folder, load_or_make_secret
from tests.socktrade.opened import manage, setting

HOSTED = {"SOCKTRADE_TLS": "1", "SOCKTRADE_HOSTS": "socks.example,www.socks.example"}


def test_the_signing_key_is_made_once_and_kept_to_its_owner(tmp_path):
    first, second = load_or_make_secret(tmp_path), load_or_make_secret(tmp_path)

    assert first == second
    assert len(first) >= 50
    if sys.platform != "win32":
        assert stat.S_IMODE((tmp_path / "secret-key").stat().st_mode) == 0o600


def test_a_folder_that_cannot_be_written_still_gives_a_key_for_now(tmp_path):
    (tmp_path / "file").touch()

    assert len(load_or_make_secret(tmp_path / "file" / "sub")) >= 50


def test_two_folders_have_two_keys(tmp_path):
    assert load_or_make_secret(tmp_path / "a") != load_or_make_secret(tmp_path / "b")


def test_the_data_folder_is_the_one_that_was_named(tmp_path, monkeypatch):
    monkeypatch.setenv("SOCKTRADE_DATA", str(tmp_path))
    assert data_folder() == tmp_path

    monkeypatch.delenv("SOCKTRADE_DATA")
    assert data_folder().name == "socktrade"


def test_each_book_has_a_file_of_its_own(tmp_path):
    assert book_file(tmp_path, "book") != book_file(tmp_path, "demo")


def test_debug_is_off_unless_asked_for(tmp_path):
    assert setting(tmp_path, "DEBUG") == "False"
    assert setting(tmp_path, "DEBUG", SOCKTRADE_DEBUG="1") == "True"


def test_the_books_on_one_machine_do_not_sign_each_other_out(tmp_path):
    names = {setting(tmp_path, "SESSION_COOKIE_NAME", SOCKTRADE_BOOK=b) for b in ("book", "demo")}

    assert names == {"socktrade_book", "socktrade_demo"}


@pytest.mark.parametrize(
    "name", ["SESSION_COOKIE_SECURE", "CSRF_COOKIE_SECURE", "SECURE_SSL_REDIRECT"]
)
def test_behind_tls_everything_goes_encrypted(tmp_path, name):
    assert setting(tmp_path, name, **HOSTED) == "True"
    assert setting(tmp_path, name) == "False"


def test_the_hosted_app_answers_to_its_own_names(tmp_path):
    assert setting(tmp_path, "ALLOWED_HOSTS", **HOSTED) == "['socks.example', 'www.socks.example']"


def test_the_hosted_app_has_nothing_for_the_deployment_check_to_say(tmp_path):
    said = manage(tmp_path, "check", "--deploy", "--fail-level", "WARNING", **HOSTED)

    assert said.returncode == 0, said.stderr


def test_a_crash_of_the_machine_loses_no_act(tmp_path):
    options = setting(tmp_path, "DATABASES['default']['OPTIONS']")

    # SQLite's own manual on PRAGMA synchronous: in WAL mode NORMAL can lose the last
    # commits in a power cut, and FULL cannot (from memory).
    assert "synchronous=FULL" in options
    assert "IMMEDIATE" in options
