"""Eight people at once, who wait while nothing serves and then send again or let it be."""

import json
import random
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field

from tests.load import acts, stallacts
from tests.load.acts import Deed, Hands, Post
from tests.load.browser import Answer, Browser, GoneError
from tests.load.ground import HELPERS, OWNER, PASSWORD, Seed
from tests.load.ledger import PHONE, UNDO, Ledger, Told

AGAIN = 0.7  # the share of unanswered acts that are sent again
REMEMBERED = 12
PATIENCE_SECONDS = 180

Menu = tuple[tuple[int, Deed], ...]
STALL: Menu = (
    (4, stallacts.send_parcel), (3, stallacts.sell), (2, stallacts.ask), (1, acts.undo),
)  # fmt: skip
BENCH: Menu = (
    (2, acts.log_string), (7, acts.tick), (3, acts.mate), (2, acts.tag), (2, acts.undo),
    (1, acts.weigh), (1, acts.count_shelf), (1, acts.pack),
)  # fmt: skip
EVERYTHING: Menu = (*BENCH, *STALL)


class Gate:
    """Lets people act while something serves, and says when all of them wait."""

    def __init__(self) -> None:
        self._moved = threading.Condition()
        self._open = self._over = False
        self._waiting = 0
        self.seed: Seed | None = None

    def pass_through(self) -> bool:
        """Wait until acting makes sense; False when the day is over."""
        with self._moved:
            self._waiting += 1
            self._moved.notify_all()
            self._moved.wait_for(lambda: self._open or self._over)
            self._waiting -= 1
            return not self._over

    def set(self, *, is_open: bool, is_over: bool = False) -> None:
        """Open or shut it, or send everybody home."""
        with self._moved:
            self._open, self._over = is_open, is_over
            self._moved.notify_all()

    def wait_for_all(self, people: int) -> None:
        """Wait until nobody is in the middle of something."""
        with self._moved:
            if not self._moved.wait_for(lambda: self._waiting >= people, PATIENCE_SECONDS):
                message = f"Only {self._waiting} of {people} came to rest."
                raise AssertionError(message)


@dataclass(slots=True)
class Person:
    """One of the eight: a name, a way in, and what she does."""

    enter: Callable[[Browser, Seed], None]
    menu: Menu
    reads: Callable[[Hands], None] | None = None


def eight(reads: Callable[[str], Callable[[Hands], None] | None]) -> list[Person]:
    """Return three browsers of the owner, three helpers and two phones with a stall pass."""
    owner = Person(lambda b, _: b.sign_in(OWNER, PASSWORD), EVERYTHING, reads("owner"))
    helpers = [
        Person(lambda b, _, name=name: b.sign_in(name, PASSWORD), BENCH, reads("helper"))
        for name in HELPERS
    ]
    stalls = [
        Person(lambda b, seed, n=n: _by_pass(b, seed, n), STALL, reads("stall")) for n in (0, 1)
    ]
    return [owner, owner, owner, *helpers, *stalls]


def _by_pass(browser: Browser, seed: Seed, nth: int) -> None:
    answer = browser.get(f"/stall/in/{seed.secrets[nth]}/", "sign-in")
    if answer.status != 302:
        message = f"A stall pass did not let in: {answer.status}"
        raise AssertionError(message)
    browser.get(f"/stall/{seed.day}/till.json", "sign-in")


