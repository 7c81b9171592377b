"""Pages: server time, questions and bytes of each, against a bare page and against a young book.

Every page of the address map that answers a plain visit is asked through the whole stack: all
middleware, the session and a signed-in owner. Each age of the book has a process of its own,
and a bare page measured in that process is its floor. The last column is a page for which
nothing was kept of an earlier one, as after the next sale.
"""

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from statistics import median
from typing import Any

from django.contrib.auth.models import User
from django.test import Client, override_settings
from django.urls import clear_url_caches

from production.services.acts import Who
from production.services.kept import forget
from sales.models import DayState, MarketDay
from sales.services.days import open_day
from socktrade.access.table import DOORS
from socktrade.bench import Asked, Say, flag
from socktrade.bench.kit import bare
from socktrade.bench.kit.addresses import addresses, samples
from socktrade.bench.kit.books import book_of, copied, run_inside
from socktrade.bench.kit.clock import BUDGET_S, clock, counted, time_rounds

TITLE = "Pages: times as ratios to a bare signed-in page, and to the same page of a young book"

OFTEN = {"today", "production:basket_list", "sales:shelf", "find", "sales:stall",
         "production:string_new"}  # fmt: skip
OFTEN_TIMES, OFTEN_QUESTIONS = 4.0, 12
SELLS, SELLS_TIMES = "sales:sells", 20.0
GROWTH, SLOW_END = 1.25, 3.0
FOUND_BY = "harbour"
HEADING = (
    f"    {'page':34s} {'x bare':>7s} {'p95/med':>8s} {'x young':>8s} {'q':>4s} {'bytes':>8s} "
    f"{'x anew':>7s}"
)
ROUNDS_ANEW = 5


def run(say: Say, asked: Asked) -> None:
    """Measure every page in a book of each age."""
    found = {seasons: _apart(seasons, asked) for seasons in asked.seasons}
    young = found[asked.seasons[0]]
    for seasons, book in found.items():
        floor = book["bare"]
        say(
            f"  {seasons} seasons; the bare page takes {floor['median'] * 1000:.2f} ms, "
            f"{floor['questions']} questions, {floor['bytes']} bytes"
        )
        say(HEADING)
        for name, page in book["pages"].items():
            line, missed = line_of(name, page, floor, _times(young, name))
            if missed or asked.every:
                say(line)
    _say_unopened(say, young)


def _apart(seasons: int, asked: Asked) -> dict[str, Any]:
    with copied(book_of(seasons, asked.folder)) as data:
        book: dict[str, Any] = run_inside(Path(data), __name__, "one_book()")
    return book


def _times(book: dict[str, Any], name: str) -> float | None:
    """Return what a page takes in bare pages of its own run, None where it was not opened."""
    page = book["pages"].get(name)
    return page["median"] / book["bare"]["median"] if page else None


def line_of(
    name: str, page: dict[str, Any], floor: dict[str, Any], young: float | None
) -> tuple[str, bool]:
    """Return the line of a page, and whether it misses one of its targets.

    Args:
        name: Full name of the page.
        page: What was measured of it.
        floor: What was measured of the bare page in the same book.
        young: What it takes in the youngest book [bare pages], None where it is not there.
    """
    times = page["median"] / floor["median"]
    spread, growth = page["p95"] / page["median"], times / young if young else 1.0
    often = name in OFTEN
    misses = (
        times > (OFTEN_TIMES if often else SELLS_TIMES if name == SELLS else float("inf")),
        spread >= SLOW_END,
        growth > GROWTH,
        often and page["questions"] > OFTEN_QUESTIONS,
    )
    marks = [flag(missed) for missed in misses]
    line = (
        f"    {name:34s} {times:6.1f}{marks[0]} {spread:7.2f}{marks[1]} {growth:7.2f}{marks[2]} "
        f"{page['questions']:3d}{marks[3]} {page['bytes']:8d} "
        f"{page['anew'] / floor['median']:7.1f}"
    )
    return line.rstrip(), any(misses)


def _say_unopened(say: Say, book: dict[str, Any]) -> None:
    say("  Not measured, because a plain visit is not how they are reached:")
    for answer, names in book["unopened"].items():
        say(f"    {answer}: {', '.join(names)}")


def one_book() -> dict[str, Any]:
    """Measure the bare page and every page of the open book."""
    with override_settings(ROOT_URLCONF=bare.__name__):
        clear_url_caches()
        client = signed_in()
        open_the_stall()
        floor = _measured(client, bare.PAGE)
        pages, unopened = {}, {}
        for name, address in plain_addresses():
            status = client.get(address).status_code
            if status in (200, 302):
                pages[name] = _measured(client, address)
            else:
                unopened.setdefault(str(status), []).append(name)
        floor["median"] = (floor["median"] + _measured(client, bare.PAGE)["median"]) / 2
    return {"bare": floor, "pages": pages, "unopened": unopened}


def signed_in() -> Client:
    """Return a browser that the owner is signed in with."""
    client = Client(SERVER_NAME="localhost", headers={"accept-encoding": "gzip"})
    client.force_login(owner(), backend="socktrade.access.backend.MemberBackend")
    return client


def owner() -> User:
    """Return whose book it is."""
    return User.objects.filter(is_superuser=True).earliest("pk")


def open_the_stall(at: dt.datetime | None = None) -> None:
    """Open the next market day, so that its till can be asked; a day that is open stays so.

    Args:
        at: When it is opened; none for now.
    """
    day = MarketDay.objects.upcoming().first()
    if day is not None and day.state == DayState.PLANNED:
        who = Who(by=owner(), at=at or dt.datetime.now(tz=dt.UTC))
        open_day(day=day, float_minor=5000, who=who)


def plain_addresses() -> list[tuple[str, str]]:
    """Return every address that somebody signed in visits, with a question for find."""
    found = []
    for name, address in addresses(samples()):
        if name not in DOORS and not address.startswith("/bench/"):
            found.append((name, f"{address}?q={FOUND_BY}" if name == "find" else address))
    return found


def _measured(client: Client, address: str) -> dict[str, Any]:
    tick = clock()
    forget()
    with counted() as questions:
        answer = client.get(address)
        size = sum(map(len, answer)) if answer.streaming else len(answer.content)
    visit = _visit(client, address)
    times = time_rounds(visit, tick=tick, budget_s=BUDGET_S)
    return {
        "median": times.median, "p95": times.p95, "questions": len(questions), "bytes": size,
        "anew": median(_anew(visit, tick) for _ in range(ROUNDS_ANEW)),
    }  # fmt: skip


def _anew(visit: Callable[[], None], tick: Callable[[], float]) -> float:
    """Return what a visit takes when nothing was kept of the one before [s]."""
    forget()
    began = tick()
    visit()
    return tick() - began


def _visit(client: Client, address: str) -> Callable[[], None]:
    def visit() -> None:
        answer = client.get(address)
        if answer.streaming:
            b"".join(answer)

    return visit
