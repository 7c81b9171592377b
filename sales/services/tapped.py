"""Pairs that a tap on a tile only stood for.

A tap says “one of these went”, and the book takes the pair that lay longest. When the number
of that very pair is read later the same day, it was another one that went with the tap. The
book then gives the tap another pair of the kind, instead of calling the pair sold twice.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from patterns.core.words import say
from production.core.places import PairPlace
from production.errors import CannotUndoError
from production.models import Act, Pair
from production.services.acts import lock_pairs, move_pairs
from sales.models import MarketDay, SaleLine
from sales.services.table import table_pairs


@dataclass(frozen=True, slots=True)
class Tapped:
    """An earlier line that named no number, and the pair that it takes instead."""

    line: SaleLine
    other: Pair


def tapped_away(day: MarketDay | None, pairs: Iterable[Pair]) -> dict[int, Tapped]:
    """Return by pair id what frees a sold pair: a tapped line and another pair of its kind."""
    wanted = {pair.pk: pair for pair in pairs}
    sold = [pair for pair in wanted.values() if pair.place == PairPlace.SOLD]
    used = set(wanted)
    found: dict[int, Tapped] = {}
    if day is None or not sold:
        return found
    lines = SaleLine.objects.filter(pair__in=sold, holds=True, claimed="", sale__day=day)
    for line in lines.select_related("pair__lot"):
        other = _another(day, line.pair, used) if line.pair else None
        if other and line.pair:
            used.add(other.pk)
            found[line.pair.pk] = Tapped(line, other)
    return found


def pass_on(act: Act, tapped: Tapped) -> None:
    """Give the tapped line its other pair, which leaves the table with this act."""
    move_pairs(act, lock_pairs([tapped.other.pk]), PairPlace.SOLD)
    SaleLine.objects.filter(pk=tapped.line.pk).update(pair=tapped.other)


def tapped_again(act: Act) -> list[tuple[SaleLine, int]]:
    """Return the tapped lines that get their first pair back when a sale is undone.

    Raises:
        CannotUndoError: If a pair of the sale was brought back, or a later sale rests on
            its pairs; the message names the pair.
    """
    lines = list(SaleLine.objects.filter(sale__act=act).select_related("pair__lot"))
    _refuse_returned(lines)
    held = {line.pair_id: line.pair for line in lines if line.pair}
    moved = {pair.pk: pair for pair in Pair.objects.filter(moves__act=act).select_related("lot")}
    gained = [pair for pk, pair in held.items() if pk not in moved]
    lent = [pair for pk, pair in moved.items() if pk not in held]
    back = []
    for pair in lent:
        line = SaleLine.objects.filter(pair=pair, holds=True, claimed="").first()
        first = next((own for own in gained if _alike(own, pair)), None)
        if line is None or first is None or line.sale.act_id >= act.pk:
            _refuse_later(pair)
        else:
            gained.remove(first)
            back.append((line, first.pk))
    if gained:
        _refuse_later(gained[0])
    return back


def give_back(lines: Iterable[tuple[SaleLine, int]]) -> None:
    """Give tapped lines the pairs that they had before the undone sale."""
    for line, pair_id in lines:
        SaleLine.objects.filter(pk=line.pk).update(pair=pair_id)


def _another(day: MarketDay, pair: Pair, used: set[int]) -> Pair | None:
    return (
        table_pairs(day)
        .filter(pattern=pair.pattern_id, quality=pair.quality, lot__yarn=pair.lot.yarn_id)
        .exclude(pk__in=used)
        .order_by("number")
        .first()
    )


def _alike(one: Pair, other: Pair) -> bool:
    kinds = [(pair.pattern_id, pair.quality, pair.lot.yarn_id) for pair in (one, other)]
    return kinds[0] == kinds[1]


def _refuse_returned(lines: Iterable[SaleLine]) -> None:
    for line in lines:
        if line.returns.filter(act__undone_by__isnull=True).exists():
            msg = say(
                "{pair} of this purchase was brought back since. Undo that first.", pair=line.pair
            )
            raise CannotUndoError(msg)


def _refuse_later(pair: Pair) -> None:
    msg = say(
        "The number of {label} was read in a later purchase. Undo that one first.", label=pair.label
    )
    raise CannotUndoError(msg)