@dataclass(slots=True)
class Life:
    """What one person does until the gate says that it is over."""

    person: Person
    gate: Gate
    ledger: Ledger
    port: int
    dice: random.Random
    hands: Hands | None = None
    open_post: Post | None = None
    thread: threading.Thread = field(init=False)

    def __post_init__(self) -> None:
        self.thread = threading.Thread(target=self._live, daemon=True)
        self.thread.start()

    def is_in(self, seed: Seed) -> bool:
        """Whether she has signed in to this book."""
        return self.hands is not None and self.hands.seed is seed

    def _live(self) -> None:
        while self.gate.pass_through():
            try:
                self._act()
            except GoneError as gone:
                self.ledger.note("unanswered")
                self.ledger.note(f"gone: {gone}"[:60])
            except Exception as problem:  # told at the end, and the others go on
                self.ledger.complain(f"{problem!r}")

    def _act(self) -> None:
        if not self.is_in(self.gate.seed):
            self._come_in(self.gate.seed)
        elif self.open_post and self.dice.random() < AGAIN:
            self.ledger.note("sent again")
            self._deliver(self.open_post)
        else:
            self.open_post = None
            self._something_new()

    def _come_in(self, seed: Seed) -> None:
        browser = Browser(self.port, self.ledger.clock)
        self.person.enter(browser, seed)
        self.hands, self.open_post = Hands(browser, seed, self.dice), None

    def _something_new(self) -> None:
        if self.person.reads:
            self.person.reads(self.hands)
        weights, deeds = zip(*self.person.menu, strict=True)
        [deed] = self.dice.choices(deeds, weights)
        post = deed(self.hands)
        if post:
            self.ledger.sending(post.acts)
            self.open_post = post
            self._deliver(post)

    def _deliver(self, post: Post) -> None:
        if post.said is not None:
            self._read_parcel(post, self.hands.browser.post_json(post.path, post.said))
        else:
            self._read_form(post, self.hands.browser.post(post.path, post.fields))
        self.open_post = None

    def _read_form(self, post: Post, answer: Answer) -> None:
        [act] = post.acts
        if answer.status == 422:
            self.ledger.answered(act, "refused")
        elif answer.status != 302:
            self.ledger.complain(f"{post.path} answered {answer.status}: {answer.text[:300]}")
        elif act.kind == UNDO:
            self._read_undo(act)
        else:
            self.ledger.answered(act, "acked")
            self._follow(answer.location)

    def _read_undo(self, act: Told) -> None:
        said = self.hands.browser.get("/glossary/").said()
        if any(text.startswith("Undone") or "already undone" in text for text in said):
            self.ledger.answered(act, "acked")
        elif said:
            self.ledger.answered(act, "refused")
        else:
            self.ledger.complain(f"The undo of act {act.key} said nothing.")

    def _follow(self, location: str) -> None:
        page = self.hands.browser.get(location)
        if page.status != 200:
            self.ledger.complain(f"{location} answered {page.status}")
        shown = page.found(r'<div class="done[\s\S]*?name="act" value="(\d+)"')
        self.hands.done = [*self.hands.done, *map(int, shown)][-REMEMBERED:]

    def _read_parcel(self, post: Post, answer: Answer) -> None:
        if answer.status != 200:
            self.ledger.complain(f"{post.path} answered {answer.status}: {answer.text[:300]}")
            return
        states = {said["key"]: said["state"] for said in json.loads(answer.text)["answers"]}
        for act in post.acts:
            state = states.get(str(act.key))
            if state is None:
                self.ledger.complain(f"{post.path} answered nothing to {act}")
                continue
            if state != "done":
                act.kind, act.size = PHONE, 1
            elif act.kind != PHONE:
                self.hands.on_phone.append(str(act.key))
            self.ledger.answered(act, "acked")


class Crew:
    """All of them, each in a thread of her own."""

    def __init__(
        self, people: list[Person], gate: Gate, ledger: Ledger, port: int, dice: random.Random
    ) -> None:
        self.gate, self.ledger = gate, ledger
        self.lives = [
            Life(person, gate, ledger, port, random.Random(dice.random())) for person in people
        ]

    def let_in(self) -> None:
        """Wait until everybody has signed in, which takes its time on purpose; then rest."""
        self.gate.set(is_open=True)
        until = time.monotonic() + PATIENCE_SECONDS
        while not all(life.is_in(self.gate.seed) for life in self.lives):
            if time.monotonic() > until:
                message = f"Not everybody came in: {self.ledger.wrong[:3]}"
                raise AssertionError(message)
            time.sleep(0.05)
        self.rest()

    def rest(self) -> None:
        """Shut the gate and wait until nobody is in the middle of something."""
        self.gate.set(is_open=False)
        self.gate.wait_for_all(len(self.lives))
