"""What people were told, and whether the book says the same."""

import threading
import uuid
from collections import Counter
from dataclasses import dataclass, field
from typing import Any

from tests.load.ground import Seed, disagreements

PHONE, UNDO = "phone", "undo"
Key = uuid.UUID | int  # an undo needs no key of its own: an act is undone once


@dataclass(slots=True)
class Told:
    """One act that somebody sent, and how many rows must hang on it."""

    key: Key
    kind: str
    size: int = 1
    state: str = "open"  # then "acked" or "refused"; open means that no answer came


@dataclass(slots=True)
class Ledger:
    """Every act sent in this run; `told` is of the book at hand."""

    told: dict[Key, Told] = field(default_factory=dict)
    counts: Counter[str] = field(default_factory=Counter)
    kinds: Counter[str] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)
    seconds: dict[str, list[float]] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def clock(self, kind: str, seconds: float) -> None:
        """Note how long an answer took."""
        with self._lock:
            self.seconds.setdefault(kind, []).append(seconds)

    def sending(self, acts: list[Told]) -> None:
        """Note acts before they are sent for the first time."""
        with self._lock:
            for act in acts:
                before = self.told.get(act.key)
                if before and before.state == "acked" and act.kind != UNDO:
                    self.wrong.append(f"A page offered the key of an act that was done: {before}")
                self.told[act.key] = act
                self.counts["sent"] += 1

    def answered(self, act: Told, state: str) -> None:
        """Note what somebody was told of an act."""
        with self._lock:
            if act.state != state:
                self.counts[state] += 1
                if state == "acked":
                    self.kinds[act.kind] += 1
            act.state = state

    def note(self, what: str) -> None:
        """Count something, such as a second sending."""
        with self._lock:
            self.counts[what] += 1

    def complain(self, text: str) -> None:
        """Note an answer that no working book gives."""
        with self._lock:
            self.wrong.append(text)

    def audit(self, seed: Seed) -> None:
        """Hold the book against what was told, and against its own acts. Nobody may be acting."""
        in_book = _Book(seed)
        for act in self.told.values():
            self._compare(act, in_book)
        for key in in_book.kinds.keys() - self.told.keys():
            self._count("double", f"An act that nobody sent: {in_book.kinds[key]} {key}")
        for key, times in (*in_book.times.items(), *in_book.phone_times.items()):
            if times > 1:
                self._count("double", f"Key {key} is in the book {times} times")
        lines = disagreements()
        self.counts["checked"] += 1
        self.counts["clean"] += not lines
        self.wrong += lines

    def _compare(self, act: Told, book: "_Book") -> None:
        there = book.size_of(act)
        if act.state == "acked" and there < act.size:
            self._count("lost", f"Told as done, the book has {there}: {act}")
        # What she may not take back any more, somebody else may have taken back.
        if act.state == "refused" and there and act.kind != UNDO:
            self._count("double", f"Told as refused, yet it is in the book: {act}")
        if act.state != "refused" and there > act.size:
            self._count("double", f"The book has {there}: {act}")

    def _count(self, what: str, text: str) -> None:
        self.counts[what] += 1
        self.wrong.append(text)


class _Book:
    """What the book holds beyond its seed, by key."""

    def __init__(self, seed: Seed) -> None:
        from production.models import Act
        from sales.models import PhoneAct

        rows = list(Act.objects.filter(pk__gt=seed.last_act).values_list("pk", "key", "kind"))
        self.times = Counter(key for _, key, _ in rows if key)
        self.kinds = {key: kind for _, key, kind in rows if key}
        self._pks = {key: pk for pk, key, _ in rows if key}
        self._undone = Counter(
            Act.objects.filter(undoes__isnull=False).values_list("undoes", flat=True)
        )
        self.phone_times = Counter(PhoneAct.objects.values_list("key", flat=True))
        self._rows: dict[str, Counter[int]] = {}

    def size_of(self, act: Told) -> int:
        """Return how much of an act the book holds; 0 if nothing."""
        if act.kind == UNDO:
            return self._undone[act.key]
        if act.kind == PHONE:
            return self.phone_times[act.key]
        if self.kinds.get(act.key) != act.kind:
            return 0
        return self._sizes(act.kind)[self._pks[act.key]]

    def _sizes(self, kind: str) -> Counter[int]:
        if kind not in self._rows:
            model, way = _hung_on(kind)
            rows = model.objects.filter(**{f"{way}__kind": kind})
            self._rows[kind] = Counter(rows.values_list(f"{way}_id", flat=True))
        return self._rows[kind]


def _hung_on(kind: str) -> tuple[Any, str]:
    """Return the rows that an act of this kind consists of, and their way to it."""
    from production.models import PairMove, SockMove, Weighing
    from sales.models import Ask, CountLine, SaleLine

    several: dict[str, tuple[Any, str]] = {
        "mate": (PairMove, "act"),
        "tag": (PairMove, "act"),
        "pack": (PairMove, "act"),
        "weighed": (Weighing, "act"),
        "count": (CountLine, "act"),
        "ask": (Ask, "act"),
        "sale": (SaleLine, "sale__act"),
    }
    return several.get(kind, (SockMove, "act"))
