"""The list for the bench: orders with a date, strings to knit, baskets to clear."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from patterns.core.words import say
from patterns.models import PatternVersion
from production.models import DyeLot
from sales.core.making import Plan
from sales.models import Order, OrderState
from sales.services.sellbook import Book
from sales.services.underway import Underway
from sales.services.yarnshare import YarnShelf


@dataclass(frozen=True, slots=True)
class OrderLine:
    """An order with a date, taken before everything else.

    Attributes:
        order: Whose.
        lot: Yarn for it; None if none suits or its pattern is not known.
        minutes: What it takes [min].
        underway: The pair in the baskets that will do, if there is one.
        trouble: Why it cannot be planned; empty if it can.
    """

    order: Order
    lot: DyeLot | None
    minutes: float
    machine_minutes: float
    underway: Underway | None
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class Knit:
    """Socks of one kind to knit as one string."""

    version: PatternVersion
    lot: DyeLot | None
    socks: int
    why: str


def plan_orders(
    book: Book, underway: dict[int, list[Underway]], yarn: YarnShelf
) -> list[OrderLine]:
    """Plan the orders that have no pair yet, and take what they need off the rest."""
    rows = (
        Order.objects.due()
        .filter(state=OrderState.OPEN, pair__isnull=True)
        .select_related("version__pattern__design", "lot__yarn")
    )
    return [_order_line(order, book, underway, yarn) for order in rows]


def _order_line(
    order: Order, book: Book, underway: dict[int, list[Underway]], yarn: YarnShelf
) -> OrderLine:
    version = order.version
    if version is None:
        return OrderLine(
            order, None, 0, 0, None, say("Plan its pattern first; then it counts here.")
        )
    waiting = underway.get(version.pattern_id, [])
    fit = [u for u in waiting if u.version_id == version.pk and order.lot_id in (None, u.lot_id)]
    if fit:
        waiting.remove(fit[0])
        return OrderLine(order, None, fit[0].minutes, fit[0].machine_minutes, fit[0])
    cost = book.costs.get(version.pattern_id)
    machine = version.machine_minutes
    finish = cost.finish_minutes if cost else 2 * version.seam_minutes
    taken = yarn.take(version, 1, order.lot_id)
    none = say("No lot in the book has the yarn for it.")
    minutes = machine + finish
    if taken:
        return OrderLine(order, taken[0][0], minutes, machine, None)
    return OrderLine(order, None, minutes, machine, None, none)


def share_yarn(book: Book, plan: Plan, yarn: YarnShelf) -> tuple[list[Knit], dict[int, int]]:
    """Take yarn for what is to be begun, the worthiest kind first; return what was short."""
    knit: list[Knit] = []
    short: dict[int, int] = {}
    wanted = sorted(zip(book.found.kinds, plan.lines, strict=True), key=lambda row: -row[1].worth)
    for history, line in wanted:
        version = book.costs[history.pattern.pk].version
        new = line.count - line.to_finish
        if not new or version is None:
            continue
        taken = yarn.take(version, new)
        knit += [Knit(version, lot, 2 * pairs, "") for lot, pairs in taken]
        got = sum(pairs for _, pairs in taken)
        if got < new:
            short[history.pattern.pk] = got
    return knit, short


def partner_strings(
    book: Book, plan: Plan, underway: Mapping[int, list[Underway]]
) -> Iterable[Knit]:
    """Return the single socks to knit for odd ones, from their own version and lot."""
    taken = [
        one
        for history, line in zip(book.found.kinds, plan.lines, strict=True)
        for one in underway.get(history.pattern.pk, [])[: line.to_finish]
    ]
    odd = Counter((one.version_id, one.lot_id) for one in taken if one.is_odd)
    kinds = PatternVersion.objects.select_related("pattern__design")
    versions = kinds.in_bulk([version for version, _ in odd])
    lots = DyeLot.objects.with_yarn().in_bulk([lot for _, lot in odd])
    for (version_id, lot_id), count in odd.items():
        yield Knit(versions[version_id], lots[lot_id], count, say("partner of an odd sock"))


def order_strings(orders: Sequence[OrderLine]) -> Iterable[Knit]:
    """Return the strings that orders want knitted."""
    for one in orders:
        if one.lot is not None and one.order.version is not None:
            why = say(
                "order of {customer}, {until:short}",
                customer=one.order.customer,
                until=one.order.promised_on,
            )
            yield Knit(one.order.version, one.lot, 2, why)


def baskets_to_clear(
    plan: Plan,
    underway: Mapping[int, list[Underway]],
    book: Book,
    orders: Sequence[OrderLine],
) -> dict[str, int]:
    """Return how many socks of each basket the plan takes through."""
    counts: dict[str, int] = defaultdict(int)
    for history, line in zip(book.found.kinds, plan.lines, strict=True):
        for one in underway.get(history.pattern.pk, [])[: line.to_finish]:
            for key in one.baskets:
                counts[key] += 1
    for order in orders:
        for key in order.underway.baskets if order.underway else ():
            counts[key] += 1
    return dict(counts)
