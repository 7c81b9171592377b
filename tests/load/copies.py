"""A copy of the book every second while everybody acts (SQLite), each proved by restoring it."""

import subprocess
import sys
import threading
import time
from pathlib import Path

from tests.socktrade.house import ROOT


class Copies:
    """Takes copies in a thread of its own; a process of its own proves them."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.taken = folder / "copies", 0
        self.folder.mkdir()
        self.wrong: list[str] = []
        self._stop = threading.Event()
        self._prover = subprocess.Popen(
            [sys.executable, "-m", "tests.load.prove"],
            cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip
        self._thread = threading.Thread(target=self._take, daemon=True)
        self._thread.start()

    def finish(self) -> int:
        """Stop taking copies, wait for the last proof, and return how many were clean."""
        self._stop.set()
        self._thread.join()
        said, _ = self._prover.communicate()
        answers = said.split("\n")[:-1]
        self.wrong += [f"A copy: {line}" for line in answers if line != "clean"]
        return answers.count("clean")

    def _take(self) -> None:
        from socktrade.backups import BackupError, back_up

        due = time.monotonic()
        while not self._stop.is_set():
            try:
                copy = back_up(self.folder / f"{self.taken + 1}.sqlite3")
            except BackupError as problem:
                self.wrong.append(str(problem))
                return
            self.taken += 1
            self._prover.stdin.write(f"{copy}\n")
            self._prover.stdin.flush()
            due += 1
            self._stop.wait(max(0, due - time.monotonic()))
