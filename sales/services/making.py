"""What to make in the hours before the next market day, and why."""

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from patterns.core.words import say
from patterns.models import Pattern
from production.core.places import STEPS
from sales.core.making import Kind, Line, Plan, Started, make
from sales.models import MarketDay
from sales.services.benchlist import (
    Knit,
    OrderLine,
    baskets_to_clear,
    order_strings,
    partner_strings,
    plan_orders,
    share_yarn,
)
from sales.services.makewords import kind_reasons, plan_notes
from sales.services.report import KindHistory
from sales.services.sellbook import KEEPING_SHARE, Book, read_book
from sales.services.underway import Underway, pairs_underway
from sales.services.yarnshare import YarnShelf, yarn_to_plan
from socktrade.models import Workshop

HOUR = 60
MOST_TRIES = 8


@dataclass(frozen=True, slots=True)
class Time:
    """The minutes there are [min], and how they came about."""

    minutes: int
    machine_minutes: int
    days: int | None


@dataclass(frozen=True, slots=True)
class KindLine:
    """One kind in the plan.

    Attributes:
        pattern: What it is.
        line: What the arithmetic says.
        on_hand: Finished pairs that no customer is promised [pairs].
        underway: Pairs in progress [pairs].
        reasons: Sentences behind the number.
        guess: Whether nothing but a guess stands behind it.
    """

    pattern: Pattern
    line: Line
    on_hand: int
    underway: int
    reasons: tuple[str, ...]
    guess: bool

    @property
    def new(self) -> int:
        """Pairs to begin [pairs]."""
        return self.line.count - self.line.to_finish


@dataclass(frozen=True, slots=True)
class MakePlan:
    """The list for the bench.

    Attributes:
        day: The market day it is for, if one is planned.
        time: Minutes there are.
        orders: Orders with a date.
        knit: Strings to knit.
        baskets: Socks to take through each basket, by step key.
        kinds: Every kind that was told of, those with something to do first.
        plan: What the arithmetic says of the minutes beside the orders.
        hour_worth_minor: What one more hour is expected to bring [minor units].
        notes: What she should know about the plan.
    """

    day: MarketDay | None
    time: Time
    orders: tuple[OrderLine, ...]
    knit: tuple[Knit, ...]
    baskets: dict[str, int]
    kinds: tuple[KindLine, ...]
    plan: Plan
    hour_worth_minor: int
    notes: tuple[str, ...]

    @property
    def to_do(self) -> list[KindLine]:
        """Kinds of which something is to be done."""
        return [kind for kind in self.kinds if kind.line.count]

    @property
    def left_out(self) -> list[KindLine]:
        """Kinds of which nothing is to be done."""
        return [kind for kind in self.kinds if not kind.line.count]

    @property
    def basket_list(self) -> list[tuple[str, str, int]]:
        """Baskets to clear in the order of work: key, name, socks (pairs for tags)."""
        names = {step.key: step.basket for step in STEPS} | {
            "mate": say("To mate"),
            "tag": say("To tag"),
        }
        return [
            (key, name, self.baskets[key]) for key, name in names.items() if key in self.baskets
        ]

    @property
    def minutes(self) -> int:
        """Minutes planned in all [min]."""
        return self.plan.minutes + sum(round(order.minutes) for order in self.orders)


def usual_time(*, workshop: Workshop, day: MarketDay | None, today: dt.date) -> Time:
    """Return the hours there usually are before a day: her week, less the drying at its end.

    Without a market day ahead it is one week.
    """
    days = max(0, (day.date - today).days) if day else None
    a_day = workshop.hours_per_week * HOUR / 7
    span = 7 if days is None else days
    machine = max(0, span - workshop.drying_days) if days is not None else span
    return Time(round(a_day * span), round(a_day * machine), days)


