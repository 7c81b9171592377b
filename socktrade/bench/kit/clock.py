"""Timing on a machine that does other things too, and counting questions to the database."""

import gc
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from statistics import median, quantiles
from typing import Any

from django.db import connection

BUDGET_S = 0.4
FEWEST, MOST = 7, 60


@dataclass(frozen=True, slots=True)
class Times:
    """How long a thing took, over all its rounds [s]."""

    median: float
    p95: float
    rounds: int

    @classmethod
    def of(cls, taken: list[float]) -> "Times":
        """Return the middle and the slow end of what was taken [s].

        Raises:
            ValueError: If fewer than two rounds were taken.
        """
        if len(taken) < 2:
            msg = f"taken holds {len(taken)} rounds; 2 or more would do."
            raise ValueError(msg)
        slow = quantiles(taken, n=20, method="inclusive")[-1]
        return cls(median(taken), slow, len(taken))


def clock() -> Callable[[], float]:
    """Return the clock for answers [s].

    SQLite works inside this process, so the processor's time of the process is all that an
    answer costs, whatever else runs on the machine. A database server works elsewhere: there
    only the clock on the wall sees everything.
    """
    return time.process_time if connection.vendor == "sqlite" else time.perf_counter


def time_rounds(
    ask: Callable[[], Any], *, tick: Callable[[], float] = time.perf_counter, budget_s: float
) -> Times:
    """Ask again and again within a budget, warm, and return how long it took."""
    ask()
    first = _taken(ask, tick)
    rounds = max(FEWEST, min(MOST, int(budget_s / max(first, 1e-6))))
    gc.collect()
    return Times.of([_taken(ask, tick) for _ in range(rounds)])


def _taken(ask: Callable[[], Any], tick: Callable[[], float]) -> float:
    began = tick()
    ask()
    return tick() - began


@contextmanager
def counted() -> Iterator[list[str]]:
    """Collect the questions that the database is asked meanwhile."""
    asked: list[str] = []

    def note(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:  # noqa: FBT001
        asked.append(sql)
        return execute(sql, params, many, context)

    with connection.execute_wrapper(note):
        yield asked
