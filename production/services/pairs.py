"""From single socks to tagged pairs on the shelf."""

from collections.abc import Iterable, Sequence
from typing import Any

from django.db import transaction
from django.db.models import OuterRef, Subquery, prefetch_related_objects

from patterns.core.words import say
from patterns.models import Pattern
from production.core.places import PairPlace, SockPlace
from production.errors import MoveNotAllowedError, ProductionError
from production.models import (
    Act,
    ActKind,
    Pair,
    PairMove,
    Price,
    Sock,
    TagText,
)
from production.services.acts import (
    Who,
    join_pair,
    leave_pair,
    lock_pairs,
    lock_socks,
    move_pairs,
    next_number,
    record,
    recorded,
)
from production.services.mating_table import worse

FIRST_PAIR_NUMBER = 1001
HIGHEST_PRICE_MINOR = 10_000_000


@transaction.atomic
def mate_socks(
    *, couples: Sequence[tuple[int, int]], who: Who, minutes: float | None = None, note: str = ""
) -> Act:
    """Make pairs of the couples (sock ids). Each pair gets the next number.

    Raises:
        ProductionError: If nothing was chosen, or a couple cannot be a pair: the same
            sock twice, two patterns, or two lots without a reason in `note`.
        MoveNotAllowedError: If a sock is no longer waiting for its mate.
    """
    if done := recorded(who.key):
        return done
    socks = _lock_couples(couples)
    act = record(ActKind.MATE, who, note=note, minutes=minutes)
    number = next_number(Pair, first=FIRST_PAIR_NUMBER)
    made = []
    for offset, (left_id, right_id) in enumerate(couples):
        left, right = socks[left_id], socks[right_id]
        _check_couple(left, right, note)
        made.append(_join(act, number + offset, left, right))
    PairMove.objects.bulk_create(
        PairMove(act=act, pair=pair, start="", end=PairPlace.TO_TAG) for pair in made
    )
    return act


@transaction.atomic
def split_pair(*, pair: Pair, who: Who, note: str = "") -> Act:
    """Take a pair apart; its socks wait for a mate again.

    Raises:
        MoveNotAllowedError: If the pair is sold, packed or gone.
    """
    if done := recorded(who.key):
        return done
    [pair] = lock_pairs([pair.pk])
    act = record(ActKind.SPLIT, who, note=note)
    move_pairs(act, [pair], PairPlace.SPLIT)
    leave_pair(act, pair)
    return act


@transaction.atomic
def set_price(*, pattern: Pattern, first_minor: int, second_minor: int, who: Who) -> Price:
    """Set what a pattern costs from now on; older prices stay as history.

    Raises:
        ProductionError: If a price is negative or absurd, or a second costs more.
    """
    for field, minor in (("first", first_minor), ("second", second_minor)):
        if not 0 <= minor <= HIGHEST_PRICE_MINOR:
            msg = say(
                "{minor} is no price; give 0 to {most} in minor units.",
                minor=minor,
                most=HIGHEST_PRICE_MINOR,
            )
            raise ProductionError(msg, field=field)
    if second_minor > first_minor:
        msg = say("A second does not cost more than a first.")
        raise ProductionError(msg, field="second")
    newest = current_prices([pattern.pk]).get(pattern.pk)
    if newest and (newest.first_minor, newest.second_minor) == (first_minor, second_minor):
        return newest
    return Price.objects.create(
        pattern=pattern,
        first_minor=first_minor,
        second_minor=second_minor,
        since=who.at,
        by=who.by,
    )


def current_prices(pattern_ids: Iterable[int]) -> dict[int, Price]:
    """Return the newest price of each pattern that has one, by pattern id."""
    newest = Price.objects.filter(pattern=OuterRef("pk")).order_by("-since", "-pk")
    # One look for each pattern; asked of each price, every old one would be looked at as well.
    keys = Pattern.objects.filter(pk__in=set(pattern_ids)).values_list(
        Subquery(newest.values("pk")[:1])
    )
    return {price.pattern_id: price for price in Price.objects.filter(pk__in=keys)}


@transaction.atomic
def tag_pairs(
    *,
    texts: dict[int, dict[str, Any]],
    who: Who,
    minutes: float | None = None,
    note: str = "",
) -> Act:
    """Put tagged pairs on the shelf. `texts` holds the printed words by pair id.

    `note` says why, when a tag was printed although something was missing on it.

    Raises:
        ProductionError: If none was chosen, or a pair has no price yet.
        MoveNotAllowedError: If a pair is not waiting for its tag.
    """
    if done := recorded(who.key):
        return done
    pairs = lock_pairs(texts)
    if not pairs:
        msg = say("Choose the pairs to tag.")
        raise ProductionError(msg, field="pairs")
    prices = current_prices(pair.pattern_id for pair in pairs)
    for pair in pairs:
        if pair.pattern_id not in prices:
            msg = say(
                "{label} has no price yet. Set the price of {pattern} first.",
                label=pair.label,
                pattern=pair.pattern,
            )
            raise ProductionError(msg, field="pairs")
        if pair.place != PairPlace.TO_TAG:
            msg = say(
                "{label} is {place}; it does not wait for a tag.",
                label=pair.label,
                place=pair.place_name,
            )
            raise MoveNotAllowedError(msg)
    act = record(ActKind.TAG, who, note=note, minutes=minutes)
    move_pairs(act, pairs, PairPlace.SHELF)
    for pair in pairs:
        price = prices[pair.pattern_id].of_quality(pair.quality)
        Pair.objects.filter(pk=pair.pk).update(price_minor=price)
    TagText.objects.bulk_create(TagText(act=act, pair=pair, text=texts[pair.pk]) for pair in pairs)
    return act


def _lock_couples(couples: Sequence[tuple[int, int]]) -> dict[int, Sock]:
    ids = [pk for couple in couples for pk in couple]
    if not ids:
        msg = say("Choose the socks that go together.")
        raise ProductionError(msg, field="couples")
    if len(set(ids)) != len(ids):
        msg = say("One sock cannot be in two pairs.")
        raise ProductionError(msg, field="couples")
    found = lock_socks(ids)
    if len(found) < len(ids):
        msg = say("One of these socks is not in the book. Look at the page again.")
        raise ProductionError(msg, field="couples")
    prefetch_related_objects(found, "version__pattern", "lot")
    return {sock.pk: sock for sock in found}


def _join(act: Act, number: int, left: Sock, right: Sock) -> Pair:
    pair = Pair.objects.create(
        number=number,
        version=left.version,
        pattern=left.version.pattern,
        lot=left.lot,
        quality=worse(left.quality, right.quality),
        place=PairPlace.TO_TAG,
        since=act.at,
    )
    join_pair(act, pair, [left, right])
    return pair


def _check_couple(left: Sock, right: Sock, note: str) -> None:
    for sock in (left, right):
        if sock.place != SockPlace.TO_MATE:
            msg = say(
                "Sock {number} is {place}; it does not wait for a mate.",
                number=sock.number,
                place=sock.place_name,
            )
            raise MoveNotAllowedError(msg)
    if left.version.pattern_id != right.version.pattern_id:
        msg = say("{one} and {other} are of two patterns.", one=left.number, other=right.number)
        raise ProductionError(msg, field="couples")
    same = left.version_id == right.version_id and left.lot_id == right.lot_id
    if not same and not note.strip():
        msg = say(
            "{one} and {other} are of two lots or versions and may show it. Say why "
            "they go together.",
            one=left.number,
            other=right.number,
        )
        raise ProductionError(msg, field="note")
