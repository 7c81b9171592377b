"""A guild full of invented makers, for measuring."""

from collections.abc import Callable
from itertools import count

from django.db import connection

from production.models import Sock
from socktrade.guild.copying import copy_book, template_of
from socktrade.guild.schemas import add_book, books
from socktrade.guild.standing import in_book, in_hall
from socktrade.history import make_history
from socktrade.models import Workshop

LIVED = 4
"""Makers whose past is made; the others get a copy of one of theirs."""
SEASONS = 2
MAKER = "maker-"
FEWEST, MOST = 200, 20_000


def maker(number: int) -> str:
    """Return the name of the book of one invented maker."""
    return f"{MAKER}{number:03d}"


def fill_guild(*, makers: int, socks: int, seed: int, say: Callable[[str], object]) -> int:
    """Make that many books, each with the past of one maker; return how many socks are in them.

    Args:
        makers: How many books, 1 to 999.
        socks: How many in all books together, about: the last string of a season is whole.
        seed: Whose luck.
        say: Told how far it is.

    Raises:
        ValueError: If there are such makers already, or a figure is out of range.
    """
    if any(name.startswith(MAKER) for name in books()):
        msg = "This guild has invented makers already; only one without them is filled."
        raise ValueError(msg)
    if not 1 <= makers <= 999:
        msg = f"makers is {makers}; 1 to 999 would do."
        raise ValueError(msg)
    each = socks // makers
    if not FEWEST <= each <= MOST:
        msg = f"socks is {socks}, {each} a maker; {FEWEST} to {MOST} a maker would do."
        raise ValueError(msg)
    lived = [_live(maker(n), each, seed + n, say) for n in range(1, min(LIVED, makers) + 1)]
    templates = [template_of(maker(n)) for n in range(1, len(lived) + 1)]
    total = sum(lived)
    for number, copied in zip(range(len(lived) + 1, makers + 1), count(), strict=False):
        copy_book(templates[copied % len(templates)], maker(number))
        _name_workshop(maker(number))
        total += lived[copied % len(lived)]
        if number % 20 == 0:
            say(f"  {number} of {makers} makers, {total} socks")
    with in_hall(), connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    say(f"  {makers} makers have {total} socks.")
    return total


def _live(name: str, socks: int, seed: int, say: Callable[[str], object]) -> int:
    add_book(name)
    with in_book(name):
        make_history(seasons=SEASONS, seed=seed, pairs=socks // SEASONS // 2, say=say)
        total = Sock.objects.count()
    _name_workshop(name)
    return total


def _name_workshop(name: str) -> None:
    with in_book(name):
        Workshop.objects.update(name=f"Workshop of {name}")
