"""One market day of a made-up past: opened, buyers one after another, closed."""

import datetime as dt
from collections import Counter
from collections.abc import Sequence
from decimal import Decimal

from production.core.places import PairPlace
from production.models import Act, ActKind, Pair
from sales.core.money import taxed_purchase
from sales.models import (
    Ask,
    CashCount,
    CountLine,
    DayState,
    MarketDay,
    Payment,
    Sale,
    SaleLine,
    SortOut,
    TakenBack,
)
from socktrade.demo.market import ASKS_SHARE, CARD_SHARE, FLOAT_MINOR, poisson
from socktrade.demo.scene import ASKS_IN_WORDS, GALE, KINDS, WEATHER, Kind
from socktrade.history.state import State, moment

WANTED = sum(kind.wanted for kind in KINDS)
TWO_SHARE, HAGGLE_SHARE, TAPPED_SHARE = 0.2, 0.05, 0.3
OFF_MINOR, UNKNOWN_MINOR = 300, 2800
GALE_FACTOR = 0.25
COUNTED_EVERY = 4  # days


class Stall:
    """The table of one day and its tin."""

    def __init__(self, state: State, day: MarketDay) -> None:
        self.state, self.day, self.dice = state, day, state.dice
        self.opens = moment(day.date, day.opens.hour)
        self.hours = (moment(day.date, day.closes.hour) - self.opens) / dt.timedelta(hours=1)
        self.net: Counter[str] = Counter()
        self.sold: list[SaleLine] = []
        self.brought: set[int] = set()

    def at(self, share: float) -> dt.datetime:
        """Return the moment at which a share of the opening hours is over."""
        return self.opens + dt.timedelta(hours=self.hours * share)

    def pack(self, room: int) -> None:
        """Fill the box the evening before with what lay longest."""
        self.put_in(self.state.shelf[:room], self.opens - dt.timedelta(hours=13))

    def put_in(self, pairs: Sequence[Pair], at: dt.datetime) -> None:
        """Carry pairs from the shelf into the box."""
        if not pairs:
            return
        act = self.state.ink.act(ActKind.PACK, at, day=self.day)
        self.state.ink.move_pairs(act, pairs, PairPlace.STALL)
        packed = {pair.pk for pair in pairs}
        self.brought |= packed
        self.state.shelf = [pair for pair in self.state.shelf if pair.pk not in packed]
        self.state.box += pairs

    def put_out(self, pairs: Sequence[Pair], act: Act) -> None:
        """Carry pairs from the box back onto the shelf."""
        gone = {pair.pk for pair in pairs}
        self.state.ink.move_pairs(act, pairs, PairPlace.SHELF)
        self.state.box = [pair for pair in self.state.box if pair.pk not in gone]
        self.state.shelf += pairs

    def open(self) -> None:
        """Open with money in the tin."""
        self.day.float_minor = FLOAT_MINOR
        self.state.ink.act(ActKind.OPEN_DAY, self.at(-0.05), day=self.day)

    def serve(self, buyers: float, start: float, end: float) -> None:
        """Let people come between two moments of the day, in order of the clock."""
        span = end - start
        wishes = [
            (start + span * self.dice.betavariate(1.6, 2.2), kind)
            for kind in KINDS
            for _ in range(poisson(self.dice, span * buyers * kind.wanted / WANTED))
        ]
        for share, kind in sorted(wishes, key=lambda wish: wish[0]):
            self._meet(kind, self.at(share))

    def _meet(self, kind: Kind, at: dt.datetime) -> None:
        choice = self.state.of_kind(self.state.box, kind)
        if not choice:
            if self.dice.random() < ASKS_SHARE:
                self.ask(at, kind)
            elif self.dice.random() < 0.04:
                self.ask(at)
            return
        pairs = [self.dice.choice(choice)]
        others = [pair for pair in self.state.box if pair.pattern_id != pairs[0].pattern_id]
        if others and self.dice.random() < TWO_SHARE:
            pairs.append(self.dice.choice(others))
        off = OFF_MINOR if len(pairs) > 1 or self.dice.random() < HAGGLE_SHARE else 0
        self.sell(pairs, at, off=off)

    def ask(self, at: dt.datetime, kind: Kind | None = None) -> None:
        """Note what the table did not have: a kind, sometimes in a colour, or in words."""
        act = self.state.ink.act(ActKind.ASK, at, day=self.day)
        if kind is None:
            words = self.dice.choice(ASKS_IN_WORDS)
            self.state.ink.keep(Ask(act=act, day=self.day, words=words))
            return
        colour = self.dice.choice(kind.yarns) if self.dice.random() < 0.2 else None
        yarn = self.state.house.yarns[colour] if colour else None
        pattern = self.state.house.versions[kind].pattern
        self.state.ink.keep(Ask(act=act, day=self.day, pattern=pattern, yarn=yarn))

    def payment(self) -> Payment:
        """Return how somebody pays."""
        if self.dice.random() < 0.03:
            return Payment.OTHER
        return Payment.CARD if self.dice.random() < CARD_SHARE else Payment.CASH

    def sell(
        self, pairs: Sequence[Pair], at: dt.datetime, *, off: int = 0, timed: bool = True,
        number: str = "",
    ) -> Sale:  # fmt: skip
        """Sell pairs from wherever they are; `number` is one that the book does not know."""
        prices = [self.state.price_of(pair) for pair in pairs]
        if prices:
            prices[-1] = max(0, prices[-1] - off)
        if number:
            prices.append(UNKNOWN_MINOR)
        sale = self.purchase(prices, at, timed=timed)
        self.state.ink.move_pairs(sale.act, pairs, PairPlace.SOLD)
        for pair, price in zip(pairs, prices, strict=False):
            listed = self.state.price_of(pair)
            read = self.dice.random() >= TAPPED_SHARE
            line = SaleLine(
                sale=sale, pair=pair, pattern=pair.pattern, quality=pair.quality,
                claimed=pair.label if read else "", list_minor=listed, price_minor=price,
                reason="two bought" if price != listed else "",
            )  # fmt: skip
            self.sold.append(self.state.ink.keep(line))
        if number:
            self._doubt(sale, number)
        gone = {pair.pk for pair in pairs}
        self.state.box = [pair for pair in self.state.box if pair.pk not in gone]
        self.state.shelf = [pair for pair in self.state.shelf if pair.pk not in gone]
        return sale

    def purchase(self, prices: list[int], at: dt.datetime, *, timed: bool) -> Sale:
        """Keep a purchase at these prices; its lines are the caller's."""
        day = self.day
        money = taxed_purchase(
            prices, Decimal(day.tax_percent) / 100, inclusive=day.tax_included,
            per_line=day.tax_per_line,
        )  # fmt: skip
        paid_by = self.payment()
        self.net[paid_by] += money.gross_minor
        act = self.state.ink.act(ActKind.SALE, at, day=day)
        return self.state.ink.keep(
            Sale(
                act=act, day=day, paid_by=paid_by, timed=timed, total_minor=money.gross_minor,
                tax_minor=money.tax_minor, tax_included=day.tax_included,
            )
        )  # fmt: skip

    def _doubt(self, sale: Sale, number: str) -> None:
        line = SaleLine(sale=sale, claimed=number, price_minor=UNKNOWN_MINOR)
        story = f"“{number}” was sold, but the book has no such pair."
        self.state.ink.keep(line)
        self.state.ink.keep(
            SortOut(act=sale.act, line=line, kind=SortOut.Kind.UNKNOWN, story=story)
        )

    def take_back(self, line: SaleLine, at: dt.datetime) -> None:
        """Take a pair back onto the table and pay out what was paid for it."""
        refund, paid_by = refund_of(line), Payment.CASH
        act = self.state.ink.act(ActKind.RETURN, at, day=self.day)
        self.state.ink.move_pairs(act, [line.pair], PairPlace.STALL)
        line.holds = False
        self.state.box.append(line.pair)
        self.net[paid_by] -= refund
        self.state.ink.keep(
            TakenBack(
                act=act, line=line, claimed=line.claimed, day=self.day, refund_minor=refund,
                paid_by=paid_by,
            )
        )  # fmt: skip

    def undo(self, sale: Sale, lines: Sequence[SaleLine], at: dt.datetime) -> None:
        """Take a purchase back that was a slip; its pairs lie on the table again."""
        self.state.ink.undo(sale.act, at)
        self.net[sale.paid_by] -= sale.total_minor
        for line in lines:
            line.holds = False
            self.state.box.append(line.pair)

    def count_tin(self, act: Act, *, off: int = 0, cards: bool = True) -> None:
        """Write down what is in the tin, and what the book expects there."""
        expected = FLOAT_MINOR + self.net[Payment.CASH]
        card = self.net[Payment.CARD]
        self.state.ink.keep(
            CashCount(
                act=act, day=self.day, counted_minor=max(0, expected + off),
                expected_minor=expected, card_expected_minor=card,
                card_counted_minor=max(0, card) if cards else None,
            )
        )  # fmt: skip

    def close(self, *, gale: bool, missing: Pair | None = None, counted: bool) -> list[CountLine]:
        """Count tin and table, and carry home what is left; return the lines of the count."""
        day, act = self.day, self.state.ink.act(ActKind.CLOSE_DAY, self.at(1.04), day=self.day)
        off = -self.dice.choice((100, 200, 500)) if self.dice.random() < 0.12 else 0
        self.count_tin(act, off=off, cards=self.dice.random() < 0.5)
        lines = self._count_table(act, missing) if counted or missing else []
        left = list(self.state.box)
        if left:
            self.put_out(left, act)
        day.state = DayState.CLOSED
        day.weather = GALE if gale else self.dice.choice(WEATHER)
        day.note = "Half the stalls stayed away." if gale else ""
        return lines

    def _count_table(self, act: Act, missing: Pair | None) -> list[CountLine]:
        there = Counter((pair.pattern_id, pair.quality) for pair in self.state.box)
        gap = (missing.pattern_id, missing.quality) if missing else None
        return [
            self.state.ink.keep(
                CountLine(
                    act=act, pattern_id=kind[0], quality=kind[1], expected=pairs,
                    counted=pairs - (kind == gap),
                )
            )
            for kind, pairs in sorted(there.items())
        ]  # fmt: skip


def refund_of(line: SaleLine) -> int:
    """Return what the buyer paid for a line; with a tax on top her part of it counts."""
    sale = line.sale
    if sale.tax_included or not sale.tax_minor:
        return int(line.price_minor)
    return int(line.price_minor) + sale.tax_minor * line.price_minor // (
        sale.total_minor - sale.tax_minor
    )