def plan_making(
    *, workshop: Workshop, today: dt.date, time: Time, day: MarketDay | None = None
) -> MakePlan:
    """Return what to make.

    Args:
        workshop: Her hours, wage, fees and how buyers ask.
        today: When the plan is made.
        time: Minutes there are.
        day: The market day it is for.
    """
    late = time.days is not None and time.days < workshop.drying_days
    book = read_book(workshop=workshop, today=today, day=day)
    underway = pairs_underway(washed_only=late)
    yarn = yarn_to_plan(reserve_g=workshop.lot_reserve_g, pattern_ids=book.costs)
    orders = plan_orders(book, underway, yarn)
    left = replace(
        time,
        minutes=max(0, time.minutes - round(sum(o.minutes for o in orders))),
        machine_minutes=max(
            0, time.machine_minutes - round(sum(o.machine_minutes for o in orders))
        ),
    )
    kinds, plan, knit = _solve(book, underway, yarn, left)
    more = make(kinds, left.minutes + HOUR, left.machine_minutes + (0 if late else HOUR))
    return MakePlan(
        day=day,
        time=time,
        orders=tuple(orders),
        knit=(*order_strings(orders), *partner_strings(book, plan, underway), *knit),
        baskets=baskets_to_clear(plan, underway, book, orders),
        kinds=tuple(_lines(book, kinds, plan, underway)),
        plan=plan,
        hour_worth_minor=max(0, round(more.value - plan.value)),
        notes=tuple(
            plan_notes(book, day, late=late, orders_fill_it=bool(orders) and not left.minutes)
        ),
    )


def _solve(
    book: Book, underway: Mapping[int, list[Underway]], yarn: YarnShelf, time: Time
) -> tuple[list[Kind], Plan, list[Knit]]:
    """Choose, share out the yarn, and choose again while two kinds want the same lot."""
    caps: dict[int, int] = {}
    for _ in range(MOST_TRIES):
        kinds = [_kind(book, history, underway, yarn, caps) for history in book.found.kinds]
        plan = make(kinds, time.minutes, time.machine_minutes)
        knit, short = share_yarn(book, plan, yarn.copy())
        if not short:
            break
        caps |= short
    return kinds, plan, knit


def _kind(
    book: Book,
    history: KindHistory,
    underway: Mapping[int, list[Underway]],
    yarn: YarnShelf,
    caps: Mapping[int, int],
) -> Kind:
    pattern = history.pattern
    cost = book.costs[pattern.pk]
    price = book.net_price(pattern.pk)
    material = float(cost.material_minor)
    started = _started(underway.get(pattern.pk, ()), material)
    on_hand = book.on_hand.get(pattern.pk, 0)
    new = yarn.pairs_of(cost.version) if cost.version else 0
    new = min(new, caps.get(pattern.pk, new))
    return Kind(
        name=str(pattern),
        machine_minutes=cost.machine_minutes,
        finish_minutes=cost.finish_minutes,
        on_hand=on_hand,
        in_progress=len(started),
        gain=price - material,
        loss=price * KEEPING_SHARE,
        demand=book.demand(history),
        most=min(book.most(history), on_hand + len(started) + new),
        started=started,
    )


def _started(underway: Iterable[Underway], material: float) -> tuple[Started, ...]:
    """Return the pairs in progress; yarn of an odd sock's partner is still to be spent."""
    rows, least = [], 0.0
    for one in underway:
        least = max(least, one.minutes)
        rows.append(Started(least, one.machine_minutes, material / 2 if one.is_odd else material))
    return tuple(rows)


def _lines(
    book: Book, kinds: Sequence[Kind], plan: Plan, underway: Mapping[int, list[Underway]]
) -> list[KindLine]:
    rows = []
    for history, kind, line in zip(book.found.kinds, kinds, plan.lines, strict=True):
        rows.append(
            KindLine(
                pattern=history.pattern,
                line=line,
                on_hand=kind.on_hand,
                underway=len(underway.get(history.pattern.pk, ())),
                reasons=kind_reasons(book, history, kind, line),
                guess=history.rate.guess,
            )
        )
    return sorted(rows, key=lambda row: (not row.line.count, -row.line.worth))
