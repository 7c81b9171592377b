"""What people do at the stall: at the server's till, and by the parcels of a phone."""

import time
import uuid
from typing import Any

from tests.load.acts import Hands, Post
from tests.load.browser import Answer
from tests.load.ledger import PHONE, Told

PRICE_MINOR = 2800


def sell(hands: Hands) -> Post | None:
    """Tap one or two tiles at the server's till, and take the money."""
    till = f"/stall/{hands.seed.day}/"
    for _ in range(hands.dice.randint(1, 2)):
        hands.browser.post(f"{till}add/", [("tile", f"{hands.seed.pattern}-first")], "tap")
    return _purchase(hands, till, hands.browser.get(till))


def _purchase(hands: Hands, till: str, page: Answer) -> Post | None:
    lines = len(page.found(rf'action="{till}lines/\d+/(remove)/"'))
    keys = page.found(r'id="pay"[\s\S]*?name="key" value="([0-9a-f-]{36})"')
    if not lines or not keys:
        return None
    key = keys[0]
    paid_by = hands.dice.choice(["cash", "card", "other"])
    fields = [("key", key), ("paid_by", paid_by), ("anyway", "on")]
    return Post(f"{till}sell/", [Told(uuid.UUID(key), "sale", lines)], fields)


def ask(hands: Hands) -> Post:
    """Note what the table did not have; the page offers many kinds under one key."""
    key, pattern = uuid.uuid4(), hands.seed.pattern
    fields = [("key", key), ("pattern", pattern)]
    told = Told(uuid.uuid5(key, f"{pattern}"), "ask")
    return Post(f"/stall/{hands.seed.day}/asked-for/", [told], fields)


def send_parcel(hands: Hands) -> Post:
    """Send what the till on a phone has kept: sales, asks, and what was taken back."""
    makers = (_phone_sale, _phone_sale, _phone_ask, _phone_undo)
    acts = [hands.dice.choice(makers)(hands) for _ in range(hands.dice.randint(1, 3))]
    told = [Told(uuid.UUID(act["key"]), *_kind_and_size(act)) for act in acts]
    said = {"acts": acts, "device": "phone", "sent_at": _now_ms()}
    return Post(f"/stall/{hands.seed.day}/acts/", told, said=said)


def _kind_and_size(act: dict[str, Any]) -> tuple[str, int]:
    if act["kind"] == "undo":
        return PHONE, 1
    return act["kind"], len(act.get("lines", "1"))


def _phone_sale(hands: Hands) -> dict[str, Any]:
    line = {"pattern": hands.seed.pattern, "price_minor": PRICE_MINOR, "list_minor": PRICE_MINOR}
    lines = [line] * hands.dice.randint(1, 2)
    return _act("sale", lines=lines, paid_by=hands.dice.choice(["cash", "card"]))


def _phone_ask(hands: Hands) -> dict[str, Any]:
    return _act("ask", words="knee socks")


def _phone_undo(hands: Hands) -> dict[str, Any]:
    if not hands.on_phone:
        return _phone_ask(hands)
    return _act("undo", undoes=hands.on_phone.pop())


def _act(kind: str, **fields: Any) -> dict[str, Any]:
    return {"kind": kind, "key": str(uuid.uuid4()), "at": _now_ms(), **fields}


def _now_ms() -> int:
    return int(time.time() * 1000)
