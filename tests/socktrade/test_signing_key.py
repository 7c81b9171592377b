"""The key that signs cookies: made once, whole, and for all processes."""

import stat
import sys
from concurrent.futures import ThreadPoolExecutor

from socktrade.folders import load_or_make_secret


def test_every_start_reads_the_same_key(tmp_path):
    assert load_or_make_secret(tmp_path) == load_or_make_secret(tmp_path)


def test_several_processes_that_start_at_once_agree_on_one(tmp_path):
    with ThreadPoolExecutor(8) as pool:
        keys = set(pool.map(load_or_make_secret, [tmp_path] * 8))

    assert len(keys) == 1


def test_a_key_that_lost_its_text_in_a_crash_is_made_anew_and_stays(tmp_path):
    (tmp_path / "secret-key").touch()

    key = load_or_make_secret(tmp_path)

    assert len(key) > 40
    assert load_or_make_secret(tmp_path) == key


def test_nothing_else_is_left_in_the_folder_and_nobody_else_may_read_it(tmp_path):
    load_or_make_secret(tmp_path)

    [file] = tmp_path.iterdir()
    assert file.name == "secret-key"
    assert sys.platform == "win32" or stat.S_IMODE(file.stat().st_mode) == 0o600
