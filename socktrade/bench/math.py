"""The arithmetic: times of a large case of each kind, beside a bare loop of the same run.

Targets set as times are those of the house: a tap answers within 50 ms, any page in a second.
The bare loop adds up 100,000 numbers in plain Python, so that a ratio to it means the same on
a slow machine and on a fast one.
"""

import random
from collections.abc import Callable
from typing import Any

from patterns.core.fit import fit_range
from patterns.core.gauge import Gauge
from patterns.core.rowplan import plan_sock
from production.core.mating import mate
from sales.core.demand import DayRecord, demand_rate, predict
from sales.core.making import Kind, make
from sales.core.packing import pack
from socktrade.bench import Asked, Say, flag
from socktrade.bench.kit.clock import time_rounds

TITLE = "Arithmetic: a large case of each, beside a loop that adds up 100,000 numbers"

BUDGET_S = 0.5
GAUGE = Gauge(28.0, 40.0)
CYLINDERS = [48, 54, 60, 64, 72, 80, 84, 100]
KINDS = 60
SEASON_DAYS = 35


def run(say: Say, asked: Asked) -> None:
    """Measure each case."""
    loop = time_rounds(_loop, budget_s=BUDGET_S).median
    say(f"  the loop takes {loop * 1000:.1f} ms")
    for name, (case, target_ms) in cases().items():
        took = time_rounds(case, budget_s=BUDGET_S).median
        missed = target_ms is not None and took * 1000 > target_ms
        target = f", target {target_ms:g} ms" if target_ms is not None else ""
        if missed or asked.every:
            say(f"  {name:48s} {took * 1000:7.2f}{flag(missed)} ms, {took / loop:5.2f} x{target}")


def cases() -> dict[str, tuple[Callable[[], Any], float | None]]:
    """Return name, case and target [ms] of everything that is measured."""
    chance = random.Random(7)  # noqa: S311 - invented figures, always the same
    days = [DayRecord(6, chance.randint(0, 6), asked=1) for _ in range(SEASON_DAYS)]
    demand = predict(demand_rate(days, 2.0), [1.0])
    lengths = [round(chance.gauss(240, 4), 1) for _ in range(10_000)]
    kinds = [
        Kind(f"kind {n}", 30 + n % 12, 12, n % 5, n % 3, 12.0, 3.0, demand) for n in range(KINDS)
    ]
    return {
        "plan: 30 sizes over 8 cylinders": (_plan_run, 10.0),
        "fit: what 1,000 socks fit": (_fit_many, None),
        "mate: 10,000 socks": (lambda: mate(lengths, 4.0), 50.0),
        "demand: 60 kinds over a season of 35 days": (lambda: _rates(days), 100.0),
        "pack: 300 kinds into 400 places": (
            lambda: pack([demand] * 300, 12.0, 3.0, 400),
            50.0,
        ),
        "make: 60 kinds in 1,200 minutes": (lambda: make(kinds, 1200), 1000.0),
        "make: the same, 900 of them at the machine": (lambda: make(kinds, 1200, 900), 1000.0),
    }


def _loop() -> float:
    total = 0.0
    for number in range(100_000):
        total += number
    return total


def _plan_run() -> None:
    for step in range(30):
        foot = 150.0 + step * 5
        plan_sock(
            foot_length_mm=foot, ball_mm=foot * 0.95, height_mm=foot * 0.8, gauge=GAUGE,
            cylinders=CYLINDERS, tex=400.0,
        )  # fmt: skip


def _fit_many() -> None:
    for step in range(1000):
        fit_range(needles=64, foot_rows=40 + step % 60, gauge=GAUGE)


def _rates(days: list[DayRecord]) -> None:
    for _ in range(KINDS):
        demand_rate(days, 2.0).interval(0.8)
