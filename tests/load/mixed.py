"""Everybody at once for some minutes: acts, pages, and a copy of the book every second.

python -m tests.load.mixed --minutes 10
sh .ci/postgres python -m tests.load.mixed --minutes 10
"""

import argparse
import random
import sys
import time
from pathlib import Path

from tests.load.ground import new_book, new_ground

BARE = 0.15  # the share of page readings that are of the bare page
PAGES = {
    "helper": ("/", "/baskets/", "/strings/", "/pairs/", "/yarn/", "/patterns/", "/tags/"),
    "stall": ("/stall/{day}/", "/stall/{day}/sales/", "/stall/{day}/till.json", "/glossary/"),
}
PAGES["owner"] = (
    *PAGES["helper"], *PAGES["stall"], "/shelf/", "/markets/", "/orders/", "/sells/",
    "/sells/make/", "/workshop/",
)  # fmt: skip


def reader(ledger, role: str):
    """Return what reads a page of this role, and now and then the bare one."""

    def read(hands) -> None:
        bare = hands.dice.random() < BARE
        path = "/bare/" if bare else hands.dice.choice(PAGES[role]).format(day=hands.seed.day)
        answer = hands.browser.get(path, "bare" if bare else "page")
        if answer.status != 200:
            ledger.complain(f"{path} answered {answer.status}")

    return read


def run(folder: Path, seconds: float, seed: int):
    """Let everybody act and read; return the ledger, copies taken and copies clean."""
    from tests.load.ledger import Ledger
    from tests.load.people import Crew, Gate, eight
    from tests.load.serving import Server

    server, gate, ledger = Server(folder), Gate(), Ledger()
    people = eight(lambda role: reader(ledger, role))
    gate.seed = new_book()
    crew = Crew(people, gate, ledger, server.port, random.Random(seed))
    server.start()
    try:
        server.wait_ready()
        crew.let_in()
        ledger.seconds.clear()
        taken, clean = _load(folder, gate, ledger, seconds)
        crew.rest()
        ledger.audit(gate.seed)
    finally:
        gate.set(is_open=False, is_over=True)
        server.kill()
    if ledger.wrong:
        print(server.said())  # noqa: T201
    ledger.wrong += [f"gone: {n} requests" for n in [ledger.counts["unanswered"]] if n]
    return ledger, taken, clean


def _load(folder: Path, gate, ledger, seconds: float) -> tuple[int, int]:
    from django.db import connection

    from tests.load.copies import Copies

    copies = Copies(folder) if connection.vendor == "sqlite" else None
    gate.set(is_open=True)
    time.sleep(seconds)
    gate.set(is_open=False)
    if copies is None:
        return 0, 0
    clean = copies.finish()
    ledger.wrong += copies.wrong
    return copies.taken, clean


def tell(ledger, taken: int, clean: int, seconds: float) -> bool:
    """Print the figures, and what was wrong; return whether all is well."""
    floor = _shares(ledger.seconds.get("bare", []))
    print(  # noqa: T201
        f"{seconds:.0f} s: {ledger.counts['acked'] / seconds:.1f} acts a second, "
        f"{len(ledger.seconds.get('page', [])) / seconds:.1f} pages a second, "
        f"errors {len(ledger.wrong)}, lost {ledger.counts['lost']}, "
        f"double {ledger.counts['double']}, "
        f"books clean {ledger.counts['clean']} of {ledger.counts['checked']}"
    )
    for kind, name in (("act", "acts"), ("page", "pages")):
        half, most = _shares(ledger.seconds.get(kind, []))
        print(  # noqa: T201
            f"  {name}: p50 {half / floor[0]:.2f} and p95 {most / floor[1]:.2f} of a bare "
            f"signed-in view ({1000 * floor[0]:.0f} and {1000 * floor[1]:.0f} ms in this run)"
        )
    if taken:  # a database server has tools of its own for copies
        print(f"  copies under load: {taken} taken, {clean} restored clean")  # noqa: T201
    for line in ledger.wrong[:20]:
        print(f"  wrong: {line}")  # noqa: T201
    return not ledger.wrong and taken == clean


def _shares(seconds: list[float]) -> tuple[float, float]:
    """Return median and 95th percentile [s]."""
    ranked = sorted(seconds) or [float("nan")]
    return ranked[len(ranked) // 2], ranked[min(len(ranked) - 1, int(0.95 * len(ranked)))]


def main() -> int:
    """Read what is asked, run it, and say how it went."""
    parser = argparse.ArgumentParser(description="Mixed load of eight people at once.")
    parser.add_argument("--minutes", type=float, default=10)
    parser.add_argument("--seed", type=int, default=1, help="for what the people do")
    asked = parser.parse_args()
    with new_ground("tests.load.settings") as folder:
        ledger, taken, clean = run(folder, asked.minutes * 60, asked.seed)
        well = tell(ledger, taken, clean, asked.minutes * 60)
    return 0 if well else 1


if __name__ == "__main__":
    sys.exit(main())
