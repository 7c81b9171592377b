"""Rebuild the bench from its acts alone and name everything that disagrees."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal

from django.db.models import Sum
from django.db.models.functions import Coalesce

from production.core.places import PairPlace, SockPlace
from production.models import (
    OPENING_STRING,
    ActKind,
    DyeLot,
    Pair,
    PairMove,
    RunYarn,
    Sock,
    SockMark,
    SockMove,
    String,
    StringRun,
    YarnMove,
    YarnUse,
)

TENTH = Decimal("0.1")
BLANK = {"quality": "first"}  # what stands on a sock before anything was noted


@dataclass(slots=True)
class _SockState:
    place: str = ""
    pair: int | None = None
    figures: dict[str, str] = field(default_factory=dict)


def disagreements() -> Iterator[str]:
    """Yield a sentence for every place, figure or weight that the acts do not bear out."""
    socks: dict[int, _SockState] = {}
    names = dict(_sock_names())
    yield from _replay_socks(socks, names)
    yield from _replay_marks(socks, names)
    yield from _compare_socks(socks, names)
    yield from _replay_pairs()
    yield from _weights()
    yield from _on_hand()


def _sock_names() -> Iterator[tuple[int, str]]:
    rows = Sock.objects.values_list("pk", "string__number", "position").iterator()
    return ((pk, f"{number}-{position:02d}") for pk, number, position in rows)


def _replay_socks(socks: dict[int, _SockState], names: dict[int, str]) -> Iterator[str]:
    rows = SockMove.objects.order_by("pk").values_list("sock_id", "start", "end", "pair_id", "act")
    for sock, start, end, pair, act in rows.iterator():
        state = socks.setdefault(sock, _SockState())
        if state.place != start:
            yield (
                f"Sock {names[sock]}: act {act} takes it from “{start or 'the machine'}”, "
                f"but the acts before left it in “{state.place or 'the machine'}”."
            )
        state.place = end
        state.pair = pair if end == SockPlace.IN_PAIR else None


def _replay_marks(socks: dict[int, _SockState], names: dict[int, str]) -> Iterator[str]:
    rows = SockMark.objects.order_by("pk").values_list("sock_id", "field", "was", "became", "act")
    for sock, name, was, became, act in rows.iterator():
        figures = socks.setdefault(sock, _SockState()).figures
        if figures.get(name, BLANK.get(name, "")) != was:
            yield (
                f"Sock {names[sock]}: act {act} changes its {name} from “{was}”, "
                f"but the acts before left it “{figures.get(name, '')}”."
            )
        figures[name] = became


def _compare_socks(socks: dict[int, _SockState], names: dict[int, str]) -> Iterator[str]:
    rows = Sock.objects.values_list(
        "pk", "place", "pair_id", "quality", "fault", "foot_mm", "leg_mm"
    )
    for pk, place, pair, quality, fault, foot, leg in rows.iterator():
        state = socks.get(pk, _SockState())
        if state.place != place:
            yield (
                f"Sock {names[pk]} stands in “{place}”, its acts say "
                f"“{state.place or 'never made'}”."
            )
        if state.pair != pair:
            yield f"Sock {names[pk]} stands in pair row {pair}, its acts say {state.pair}."
        figures = state.figures
        kept = {"quality": quality, "fault": fault, "foot_mm": foot, "leg_mm": leg}
        for name, value in kept.items():
            said = figures.get(name, BLANK.get(name, ""))
            if said != ("" if value is None else str(value)):
                yield f"Sock {names[pk]} has {name} “{value}”, its acts say “{said}”."


def _replay_pairs() -> Iterator[str]:
    places: dict[int, str] = {}
    names = dict(Pair.objects.values_list("pk", "number").iterator())
    rows = PairMove.objects.order_by("pk").values_list("pair_id", "start", "end", "act")
    for pair, start, end, act in rows.iterator():
        before = places.get(pair, "")
        if before != start:
            yield (
                f"P{names[pair]}: act {act} takes it from “{start or 'the bench'}”, "
                f"but the acts before left it “{before or 'unmade'}”."
            )
        places[pair] = end
    inside = Counter(
        Sock.objects.filter(pair__isnull=False).values_list("pair_id", flat=True).iterator()
    )
    for pk, number, place in Pair.objects.values_list("pk", "number", "place").iterator():
        if places.get(pk, "") != place:
            yield (f"P{number} stands “{place}”, its acts say “{places.get(pk, 'never made')}”.")
        wanted = 0 if place == PairPlace.SPLIT else 2
        if inside[pk] != wanted:
            yield f"P{number} is “{place}” and holds {inside[pk]} socks; it should hold {wanted}."


def _weights() -> Iterator[str]:
    """Compare the grams booked for each string with what its runs say it took."""
    booked: Counter[tuple[int, int]] = Counter()
    moves = YarnMove.objects.filter(use=YarnUse.KNITTED, act__kind=ActKind.STRING)
    for act, lot, grams in moves.values_list("act_id", "lot_id", "grams").iterator():
        booked[act, lot] += grams  # type: ignore[assignment]
    needed: Counter[tuple[int, int]] = Counter()
    knit_by = Coalesce("run__resumed_by_id", "run__string__act_id")
    # Yarn of the opening stock was gone before the first lot was weighed in.
    in_book = RunYarn.objects.exclude(run__string__number=OPENING_STRING)
    uses = in_book.values_list(knit_by, "lot_id", "grams", "run__count")
    for act, lot, grams, count in uses.iterator():
        needed[act, lot] -= Decimal(str(round(grams * count, 1)))  # type: ignore[assignment]
    numbers = dict(String.objects.values_list("act_id", "number"))
    again = StringRun.objects.filter(resumed_by__isnull=False)
    numbers |= dict(again.values_list("resumed_by_id", "string__number"))
    lots = {lot.pk: str(lot) for lot in DyeLot.objects.select_related("yarn")}
    for key in booked.keys() | needed.keys():
        if abs(booked[key] - needed[key]) >= TENTH:
            act, lot = key
            yield (
                f"String {numbers.get(act, '?')} took {-needed[key]} g of {lots[lot]}, "
                f"but {-booked[key]} g are booked."
            )
    yield from _undone_weights()


def _on_hand() -> Iterator[str]:
    """Compare what stands beside each lot with what its moves add up to."""
    sums = dict(
        YarnMove.objects.order_by().values("lot_id").annotate(sum=Sum("grams"))
        .values_list("lot_id", "sum")
    )  # fmt: skip
    for lot in DyeLot.objects.select_related("yarn").iterator():
        booked = Decimal(sums.get(lot.pk, 0)).quantize(TENTH)
        if lot.grams != booked:
            yield f"{lot} stands at {lot.grams} g, its moves add up to {booked} g."


def _undone_weights() -> Iterator[str]:
    """Every undo gives back exactly the grams of the act it undoes."""
    sums: dict[tuple[int, int], Decimal] = {}
    rows = YarnMove.objects.values_list("act_id", "act__undoes_id", "lot_id", "grams")
    undone = set(
        YarnMove.objects.filter(act__undoes__isnull=False).values_list("act__undoes_id", flat=True)
    )
    for act, undoes, lot, grams in rows.iterator():
        root = undoes or act
        if root in undone:
            sums[root, lot] = sums.get((root, lot), Decimal(0)) + grams
    for (act, lot), grams in sums.items():
        if grams:
            yield f"Act {act} was undone, yet {grams} g of lot row {lot} stayed booked."
