"""Kill the serving process under load, again and again, and look into the book each time.

python -m tests.load.kills --kills 300
sh .ci/postgres python -m tests.load.kills --kills 100
"""

import argparse
import random
import sys
import time
from dataclasses import dataclass, field
from pathlib import Path

from tests.load.ground import Seed, new_book, new_ground

ANSWERS = (1, 40)  # how many acts are answered before a kill, so that a slow machine is loaded too
MOST_SECONDS = 12.0
WHILE_OPENING = 0.1  # the share of kills that come before it serves


@dataclass(slots=True)
class Siege:
    """One run: the server, the eight, and what became of both."""

    folder: Path
    kills: int
    kills_of_a_book: int
    dice: random.Random
    opening_seconds: float = 1.0
    killed: int = 0
    parts: dict = field(default_factory=dict)

    def run(self):
        """Kill it as often as asked, or until something is wrong; return the ledger."""
        from tests.load.ledger import Ledger
        from tests.load.people import Crew, Gate, eight
        from tests.load.serving import Server

        server, gate, ledger = Server(self.folder), Gate(), Ledger()
        crew = Crew(eight(lambda _role: None), gate, ledger, server.port, self.dice)
        self.parts = {"server": server, "gate": gate, "ledger": ledger, "crew": crew}
        try:
            while self.killed < self.kills and not ledger.wrong:
                self._one_book()
        except KeyboardInterrupt:
            ledger.note("broken off")  # the totals so far are told all the same
        finally:
            gate.set(is_open=False, is_over=True)
            server.kill()
        return ledger

    def _one_book(self) -> None:
        """Kill it in one book until that is long enough, then let everybody send what is open."""
        ledger = self.parts["ledger"]
        ledger.told.clear()
        self.parts["gate"].seed = seed = new_book()
        self._serve()
        self.parts["crew"].let_in()
        last = min(self.kills, self.killed + self.kills_of_a_book)
        while self.killed < last and not ledger.wrong:
            self._one_kill(seed)
        self._load(ANSWERS[1])
        self.parts["crew"].rest()
        ledger.audit(seed)
        self.parts["server"].kill()

    def _one_kill(self, seed: Seed) -> None:
        gate, server = self.parts["gate"], self.parts["server"]
        if self.dice.random() < WHILE_OPENING:
            server.kill()
            server.start()
            time.sleep(self.dice.uniform(0, self.opening_seconds))
        else:
            self._load(self.dice.randint(*ANSWERS))
            gate.set(is_open=False)
        server.kill()
        self.killed += 1
        self._serve()
        self.parts["crew"].rest()
        self.parts["ledger"].audit(seed)

    def _load(self, answers: int) -> None:
        """Let everybody act until so many acts were answered, and a moment longer."""
        counts = self.parts["ledger"].counts
        until = time.monotonic() + MOST_SECONDS
        wanted = counts["acked"] + counts["refused"] + answers
        self.parts["gate"].set(is_open=True)
        while counts["acked"] + counts["refused"] < wanted and time.monotonic() < until:
            time.sleep(0.005)
        time.sleep(self.dice.uniform(0, 0.1))

    def _serve(self) -> None:
        server = self.parts["server"]
        began = time.monotonic()
        server.start()
        server.wait_ready()
        self.opening_seconds = time.monotonic() - began


def tell(siege: Siege, ledger, seconds: float) -> bool:
    """Print the totals in a line, and what was wrong below; return whether all is well."""
    counts = ledger.counts
    whole = not counts["broken off"] and counts["checked"] == counts["clean"] >= siege.killed
    well = whole and not ledger.wrong
    print(  # noqa: T201
        f"{siege.killed} kills: {counts['sent']} acts sent, {counts['acked']} acknowledged, "
        f"{counts['refused']} refused in words, {counts['sent again']} sent again, "
        f"lost {counts['lost']}, double {counts['double']}, "
        f"books clean {counts['clean']} of {counts['checked']}, {seconds:.0f} s"
    )
    print(f"  acknowledged by kind: {dict(ledger.kinds.most_common())}")  # noqa: T201
    for line in ledger.wrong[:20]:
        print(f"  wrong: {line}")  # noqa: T201
    if ledger.wrong:
        print(siege.parts["server"].said())  # noqa: T201
    return well


def main() -> int:
    """Read what is asked, run it, and say how it went."""
    parser = argparse.ArgumentParser(description="Kill the serving process under load.")
    parser.add_argument("--kills", type=int, default=300)
    parser.add_argument("--per-book", type=int, default=50, help="kills before a new book")
    parser.add_argument("--seed", type=int, default=1, help="for the people and the moments")
    asked = parser.parse_args()
    began = time.monotonic()
    with new_ground("socktrade.settings") as folder:
        siege = Siege(folder, asked.kills, asked.per_book, random.Random(asked.seed))
        ledger = siege.run()
        well = tell(siege, ledger, time.monotonic() - began)
    return 0 if well else 1


if __name__ == "__main__":
    sys.exit(main())
