"""`guild`: the books of many makers on one server."""

from itertools import chain
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from production.services import books as bench_books
from sales.services import books as stall_books
from socktrade.first_run import has_owner, way_in
from socktrade.guild.schemas import add_book, books, bring_up_to_date, sizes
from socktrade.guild.standing import in_book

WORDS = {
    "add": "make an empty book and print the link that opens it",
    "list": "name every book, its size and its address",
    "migrate": "bring the tables of every book up to this program; safe to repeat",
    "check": "run check_books on every book",
    "fill": "make invented makers, for measuring",
}


class Command(BaseCommand):
    """One word says what to do with the guild."""

    help = "Keep the books of a guild: one PostgreSQL, one schema and one host name for each."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the word and what belongs to it."""
        words = parser.add_subparsers(dest="word", required=True, metavar="WORD")
        found = {word: words.add_parser(word, help=help_) for word, help_ in WORDS.items()}
        found["add"].add_argument("name", help="the first word of its address, such as wren")
        fill = found["fill"]
        fill.add_argument("--makers", type=int, default=200, help="how many books")
        fill.add_argument("--socks", type=int, default=1_000_000, help="in all of them together")
        fill.add_argument("--seed", type=int, default=1, help="another one makes other books")

    def handle(self, *_args: Any, word: str, **options: Any) -> None:
        """Do it, if this program serves a guild."""
        if not settings.GUILD:
            msg = "Set SOCKTRADE_GUILD to the domain of the guild, such as guild.example."
            raise CommandError(msg)
        deeds = {
            "add": self._add,
            "list": self._list,
            "migrate": self._migrate,
            "check": self._check,
            "fill": self._fill,
        }
        try:
            deeds[word](**options)
        except ValueError as problem:
            raise CommandError(str(problem)) from problem

    def _add(self, *, name: str, **_options: Any) -> None:
        add_book(name)
        with in_book(name):
            self.stdout.write(
                f"The book {name} is made. Its owner opens it once, within a week, at\n\n"
                f"  {_address(name)}{way_in()}\n"
            )

    def _list(self, **_options: Any) -> None:
        for name, size in sizes():
            with in_book(name):
                state = "" if has_owner() else f"  no owner yet: {way_in()}"
            self.stdout.write(f"{name:31s} {size / 2**20:8.1f} MB  {_address(name)}/{state}")

    def _migrate(self, **_options: Any) -> None:
        for name in books():
            done = "brought up to date" if bring_up_to_date(name) else "is up to date"
            self.stdout.write(f"{name}: {done}")

    def _check(self, **_options: Any) -> None:
        found, names = 0, books()
        for name in names:
            with in_book(name):
                for line in chain(bench_books.disagreements(), stall_books.disagreements()):
                    found += 1
                    self.stdout.write(f"{name}: {line}")
        if found:
            msg = f"{found} disagreements between the books and their acts."
            raise CommandError(msg, returncode=1)
        self.stdout.write(f"All {len(names)} books are clean.")

    def _fill(self, *, makers: int, socks: int, seed: int, **_options: Any) -> None:
        from socktrade.bench.kit.filling import fill_guild

        fill_guild(makers=makers, socks=socks, seed=seed, say=self.stdout.write)


def _address(name: str) -> str:
    return f"{'https' if settings.SECURE_SSL_REDIRECT else 'http'}://{name}.{settings.GUILD}"
