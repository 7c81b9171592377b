"""A season of a made-up past, week by week: bench, markets, orders, and how it ends."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from production.core.places import STEPS, PairPlace, SockPlace
from production.models import ActKind, Price
from sales.models import DayState, MarketDay, Payment, Sale, SaleLine
from sales.services.taxes import tax_on
from socktrade.demo.market import SATURDAY, THURSDAY, market_dates
from socktrade.demo.scene import KINDS, Kind
from socktrade.history import incidents, strings, yarn
from socktrade.history.agenda import STALL, Agenda
from socktrade.history.house import HALL, revise
from socktrade.history.mishaps import mishap, scrap
from socktrade.history.orders import Orders, note
from socktrade.history.stall import COUNTED_EVERY, GALE_FACTOR, Stall
from socktrade.history.state import State, moment
from socktrade.history.tagtexts import TagTexts

WEEKS = 52
FRIDAY = 4
KNIT_UNTIL, MARKETS_FROM = 46, 3
ODD_AFTER = 8  # weeks that an odd sock waits for a mate
SHOP_LINES, SHOP_SHARE = 20, 0.6
REVISED_FROM_TO = (0, 26)  # weeks in which a leg is tried longer
CANCELLED_EVERY = 17  # days
REACHES = 1.04  # some of the demand meets an empty table


@dataclass(slots=True)
class Season:
    """The weeks of one season; the newest does not clear the workshop at its end."""

    state: State
    monday: dt.date
    newest: bool
    texts: TagTexts
    orders: Orders
    revised: Kind
    bench: Agenda
    stalls: Agenda
    sold: list[SaleLine]
    knitted: float = 0.0
    days: int = 0
    per_factor: float = 0.0

    @property
    def weeks(self) -> int:
        """How many ordinary weeks it has."""
        return WEEKS - 1 if self.newest else WEEKS

    @property
    def knits_until(self) -> int:
        """The week from which nothing more is knitted."""
        return self.weeks if self.newest else KNIT_UNTIL

    def live(self) -> None:
        """Go through its weeks, then clear the workshop unless it is the newest."""
        factors = sum(
            self.state.house.markets[name].factor
            for week in range(MARKETS_FROM, self.weeks)
            for name, _ in self.dates(week)
        )
        self.per_factor = REACHES * self.state.pairs / factors
        for week in range(self.weeks):
            if week in REVISED_FROM_TO:
                at = moment(self._date(week, 0), 7)
                longer = week == REVISED_FROM_TO[0]
                revise(self.state.house, self.revised, at, longer=longer)
            self._week(week)
        if not self.newest:
            self._clear(moment(self.monday + dt.timedelta(weeks=self.weeks, days=-1), 15))

    def _date(self, week: int, day: int) -> dt.date:
        return self.monday + dt.timedelta(weeks=week, days=day)

    def dates(self, week: int) -> list[tuple[str, dt.date]]:
        """Return the markets of a week with their dates."""
        dates = list(market_dates(self._date(week, 0)))
        if week % 2 == 0 and all(date.weekday() != SATURDAY for _, date in dates):
            dates.append((HALL, self._date(week, SATURDAY)))
        return dates

    def _week(self, week: int) -> None:
        markets = {date.weekday(): name for name, date in self.dates(week)}
        if week < self.knits_until:
            self.knitted += 2 * self.state.pairs / (self.knits_until - 1)
        for day in range(7):
            date = self._date(week, day)
            if day in markets and week >= MARKETS_FROM:
                self._market(week, date, markets[day])
            self._work(day, date)
        at = moment(self._date(week, 6), 10)
        for name in list(self.bench.due(week)):
            at += dt.timedelta(minutes=20)
            if mishap(name, self.state, at):
                self.bench.done(name)
        self.orders.week(week, moment(self._date(week, 6), 18), None)
        self._give_up_odd(moment(self._date(week, 6), 19))

    def _work(self, day: int, date: dt.date) -> None:
        if day < 5 and self.knitted >= 2:
            socks = min(2 * strings.RUN_SOCKS, int(self.knitted) // 2 * 2)
            if socks == 2 * strings.RUN_SOCKS or day == FRIDAY:
                hour = 19 if day == THURSDAY else 8.5
                strings.knit(self.state, moment(date, hour), socks=socks)
                self.knitted -= socks
        for key, hour in WORK_OF_DAY.get(day, ()):
            if self.state.baskets[STARTS[key]]:
                strings.step(self.state, key, moment(date, hour))
        if day == FRIDAY:
            strings.join(self.state, moment(date, 17))
            strings.tag(self.state, self.texts, moment(date, 18))

    def _give_up_odd(self, at: dt.datetime) -> None:
        last = at - dt.timedelta(weeks=ODD_AFTER)
        for sock in [s for s in self.state.baskets[SockPlace.TO_MATE] if s.since < last]:
            scrap(self.state, sock, "no mate", at)

    def _market(self, week: int, date: dt.date, name: str) -> None:
        self.days += 1
        stall = Stall(
            self.state, self.day(date, name, planned=moment(date - dt.timedelta(days=9), 20))
        )
        room = stall.day.market.places_on_table
        due = set(self.stalls.due(week))
        if self.days % CANCELLED_EVERY == 5:
            self._cancel(stall, due)
            return
        stall.pack(room)
        gale = date.month in (3, 10) and 15 <= date.day <= 21
        buyers = self.per_factor * stall.day.factor * self.state.dice.gammavariate(16, 1 / 16)
        buyers *= GALE_FACTOR if gale else 1.0
        stall.open()
        stall.serve(buyers, 0.02, 0.44)
        for incident in sorted(due - AFTER_HOURS, key=list(STALL).index):
            if incidents.at_noon(incident, stall, self.sold):
                self.stalls.done(incident)
        self.orders.week(week, stall.at(0.6), stall)
        stall.serve(buyers, 0.62, 0.99)
        self._evening(stall, due, gale=gale)

    def _evening(self, stall: Stall, due: set[str], *, gale: bool) -> None:
        box = self.state.box
        missing = self.state.dice.choice(box) if "gap" in due and box else None
        counted = self.days % COUNTED_EVERY == 0
        lines = stall.close(gale=gale, missing=missing, counted=counted)
        if missing:
            incidents.cure(stall, missing, lines)
            self.stalls.done("gap")
        if "paper" in due and incidents.from_paper(stall):
            self.stalls.done("paper")
        self.sold = [*stall.sold[-20:], *self.sold[:20]]

    def day(self, date: dt.date, name: str, *, planned: dt.datetime) -> MarketDay:
        """Put a day into the calendar."""
        market = self.state.house.markets[name]
        tax = tax_on(market, date)
        day = self.state.ink.keep(
            MarketDay(
                market=market, date=date, opens=market.opens, closes=market.closes,
                factor=market.factor, fee_minor=market.fee_minor,
                tax_percent=tax.percent_on_socks, tax_included=tax.tax_included,
            )
        )  # fmt: skip
        note(self.state, "Planned.", planned, day=day)
        return day

    def _cancel(self, stall: Stall, due: set[str]) -> None:
        """Strike a day; now and then the box was packed for it already and goes home."""
        day = stall.day
        day.state, day.note = DayState.CANCELLED, "storm warning"
        if "box_home" in due and self.state.shelf:
            stall.pack(day.market.places_on_table)
            act = self.state.ink.act(ActKind.HOME, stall.at(0.1), day=day)
            stall.put_out(list(self.state.box), act)
            self.stalls.done("box_home")
        note(self.state, "Cancelled: storm warning.", stall.at(0), day=day)

    def _clear(self, at: dt.datetime) -> None:
        """Finish, sell on and give away everything, so that the next begins with nothing."""
        for key in STARTS:
            strings.step(self.state, key, at)
        strings.join(self.state, at)
        strings.tag(self.state, self.texts, at)
        for sock in list(self.state.baskets[SockPlace.TO_MATE]):
            scrap(self.state, sock, "no mate", at)
        self.orders.rest(at)
        self._sell_on(at)
        if self.state.shelf:
            act = self.state.ink.act(ActKind.LOST, at, note="given to the lifeboat crew")
            self.state.ink.move_pairs(act, self.state.shelf, PairPlace.GONE)
            self.state.shelf = []
        for name in sorted(self.state.lots):
            yarn.clear(self.state, name, at)

    def _sell_on(self, at: dt.datetime) -> None:
        """Sell the better part of what is left to a shop, at its price."""
        count = int(len(self.state.shelf) * SHOP_SHARE)
        chosen, self.state.shelf = self.state.shelf[:count], self.state.shelf[count:]
        for start in range(0, count, SHOP_LINES):
            pairs = chosen[start : start + SHOP_LINES]
            sell_away(self.state, pairs, at, "to a shop")


def sell_away(state: State, pairs: list, at: dt.datetime, reason: str) -> None:  # type: ignore[type-arg]
    """Sell pairs away from any market, at two thirds of their price."""
    prices = [state.price_of(pair) * 2 // 3 for pair in pairs]
    act = state.ink.act(ActKind.SALE, at)
    total = sum(prices)
    sale = state.ink.keep(Sale(act=act, paid_by=Payment.OTHER, timed=False, total_minor=total))
    state.ink.move_pairs(act, pairs, PairPlace.SOLD)
    for pair, price in zip(pairs, prices, strict=True):
        state.ink.keep(
            SaleLine(
                sale=sale, pair=pair, pattern=pair.pattern, quality=pair.quality,
                claimed=pair.label, list_minor=pair.price_minor, price_minor=price, reason=reason,
            )
        )  # fmt: skip


def prices_of(state: State, seasons_ago: int, at: dt.datetime) -> Iterator[Price]:
    """Yield what each kind costs in a season: a dollar more every third."""
    for kind in KINDS:
        first = kind.size.price_minor - min(6, seasons_ago // 3) * 100
        yield state.ink.keep(
            Price(
                pattern=state.house.versions[kind].pattern, first_minor=first,
                second_minor=first * 6 // 10 // 100 * 100, since=at, by=state.house.maker,
            )
        )  # fmt: skip


STARTS = {step.key: step.start for step in STEPS}
AFTER_HOURS = {"paper", "gap", "box_home"}
# Day of the week (Monday 0) and hour of the steps; one that is not named follows the last.
HOURS_OF_STEPS = {"cut": (0, 15), "seam": (1, 13), "wash": (2, 10), "dry": (4, 9), "block": (4, 14)}


def _work_of_day() -> dict[int, list[tuple[str, int]]]:
    work: dict[int, list[tuple[str, int]]] = {}
    day, hour = 0, 8
    for step in STEPS:
        day, hour = HOURS_OF_STEPS.get(step.key, (day, hour + 1))
        work.setdefault(day, []).append((step.key, hour))
    return work


WORK_OF_DAY = _work_of_day()
