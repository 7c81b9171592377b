"""Acts: each against the bare act, which is a bare page asked for by POST and one row written.

Both are durable: the row is on the disk before the answer goes out, so the clock on the wall
counts. Rounds of the act and of the bare act take turns, and what else the machine does slows
both alike. Between rounds nothing is timed: looking for something to do it with, and taking
the act back, so that the next round finds the book as it was.
"""

import datetime as dt
import time
from pathlib import Path
from typing import Any

from django.test import Client, override_settings
from django.urls import clear_url_caches

from production.errors import ProductionError
from production.models import Act
from production.services.acts import Who
from sales.errors import SalesError
from sales.models import MarketDay
from sales.services.till import undo_act
from socktrade.bench import Asked, Say, flag
from socktrade.bench.kit import bare
from socktrade.bench.kit.books import book_of, copied, run_inside
from socktrade.bench.kit.clock import Times, counted
from socktrade.bench.kit.recipes import RECIPES, Recipe, Sent
from socktrade.bench.pages import open_the_stall, owner, signed_in

TITLE = "Acts: times as ratios to a bare signed-in POST that writes one row for good"

ROUNDS = 15
TARGET = 5.0


def run(say: Say, asked: Asked) -> None:
    """Measure every act in a book of each age."""
    for seasons in asked.seasons:
        with copied(book_of(seasons, asked.folder)) as data:
            acts = run_inside(Path(data), __name__, "one_book()")
        say(f"  {seasons} seasons")
        for name, act in acts.items():
            if act is None:
                say(f"    {name:16s} nothing in this book to do it with")
                continue
            times = act["median"] / act["bare"]
            missed = times > TARGET
            if missed or asked.every:
                say(
                    f"    {name:16s} {times:5.1f}{flag(missed)} x bare ({act['bare'] * 1000:.1f} "
                    f"ms), p95/median {act['p95'] / act['median']:4.2f}, "
                    f"{act['questions']} questions"
                )


def one_book() -> dict[str, dict[str, Any] | None]:
    """Measure every act in the open book, which it changes."""
    with override_settings(ROOT_URLCONF=bare.__name__):
        clear_url_caches()
        client = signed_in()
        open_the_stall()
        day = MarketDay.objects.upcoming().first()
        return {name: _measured(client, day, recipe) for name, recipe in RECIPES.items() if day}


def _measured(client: Client, day: MarketDay, recipe: Recipe) -> dict[str, Any] | None:
    mine: list[float] = []
    floor: list[float] = []
    for _ in range(ROUNDS + 1):
        sent = recipe(client, day)
        if sent is None:
            break
        floor.append(_taken(client, (bare.ACT, {})))
        last = Act.objects.latest("pk").pk
        with counted() as questions:
            mine.append(_taken(client, sent))
        _take_back(last, sent)
    if len(mine) < ROUNDS // 2:
        return None
    # The first round is for warming up.
    times = Times.of(mine[1:])
    return {
        "median": times.median, "p95": times.p95, "bare": Times.of(floor[1:]).median,
        "questions": len(questions),
    }  # fmt: skip


def _taken(client: Client, sent: Sent) -> float:
    address, said = sent or ("", {})
    how = {"content_type": "application/json"} if isinstance(said, str) else {}
    began = time.perf_counter()
    client.post(address, said, **how)
    return time.perf_counter() - began


def _take_back(last: int, sent: Sent) -> None:
    """Undo what the round did, where it can be undone.

    Raises:
        RuntimeError: If nothing was recorded: a refusal must not be taken for a fast act.
    """
    done = Act.objects.filter(pk__gt=last).order_by("-pk")
    if not done:
        msg = f"{sent} was refused."
        raise RuntimeError(msg)
    for act in done:
        try:
            undo_act(act_id=act.pk, who=Who(by=owner(), at=dt.datetime.now(tz=dt.UTC)))
        except (ProductionError, SalesError):
            return
