"""One recipe for each act a person does often: what to send where.

A recipe looks at the open book and returns an address and what is sent there, or None where
the book holds nothing to do it with. Looking is not timed, sending is.
"""

import json
import uuid
from collections.abc import Callable
from itertools import pairwise
from typing import Any

from django.test import Client
from django.urls import reverse

from production.core.places import STEPS, PairPlace, SockPlace
from production.models import Act, ActKind, Pair, Sock
from production.services.string_queries import last_run
from production.services.tagsheets import sheet_choices
from sales.models import MarketDay
from sales.services.shelf import shelf_kinds
from sales.services.tiles import tiles_of
from socktrade.models import Workshop

Sent = tuple[str, Any] | None
Recipe = Callable[[Client, MarketDay], Sent]


def tick(_client: Client, _day: MarketDay) -> Sent:
    """One sock done at the first step that has one waiting."""
    for step in STEPS:
        sock = Sock.objects.filter(place=step.start).order_by("-pk").first()
        if sock is not None and step.key in ("cut", "seam", "dry"):
            address = reverse("production:basket_detail", args=[step.key])
            return address, {"socks": [sock.pk], **_key()}
    return None


def log_string(_client: Client, _day: MarketDay) -> Sent:
    """Two socks like the last ones."""
    last = last_run()
    if last is None:
        return None
    lot = last.yarns.first()
    sent = {"version": last.version_id, "lot": lot.lot_id, "count": 2, **_key()}
    return reverse("production:string_new"), sent


def mate(_client: Client, _day: MarketDay) -> Sent:
    """Two socks by hand, of one version and lot."""
    waiting = Sock.objects.filter(place=SockPlace.TO_MATE).select_related("string")
    for left, right in pairwise(waiting.order_by("version", "lot", "quality", "pk")):
        if (left.version_id, left.lot_id) == (right.version_id, right.lot_id):
            sent = {"left": left.number, "right": right.number, "note": "Alike", **_key()}
            return reverse("production:mate_by_hand"), sent
    return None


def tag(_client: Client, _day: MarketDay) -> Sent:
    """The first pair that waits for its tag."""
    pair = Pair.objects.filter(place=PairPlace.TO_TAG).order_by("pk").first()
    if pair is None:
        return None
    sheet = sheet_choices(Workshop.current().label_rules)[0][0]
    sent = {"pair": f"P{pair.number}", "sheet": sheet, "start": 1, "reason": "As it is", **_key()}
    return reverse("production:tag_on"), sent


def weigh(_client: Client, _day: MarketDay) -> Sent:
    """The newest lot that was knitted from."""
    last = last_run()
    if last is None:
        return None
    lot = last.yarns.first().lot
    sent = {"gross_g": "500", "packages": "1", "anyway": "on", **_key()}
    return reverse("production:lot_weigh", args=[lot.pk]), sent


def sale(client: Client, day: MarketDay) -> Sent:
    """One pair over the server's own till; the tap that put it there is not timed."""
    tiles = tiles_of(day)
    if not tiles:
        return None
    client.post(reverse("sales:stall_clear", args=[day.pk]))
    client.post(reverse("sales:stall_add", args=[day.pk]), {"tile": tiles[0].key})
    return reverse("sales:stall_sell", args=[day.pk]), {"paid_by": "cash", **_key()}


def sale_sent_by_phone(_client: Client, day: MarketDay) -> Sent:
    """One pair as the phone's till sends it."""
    pair = Pair.objects.filter(place=PairPlace.STALL).order_by("-pk").first()
    if pair is None:
        return None
    line = {"number": pair.label, "price_minor": 2800, "list_minor": 2800}
    one = {"kind": "sale", "paid_by": "cash", "lines": [line], **_key()}
    parcel = json.dumps({"acts": [one], "device": "bench"})
    return reverse("sales:till_acts", args=[day.pk]), parcel


def ask(_client: Client, day: MarketDay) -> Sent:
    """Something the table could not give, in words."""
    sent = {"words": "Grey, to the knee", **_key()}
    return reverse("sales:stall_asked", args=[day.pk]), sent


def count(_client: Client, _day: MarketDay) -> Sent:
    """The shelf counted and found as the book has it."""
    kinds = shelf_kinds()
    if not kinds:
        return None
    return reverse("sales:shelf_count"), {**{k.key: k.expected for k in kinds}, **_key()}


def undo(_client: Client, _day: MarketDay) -> Sent:
    """The newest act that is only a note at the stall."""
    act = Act.objects.standing().filter(kind=ActKind.ASK).order_by("-pk").first()
    return act and (reverse("act_undo"), {"act": act.pk, "next": "/"})


RECIPES: dict[str, Recipe] = {
    "tick": tick,
    "log a string": log_string,
    "mate": mate,
    "tag": tag,
    "weigh": weigh,
    "sale": sale,
    "sale by phone": sale_sent_by_phone,
    "ask": ask,
    "count": count,
    "undo": undo,
}


def _key() -> dict[str, str]:
    return {"key": str(uuid.uuid4())}
