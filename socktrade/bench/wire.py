"""Bytes over the wire: what a browser fetches for a page the first time, and what later.

The first visit is the page, its styles and scripts, the font that the style asks for and the
icon, each as small as the browser takes it. Later visits fetch the page alone, because every
other file bears its content in its name and is kept for ever; whether it is sent that way is
looked at too.
"""

import re
from functools import cache
from pathlib import Path
from typing import Any

from django.conf import settings
from django.test import Client
from django.urls import reverse

from sales.models import MarketDay
from socktrade.bench import Asked, Say, flag
from socktrade.bench.kit.books import book_of, copied, run_inside
from socktrade.bench.pages import open_the_stall, plain_addresses, signed_in

TITLE = "Bytes over the wire: first visit and later ones of every page, and what a till takes along"

FIRST_KB, LATER_KB = 120.0, 20.0
LINKED = re.compile(r'(?:href|src)="(/static/[^"]+)"')
ASKED_BY_STYLE = re.compile(r"url\([\"']?([^\"')]+\.(?:woff2|svg|png))")


def run(say: Say, asked: Asked) -> None:
    """Measure every page in the youngest and in the oldest book."""
    for seasons in sorted({asked.seasons[0], asked.seasons[-1]}):
        with copied(book_of(seasons, asked.folder)) as data:
            book = run_inside(Path(data), __name__, "one_book()")
        say(f"  {seasons} seasons; the till takes along {book['till'] / 1000:.1f} kB")
        for name, page in book["pages"].items():
            first, later = page["first"] / 1000, page["later"] / 1000
            missed = first > FIRST_KB or later > LATER_KB
            if missed or asked.every:
                say(
                    f"    {name:34s} first {first:6.1f}{flag(first > FIRST_KB)} kB, "
                    f"later {later:5.1f}{flag(later > LATER_KB)} kB"
                )
    for name in book["passing"]:
        say(f"    ! {name} is not kept for ever")


def one_book() -> dict[str, Any]:
    """Weigh every page of the open book, and look at how its files are sent."""
    client = signed_in()
    open_the_stall()
    pages: dict[str, dict[str, int]] = {}
    every: set[str] = set()
    for name, address in plain_addresses():
        answer = client.get(address)
        if answer.streaming or answer.status_code != 200:
            continue
        files = _files_of(
            client.get(address, headers={"accept-encoding": ""}).content.decode("utf-8", "replace")
        )
        every |= files
        later = len(answer.content)
        pages[name] = {"later": later, "first": later + sum(map(_weight, files))}
    passing = [name for name in sorted(every) if not _is_kept(client, name)]
    return {"pages": pages, "till": _till(client), "passing": passing}


def _files_of(html: str) -> set[str]:
    """Return the files that a page asks for, and those that its styles ask for."""
    linked = {name for name in LINKED.findall(html) if not name.endswith(".webmanifest")}
    return linked.union(*(_asked_by(name) for name in linked if name.endswith(".css")))


@cache
def _asked_by(style: str) -> frozenset[str]:
    path = _path(style)
    names = ASKED_BY_STYLE.findall(path.read_text(encoding="utf-8"))
    root = Path(settings.STATIC_ROOT).resolve()
    found = ((path.parent / name).resolve().relative_to(root) for name in names)
    return frozenset(f"{settings.STATIC_URL}{one.as_posix()}" for one in found)


def _path(name: str) -> Path:
    return Path(settings.STATIC_ROOT) / name.removeprefix(settings.STATIC_URL)


@cache
def _weight(name: str) -> int:
    """Return the size of a file as a browser takes it: the smallest there is of it [bytes]."""
    path = _path(name)
    kinds = (path, path.with_name(f"{path.name}.gz"), path.with_name(f"{path.name}.br"))
    return min(kind.stat().st_size for kind in kinds if kind.exists())


def _is_kept(client: Client, name: str) -> bool:
    answer = client.get(name)
    answer.close()
    return "immutable" in answer.headers.get("Cache-Control", "")


def _till(client: Client) -> int:
    day = MarketDay.objects.upcoming().first()
    return len(client.get(reverse("sales:till_json", args=[day.pk])).content) if day else 0
