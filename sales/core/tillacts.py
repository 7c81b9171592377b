"""What a phone says was done at the stall, read strictly. Nothing here knows the book.

A phone sends plain JSON. Whatever cannot be read here is kept whole for a person; whatever
can be read is a fact, however odd it looks beside the book.
"""

import datetime as dt
import json
import uuid
from collections.abc import Mapping
from dataclasses import dataclass

HIGHEST_MINOR = 10_000_000
MOST_LINES = 100
LONGEST_NUMBER, LONGEST_WORDS = 40, 120
HIGHEST_ID = 2**62
KEYS = uuid.UUID("6f6f1c5e-6a5f-5d0b-9a86-5f3c5b8f2a11")  # the name space of keys made here
EARLIEST_MS = 946_684_800_000  # the year 2000
QUALITIES = ("first", "second")
PAYMENTS = ("cash", "card", "other")


@dataclass(frozen=True, slots=True)
class SaidLine:
    """One pair that went: by its number, or by a kind as the tile named it [minor units]."""

    price_minor: int
    number: str = ""
    pattern: int | None = None
    yarn: int | None = None
    quality: str = "first"
    name: str = ""
    list_minor: int | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class SaidBack:
    """One pair that a buyer brought back, and what was paid out [minor units]."""

    number: str
    refund_minor: int


@dataclass(frozen=True, slots=True)
class SaidPurchase:
    """A sale, a return, or both at once: an exchange."""

    lines: tuple[SaidLine, ...]
    back: tuple[SaidBack, ...]
    paid_by: str
    tax_minor: int | None = None
    tax_included: bool = True


@dataclass(frozen=True, slots=True)
class SaidAsk:
    """What the table could not give."""

    pattern: int | None
    words: str


@dataclass(frozen=True, slots=True)
class SaidUndo:
    """Another act of the phone that is taken back."""

    key: uuid.UUID


Said = SaidPurchase | SaidAsk | SaidUndo


def body_of(raw: object) -> str:
    """Return an act as text, the same for the same act however its fields were ordered."""
    return storable(raw) if isinstance(raw, str) else json.dumps(raw, sort_keys=True)


def storable(text: str) -> str:
    """Return text as a database takes it: JSON may carry nulls and halves of characters."""
    return text.replace("\0", "").encode("utf-8", "replace").decode("utf-8")


def key_of(raw: object) -> uuid.UUID:
    """Return the act's own key; without a readable one, a key made from its words."""
    given = raw.get("key") if isinstance(raw, Mapping) else None
    try:
        return uuid.UUID(str(given))
    except ValueError:
        return uuid.uuid5(KEYS, body_of(raw))


def key_of_back(key: uuid.UUID, place: int) -> uuid.UUID:
    """Return the key of a pair brought back within the act `key`, counted from 0."""
    return uuid.uuid5(key, f"back {place}")


def moment_of(
    raw: object, *, sent_at_ms: object, received: dt.datetime
) -> tuple[dt.datetime, bool]:
    """Return when an act happened, and whether its clock can be believed.

    A phone whose clock is off by more than two minutes is off by the same at the act and at
    the sending, so the difference of the two still tells how long ago it was.

    Args:
        raw: The act; its `at` is in milliseconds since 1970 by the phone's clock [ms].
        sent_at_ms: The phone's clock when it sent the act [ms].
        received: When it arrived.
    """
    said = raw.get("at") if isinstance(raw, Mapping) else None
    if not _is_whole(said) or not isinstance(said, int):
        return received, False
    now_ms = int(received.timestamp() * 1000)
    slow_ms = now_ms - sent_at_ms if _is_whole(sent_at_ms) and isinstance(sent_at_ms, int) else 0
    told_ms = said + slow_ms if abs(slow_ms) > 120_000 else said
    if not EARLIEST_MS <= told_ms <= now_ms + 120_000:
        return received, False
    told = dt.datetime.fromtimestamp(min(told_ms, now_ms) / 1000, tz=dt.UTC)
    return told, True


def read_act(raw: object) -> Said:
    """Return what an act says.

    Raises:
        ValueError: If it cannot be understood; the message says which part.
    """
    fields = _fields("act", raw)
    kind = fields.get("kind")
    if kind in ("sale", "return"):
        return _purchase(fields)
    if kind == "ask":
        return _ask(fields)
    if kind == "undo":
        return _undo(fields)
    msg = f"kind={kind!r:.60} is no act of the till; it knows sale, return, ask and undo."
    raise ValueError(msg)


