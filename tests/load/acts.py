"""What people do at the bench and in the house: each reads a page and sends its form."""

import random
import uuid
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from production.core.places import STEPS
from tests.load.browser import Browser
from tests.load.ground import Seed
from tests.load.ledger import UNDO, Told

MOST_TICKS, MOST_COUPLES, MOST_TAGS = 8, 3, 4


@dataclass(slots=True)
class Post:
    """One request with the acts it carries: a form, or a parcel of the till on the phone."""

    path: str
    acts: list[Told]
    fields: list[tuple[str, Any]] | None = None
    said: dict[str, Any] | None = None


@dataclass(slots=True)
class Hands:
    """What somebody acts with, and what she remembers having done."""

    browser: Browser
    seed: Seed
    dice: random.Random
    done: list[int] = field(default_factory=list)
    on_phone: list[str] = field(default_factory=list)


Deed = Callable[[Hands], Post | None]


def form(path: str, kind: str, size: int, *fields: tuple[str, Any]) -> Post:
    """Return a form under a key of its own."""
    key = uuid.uuid4()
    return Post(path, [Told(key, kind, size)], [("key", key), *fields])


def log_string(hands: Hands) -> Post:
    """Log a few socks."""
    count = hands.dice.randint(2, 6)
    fields = [("version", hands.seed.version), ("lot", hands.seed.lot), ("count", count)]
    return form("/strings/new/", "string", count, *fields)


def tick(hands: Hands) -> Post | None:
    """Take some socks of a basket through its step."""
    step = hands.dice.choice(STEPS).key
    path = f"/baskets/{step}/"
    there = hands.browser.get(path).found(r'name="socks" value="(\d+)"')
    ticked = _some(hands, there, MOST_TICKS)
    fields = [("socks", pk) for pk in ticked]
    if step == "block" and ticked:
        fields.append((f"foot_{ticked[0]}", f"{hands.dice.randint(230, 240)} mm"))
    return form(path, step, len(ticked), *fields) if ticked else None


def mate(hands: Hands) -> Post | None:
    """Take up some of the proposed pairs."""
    path = "/pairs/mate/"
    couples = hands.browser.get(path).found(r'name="couples" value="(\d+-\d+)"')
    chosen = _some(hands, couples, MOST_COUPLES)
    return form(path, "mate", len(chosen), *(("couples", c) for c in chosen)) if chosen else None


def tag(hands: Hands) -> Post | None:
    """Put tags on pairs that wait for them."""
    marks = hands.browser.get("/tags/").found(r'name="pair" value="([^"]+)"')
    chosen = _some(hands, marks, MOST_TAGS)
    fields = [("sheet", "letter"), ("start", 1), ("reason", "as agreed")]
    fields += [("pair", mark) for mark in chosen]
    return form("/tags/on/", "tag", len(chosen), *fields) if chosen else None


def pack(hands: Hands) -> Post | None:
    """Put pairs from the shelf into the stall box."""
    path = f"/markets/days/{hands.seed.day}/pack/"
    there = hands.browser.get(path).found(r'name="pairs" value="(\d+)"')
    chosen = _some(hands, there, MOST_TAGS)
    return form(path, "pack", len(chosen), *(("pairs", pk) for pk in chosen)) if chosen else None


def weigh(hands: Hands) -> Post:
    """Lay the lot on the scale; now and then the figure is odd, and she is asked."""
    grams = hands.dice.randint(70_000, 90_000)
    fields: list[tuple[str, Any]] = [("gross_g", grams), ("packages", 1)]
    if hands.dice.random() < 0.7:
        fields.append(("anyway", "on"))
    return form(f"/yarn/lots/{hands.seed.lot}/weigh/", "weighed", 1, *fields)


def count_shelf(hands: Hands) -> Post:
    """Count the one kind on the shelf, blind."""
    figure = (f"{hands.seed.pattern}-first", hands.dice.randint(0, 20))
    return form("/shelf/count/", "count", 1, figure)


def undo(hands: Hands) -> Post | None:
    """Take back something that she did lately."""
    if not hands.done:
        return None
    act = hands.done.pop(hands.dice.randrange(len(hands.done)))
    fields = [("act", act), ("next", "/glossary/")]
    return Post("/acts/undo/", [Told(act, UNDO)], fields)


def _some(hands: Hands, found: list[str], most: int) -> list[str]:
    found = list(dict.fromkeys(found))
    return hands.dice.sample(found, min(len(found), hands.dice.randint(1, most)))
