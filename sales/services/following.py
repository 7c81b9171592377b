"""An order on its way: yarn kept back for it, its socks in the baskets, its pair."""

import re
from collections import Counter
from dataclasses import dataclass

from django.db import transaction
from django.db.models import Sum

from patterns.core.words import say
from production.core.places import PairPlace
from production.models import DyeLot, Pair, Sock, StringRun
from production.services.acts import Who
from sales.errors import SalesError
from sales.models import Order
from sales.services.changes import note_change

SOCKS_OF_A_PAIR = 2
AT_HOME = (PairPlace.TO_TAG, PairPlace.SHELF)
_SOCK = re.compile(r"(\d{1,9})(?:\s*[-/ ]\s*(\d{1,4}))?")


@dataclass(frozen=True, slots=True)
class YarnKept:
    """The lot of an order against what is on hand and what others wait for [g].

    Attributes:
        lot: The lot.
        need_g: Grams for this order, if known.
        on_hand_g: Grams on hand.
        others_g: Grams kept back for other orders that are not knitted yet.
    """

    lot: DyeLot
    need_g: float | None
    on_hand_g: float
    others_g: float

    @property
    def free_g(self) -> float:
        """Grams on hand that nobody else waits for."""
        return self.on_hand_g - self.others_g

    @property
    def short_g(self) -> float:
        """Grams that are missing for this order."""
        return max(0.0, (self.need_g or 0.0) - self.free_g)


@dataclass(frozen=True, slots=True)
class OnItsWay:
    """The socks knitted for an order.

    Attributes:
        socks: In the order of the string.
        pairs: Pairs made of them that can be set aside.
    """

    socks: tuple[Sock, ...]
    pairs: tuple[Pair, ...]

    @property
    def places(self) -> list[tuple[str, int]]:
        """Where the socks are, and how many of them."""
        return list(Counter(sock.place_name for sock in self.socks).items())


def yarn_for(version_grams: float | None, typed_g: float | None) -> float | None:
    """Return the grams to keep back: as typed, else a pair of the planned sock."""
    if typed_g is not None or version_grams is None:
        return typed_g
    return SOCKS_OF_A_PAIR * version_grams


def yarn_kept(order: Order) -> YarnKept | None:
    """Return how the yarn of an order stands; None without a lot."""
    if order.lot is None:
        return None
    waiting = Order.objects.due().filter(lot=order.lot, run__isnull=True).exclude(pk=order.pk)
    return YarnKept(
        lot=order.lot,
        need_g=None if order.run_id else order.yarn_g,
        on_hand_g=float(order.lot.grams),
        others_g=waiting.aggregate(sum=Sum("yarn_g"))["sum"] or 0.0,
    )


def on_its_way(order: Order) -> OnItsWay | None:
    """Return the socks knitted for an order and the pairs made of them."""
    if order.run_id is None:
        return None
    socks = Sock.objects.filter(run=order.run_id).select_related("string").order_by("position")
    pairs = Pair.objects.filter(socks__run=order.run_id, place__in=AT_HOME).distinct()
    return OnItsWay(tuple(socks), tuple(pairs.with_kind().order_by("number")))


@transaction.atomic
def follow_socks(*, order: Order, text: str, who: Who) -> Order:
    """Say which socks were knitted for an order, by the number of one of them.

    Args:
        order: The order.
        text: A sock like `212-03`, or a string like `212` if it is of one kind.
        who: Who says so.

    Raises:
        SalesError: If there is no such sock or string, or the string holds several kinds.
    """
    run = _run_of(text)
    if Order.objects.due().filter(run=run).exclude(pk=order.pk).exists():
        # Two orders may share a string: six socks of a kind are three pairs.
        room = run.count // SOCKS_OF_A_PAIR
        if Order.objects.due().filter(run=run).exclude(pk=order.pk).count() >= room:
            msg = say("The {count} socks there are all for other orders.", count=run.count)
            raise SalesError(msg, field="socks")
    Order.objects.filter(pk=order.pk).update(run=run)
    order.run = run
    words = say(
        "Knitted in {string}, from sock {position}.",
        string=run.string,
        position=run.first_position,
    )
    note_change(who, words, order=order)
    return order


def _run_of(text: str) -> StringRun:
    match = _SOCK.fullmatch(text.strip())
    if match is None:
        msg = say(
            "“{strip:.40}” is no sock. Type its number, like 212-03, or the string's.",
            strip=text.strip(),
        )
        raise SalesError(msg, field="socks")
    runs = StringRun.objects.select_related("string").filter(string__number=int(match[1]))
    if match[2]:
        runs = runs.filter(socks__position=int(match[2]))
    found = list(runs.order_by("first_position")[:2])
    if not found:
        msg = say("The book has no {strip}. Log the string first.", strip=text.strip())
        raise SalesError(msg, field="socks")
    if len(found) > 1:
        msg = say(
            "{string} holds several kinds. Give one sock of it, like {match_1}-01.",
            string=found[0].string,
            match_1=match[1],
        )
        raise SalesError(msg, field="socks")
    return found[0]
