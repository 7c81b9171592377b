"""A short siege and a short crowd, by the same commands as the long ones."""

import re
import subprocess
import sys

from tests.socktrade.house import ROOT
from tests.socktrade.opened import environment

PATIENCE_SECONDS = 300


def run(folder, *words):
    """Run a command of this folder on a book of its own."""
    return subprocess.run(
        [sys.executable, "-m", *words],
        cwd=ROOT, env=environment(folder), capture_output=True, text=True,
        timeout=PATIENCE_SECONDS, check=False,
    )  # fmt: skip


def figure(said, pattern):
    return int(re.search(pattern, said)[1])


def test_acts_told_as_done_outlive_kills_and_none_is_there_twice(tmp_path):
    done = run(tmp_path, "tests.load.kills", "--kills", "6", "--seed", "8")

    assert done.returncode == 0, done.stdout + done.stderr
    assert "lost 0, double 0, books clean 7 of 7" in done.stdout
    assert figure(done.stdout, r"(\d+) acknowledged") >= 10


def test_a_crowd_meets_no_error_and_copies_taken_meanwhile_restore_clean(tmp_path):
    done = run(tmp_path, "tests.load.mixed", "--minutes", "0.1", "--seed", "8")

    assert done.returncode == 0, done.stdout + done.stderr
    assert "errors 0, lost 0, double 0, books clean 1 of 1" in done.stdout
    taken, clean = re.search(r"(\d+) taken, (\d+) restored clean", done.stdout).groups()
    assert taken == clean
    assert int(taken) >= 3
