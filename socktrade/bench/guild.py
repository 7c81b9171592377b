"""A guild: pages of one maker among many, against the same pages of a small book alone.

Run it beside an empty PostgreSQL: `sh .ci/postgres python manage.py bench guild` with
SOCKTRADE_GUILD=guild.example. It makes its own books, so it is not for a server with real ones.
"""

import time
from collections.abc import Callable
from statistics import median

from django.conf import settings
from django.contrib.auth.models import User
from django.core.management import call_command
from django.test import Client

from socktrade.bench import Asked, Say, flag
from socktrade.bench.kit.clock import Times, time_rounds
from socktrade.bench.kit.filling import fill_guild, maker
from socktrade.bench.pages import plain_addresses
from socktrade.guild.schemas import add_book, books
from socktrade.guild.standing import in_book
from socktrade.history import make_history

TITLE = (
    "Guild: the main pages of one maker among 200 with a million socks, against a small book alone"
)

MAKERS, SOCKS, SEED = 200, 1_000_000, 20
SMALL_PAIRS = 250
BUDGET_S, TARGET = 0.4, 2.0
MAIN = (
    "today", "find", "workshop", "production:basket_list", "production:string_list",
    "production:string_new", "production:pair_list", "production:yarn_list", "production:mating",
    "patterns:pattern_list", "sales:shelf", "sales:market_list", "sales:day_detail", "sales:stall",
    "sales:order_list", "sales:sells",
)  # fmt: skip


def run(say: Say, asked: Asked) -> None:
    """Measure a small book alone, fill the guild, and measure one maker in it."""
    if not settings.GUILD:
        say("  Not measured: it needs PostgreSQL, and SOCKTRADE_GUILD with no books in it.")
        return
    compare(say, asked, makers=MAKERS, socks=SOCKS)


def compare(say: Say, asked: Asked, *, makers: int, socks: int) -> None:
    """Measure with so many makers, who have so many socks together.

    Raises:
        ValueError: If there are books already.
    """
    if books():
        msg = f"The guild has {len(books())} books; an empty database would do."
        raise ValueError(msg)
    call_command("collectstatic", verbosity=0, interactive=False)
    add_book("alone")
    with in_book("alone"):
        make_history(seasons=1, seed=SEED, pairs=SMALL_PAIRS, say=lambda _words: None)
    alone = _pages("alone")
    fill_guild(makers=makers, socks=socks, seed=SEED, say=say)
    among = _pages(maker(makers))
    say(f"    {'page':34s} {'alone ms':>9s} {'among ms':>9s} {'times':>6s}")
    ratios = {name: among[name] / alone[name] for name in MAIN}
    for name, times in ratios.items():
        missed = times > TARGET
        if missed or asked.every:
            say(
                f"    {name:34s} {alone[name] * 1000:9.1f} {among[name] * 1000:9.1f} "
                f"{times:6.2f}{flag(missed)}"
            )
    over = sum(times > TARGET for times in ratios.values())
    say(
        f"  {len(ratios)} pages: {median(ratios.values()):.2f} times in the middle, "
        f"{max(ratios.values()):.2f} at most; {over} above {TARGET:g}"
    )
    _say_in_turn(say, makers)


def _pages(book: str) -> dict[str, float]:
    """Return the median of each main page [s]."""
    browser = _browser(book)
    with in_book(book):
        addresses = dict(plain_addresses())
    return {
        name: time_rounds(_visit(browser, addresses[name]), budget_s=BUDGET_S).median
        for name in MAIN
    }


def _say_in_turn(say: Say, makers: int) -> None:
    """Visit every maker by one connection, twice: what it knows of tables it learns first."""
    browsers = [_browser(maker(number)) for number in range(1, makers + 1)]
    for words in ("for the first time", "again"):
        times = Times.of([_taken(_visit(browser, "/")) for browser in browsers])
        say(
            f"  Today of {makers} makers in turn, {words}: {times.median * 1000:.1f} ms "
            f"in the middle, {times.p95 * 1000:.1f} ms at the slow end"
        )


def _browser(book: str) -> Client:
    client = Client(SERVER_NAME=f"{book}.{settings.GUILD}", headers={"accept-encoding": "gzip"})
    with in_book(book):
        client.force_login(
            User.objects.filter(is_superuser=True).earliest("pk"),
            backend="socktrade.access.backend.MemberBackend",
        )
    return client


def _taken(ask: Callable[[], None]) -> float:
    began = time.perf_counter()
    ask()
    return time.perf_counter() - began


def _visit(client: Client, address: str) -> Callable[[], None]:
    def visit() -> None:
        answer = client.get(address)
        if answer.status_code not in (200, 302):
            msg = f"{address} answers {answer.status_code}; a page would do."
            raise RuntimeError(msg)

    return visit