def _purchase(fields: Mapping[str, object]) -> SaidPurchase:
    lines = tuple(_line(line) for line in _list("lines", fields.get("lines", [])))
    back = tuple(_back(pair) for pair in _list("back", fields.get("back", [])))
    if not lines and not back:
        msg = "lines=[] and back=[]: a purchase has at least one pair going or coming."
        raise ValueError(msg)
    paid_by = fields.get("paid_by")
    if paid_by not in PAYMENTS:
        msg = f"paid_by={paid_by!r:.60} must be one of {', '.join(PAYMENTS)}."
        raise ValueError(msg)
    tax = fields.get("tax_minor")
    return SaidPurchase(
        lines=lines,
        back=back,
        paid_by=str(paid_by),
        tax_minor=None if tax is None else _minor("tax_minor", tax),
        tax_included=fields.get("tax_included") is not False,
    )


def _line(raw: object) -> SaidLine:
    fields = _fields("line", raw)
    line = SaidLine(
        price_minor=_minor("price_minor", fields.get("price_minor")),
        number=_words("number", fields.get("number"), LONGEST_NUMBER),
        pattern=_id("pattern", fields.get("pattern")),
        yarn=_id("yarn", fields.get("yarn")),
        quality=_quality(fields.get("quality")),
        name=_words("name", fields.get("name"), LONGEST_WORDS),
        list_minor=_list_price(fields.get("list_minor")),
        reason=_words("reason", fields.get("reason"), LONGEST_WORDS),
    )
    if not line.number and line.pattern is None:
        msg = "A line names neither a pair number nor a kind."
        raise ValueError(msg)
    return line


def _back(raw: object) -> SaidBack:
    fields = _fields("back", raw)
    number = _words("number", fields.get("number"), LONGEST_NUMBER)
    return SaidBack(number or "no number", _minor("refund_minor", fields.get("refund_minor")))


def _ask(fields: Mapping[str, object]) -> SaidAsk:
    ask = SaidAsk(
        pattern=_id("pattern", fields.get("pattern")),
        words=_words("words", fields.get("words"), LONGEST_WORDS),
    )
    if ask.pattern is None and not ask.words:
        msg = "The request names neither a kind nor words."
        raise ValueError(msg)
    return ask


def _undo(fields: Mapping[str, object]) -> SaidUndo:
    try:
        return SaidUndo(uuid.UUID(str(fields.get("undoes"))))
    except ValueError:
        msg = f"undoes={fields.get('undoes')!r:.60} must be the key of the act to take back."
        raise ValueError(msg) from None


def _fields(name: str, raw: object) -> Mapping[str, object]:
    if isinstance(raw, Mapping):
        return raw
    msg = f"{name}={raw!r:.60} must be an object with named fields."
    raise ValueError(msg)


def _list(name: str, raw: object) -> list[object]:
    if not isinstance(raw, list) or len(raw) > MOST_LINES:
        msg = f"{name}={raw!r:.60} must be a list of at most {MOST_LINES}."
        raise ValueError(msg)
    return raw


def _is_whole(raw: object) -> bool:
    return isinstance(raw, int) and not isinstance(raw, bool)


def _minor(name: str, raw: object) -> int:
    if isinstance(raw, int) and _is_whole(raw) and 0 <= raw <= HIGHEST_MINOR:
        return raw
    msg = f"{name}={raw!r:.60} must be a whole number of minor units from 0 to {HIGHEST_MINOR}."
    raise ValueError(msg)


def _list_price(raw: object) -> int | None:
    return None if raw is None else _minor("list_minor", raw)


def _id(name: str, raw: object) -> int | None:
    if raw is None:
        return None
    if isinstance(raw, int) and _is_whole(raw) and 0 < raw <= HIGHEST_ID:
        return raw
    msg = f"{name}={raw!r:.60} must be the whole number of a row."
    raise ValueError(msg)


def _quality(raw: object) -> str:
    if raw is None:
        return "first"
    if raw in QUALITIES:
        return str(raw)
    msg = f"quality={raw!r:.60} must be one of {', '.join(QUALITIES)}."
    raise ValueError(msg)


def _words(name: str, raw: object, longest: int) -> str:
    if raw is None:
        return ""
    if isinstance(raw, str) or _is_whole(raw):
        # A fact is not lost over a long word.
        return storable(str(raw)).strip()[:longest]
    msg = f"{name}={raw!r:.60} must be text."
    raise ValueError(msg)
