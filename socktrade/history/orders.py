"""Orders of a made-up season: taken, followed, handed over in time or late, or cancelled."""

import datetime as dt
from dataclasses import dataclass

from production.core.places import PairPlace
from production.models import ActKind, DyeLot, Pair
from sales.models import (
    Change,
    Deposit,
    HandOver,
    MarketDay,
    Order,
    OrderState,
    Payment,
    Sale,
    SaleLine,
)
from socktrade.demo.scene import KINDS, Kind
from socktrade.history.stall import Stall
from socktrade.history.state import State

CUSTOMERS = (
    "Harbour pilot", "Lighthouse keeper", "Net mender", "Ferry mate", "Chandler", "Quay master",
    "Boat builder", "Smokehouse cook",
)  # fmt: skip
DEPOSIT_MINOR = 1000
EXTRA_MINOR = 800


@dataclass(slots=True)
class Course:
    """How an order goes: the week it is taken, its end, and the week of that."""

    week: int
    end: str  # home, post, stall, off or back
    until: int
    late: bool = False
    order: Order | None = None
    kind: Kind | None = None


def courses() -> list[Course]:
    """Return how the orders of a season go."""
    return [
        Course(9, "home", 12), Course(12, "stall", 15), Course(16, "post", 22, late=True),
        Course(19, "off", 21), Course(23, "back", 25), Course(27, "stall", 31),
        Course(31, "home", 38, late=True), Course(36, "post", 39),
    ]  # fmt: skip


class Orders:
    """The orders of one season."""

    def __init__(self, state: State) -> None:
        self.state = state
        self._open = courses()

    def week(self, week: int, at: dt.datetime, stall: Stall | None) -> None:
        """Take and finish what this week holds; with a stall, on its day."""
        for course in list(self._open):
            if course.order is None and course.week <= week:
                self._take(course, at, stall)
                continue
            here = (stall is not None) == (course.end == "stall")
            if course.until <= week and here and self._finish(course, at, stall):
                self._open.remove(course)

    def rest(self, at: dt.datetime) -> None:
        """Cancel what nothing came of by the end of the season."""
        for course in self._open:
            if course.order is not None:
                self._cancel(course.order, at, back=True)
        self._open = []

    def _take(self, course: Course, at: dt.datetime, stall: Stall | None) -> None:
        kind = self.state.dice.choice(KINDS)
        weeks = 2 if course.late else course.until - course.week + 1
        customer = self.state.dice.choice(CUSTOMERS)
        promised = at.date() + dt.timedelta(weeks=weeks)
        day = stall.day if stall else None
        course.kind = kind
        course.order = take_order(self.state, kind, customer, promised, at, day)
        if stall:
            stall.net[Payment.CASH] += DEPOSIT_MINOR

    def _finish(self, course: Course, at: dt.datetime, stall: Stall | None) -> bool:
        order = course.order
        if order is None or course.kind is None:
            return False
        if course.end in ("off", "back"):
            self._cancel(order, at, back=course.end == "back")
            return True
        pairs = self.state.of_kind(self.state.shelf, course.kind)
        if not pairs:
            return False
        self._set_aside(order, pairs[0], at)
        self._hand_over(order, pairs[0], at, stall, HandOver.How(course.end))
        return True

    def _set_aside(self, order: Order, pair: Pair, at: dt.datetime) -> None:
        self.state.shelf.remove(pair)
        order.run = self.state.socks_of[pair.pk][0].run
        order.pair = pair
        first = order.run.first_position
        note(self.state, f"Knitted in {order.run.string}, from sock {first}.", at, order=order)
        note(self.state, f"{pair.label} set aside.", at, order=order)

    def _hand_over(
        self, order: Order, pair: Pair, at: dt.datetime, stall: Stall | None, how: HandOver.How
    ) -> None:
        ink, price = self.state.ink, order.price_minor
        if stall:
            sale = stall.purchase([price], at, timed=False)
            stall.net[sale.paid_by] -= order.deposit_minor
        else:
            act = ink.act(ActKind.SALE, at)
            sale = ink.keep(Sale(act=act, paid_by=Payment.OTHER, timed=False, total_minor=price))
        ink.move_pairs(sale.act, [pair], PairPlace.SOLD)
        ink.keep(
            SaleLine(
                sale=sale, pair=pair, pattern=pair.pattern, quality=pair.quality,
                claimed=pair.label, list_minor=pair.price_minor, price_minor=price,
                reason=f"order {order.pk}",
            )
        )  # fmt: skip
        order.state = OrderState.HANDED_OVER
        ink.keep(HandOver(sale=sale, order=order, deposit_minor=order.deposit_minor, how=how))

    def _cancel(self, order: Order, at: dt.datetime, *, back: bool) -> None:
        if back and order.deposit_minor:
            self.state.ink.keep(_deposit(self.state, order, -order.deposit_minor, at, None))
            order.deposit_minor = 0
        order.state = OrderState.CANCELLED
        note(self.state, "Cancelled.", at, order=order)


def take_order(
    state: State,
    kind: Kind,
    customer: str,
    promised: dt.date,
    at: dt.datetime,
    day: MarketDay | None = None,
    lot: DyeLot | None = None,
) -> Order:
    """Write an order down with its deposit."""
    version = state.house.versions[kind]
    order = state.ink.keep(
        Order(
            customer=customer, wish=f"{kind.design} {kind.size.us_name}, a longer leg",
            foot_length_mm=kind.size.foot_mm, version=version, lot=lot, yarn_g=2 * version.grams,
            taken_on=at.date(), promised_on=promised,
            price_minor=kind.size.price_minor + EXTRA_MINOR, deposit_minor=DEPOSIT_MINOR,
        )
    )  # fmt: skip
    note(state, "Taken.", at, order=order)
    state.ink.keep(_deposit(state, order, DEPOSIT_MINOR, at, day))
    return order


def note(
    state: State,
    words: str,
    at: dt.datetime,
    *,
    order: Order | None = None,
    day: MarketDay | None = None,
) -> None:
    """Write down a change that moves nothing."""
    state.ink.keep(Change(at=at, by=state.house.maker, words=words, order=order, day=day))


def _deposit(
    state: State, order: Order, minor: int, at: dt.datetime, day: MarketDay | None
) -> Deposit:
    act = state.ink.act(ActKind.DEPOSIT, at, day=day, note=f"order {order.pk}")
    return Deposit(act=act, order=order, day=day, amount_minor=minor, paid_by=Payment.CASH)
