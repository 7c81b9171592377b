"""A market day from paper: the tally sheet row by row, or the stubs of the tags.

Nothing typed in later carries a time of day, and the demand arithmetic reads it so.
"""

import uuid
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from django.db import transaction

from patterns.core.words import say
from production.models import Pair
from production.services.acts import Who
from sales.core.money import share_out, taxed
from sales.errors import SalesError
from sales.models import MarketDay, Payment, Sale
from sales.services.sums import TaxTaken, takings
from sales.services.table import number_in
from sales.services.tiles import Tile
from sales.services.till import MOST_LINES, Line, note_ask, sell

MOST_ON_SHEET = 500
REASON = say("sum of the tally sheet")
WAYS = (Payment.CASH, Payment.CARD)


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One row of the tally sheet: strokes for cash, for card and for what was asked for."""

    tile: Tile
    cash: int = 0
    card: int = 0
    asked: int = 0

    def paid(self, way: Payment) -> int:
        """Return the strokes for a way of paying."""
        return self.cash if way == Payment.CASH else self.card


@dataclass(frozen=True, slots=True)
class SheetTotals:
    """The sums at the foot of the sheet [minor units]; None where she wrote none."""

    cash: int | None = None
    card: int | None = None

    def of(self, way: Payment) -> int | None:
        """Return the sum for a way of paying."""
        return self.cash if way == Payment.CASH else self.card


@transaction.atomic
def enter_sheet(
    *,
    day: MarketDay,
    rows: Sequence[SheetRow],
    totals: SheetTotals,
    who: Who,
    words: Sequence[str] = (),
    spread: bool = False,
) -> list[Sale]:
    """Record a tally sheet: the pairs sold by each way of paying, and the requests.

    A sum at the foot of the sheet that differs from the tags is money that was taken at
    other prices. It is asked about first; with `spread` the difference is shared out over
    the prices. Cents that come from rounding tax purchase by purchase are taken as written.

    Raises:
        SalesError: If the sheet is empty, a figure is absurd, or a sum disagrees with the
            strokes and `spread` is not set.
    """
    if not any(row.cash or row.card or row.asked for row in rows) and not words:
        msg = say("The sheet is empty. Type the strokes of at least one row.")
        raise SalesError(msg)
    if sum(row.cash + row.card + row.asked for row in rows) > MOST_ON_SHEET:
        msg = say(
            "More than {MOST_ON_SHEET} strokes on one sheet? Check the figures.",
            MOST_ON_SHEET=MOST_ON_SHEET,
        )
        raise SalesError(msg)
    sales = []
    for way in WAYS:
        lines = list(_lines(rows, way))
        lines, tax = _as_written(day, lines, totals.of(way), way, spread=spread)
        sales += _sell(day, lines, way, tax, who)
    for number, row in enumerate(rows):
        for stroke in range(row.asked):
            note_ask(day=day, pattern=row.tile.pattern, who=_as(who, f"asked {number} {stroke}"))
    for number, text in enumerate(words):
        note_ask(day=day, words=text, who=_as(who, f"words {number}"))
    return sales


@transaction.atomic
def enter_stubs(
    *, day: MarketDay, stubs: dict[Payment, str], who: Who, anyway: bool = False
) -> list[Sale]:
    """Record the pairs whose stubs were kept, each at the price on its tag.

    Raises:
        SalesError: If there is no number, or one is unreadable, not in the book or without
            a price; nothing is recorded then.
        AlreadySoldError: If the book has one sold and `anyway` is not set.
    """
    lines = {way: _stub_lines(text, way) for way, text in stubs.items()}
    if not any(lines.values()):
        msg = say("Type or scan the numbers of the stubs first, like P1042 P1043.")
        raise SalesError(msg, field=Payment.CASH.value)
    return [
        sale
        for way, some in lines.items()
        for sale in _sell(day, some, way, None, who, despite_doubt=anyway)
    ]


def _lines(rows: Sequence[SheetRow], way: Payment) -> Iterator[Line]:
    for row in rows:
        line = Line(
            price_minor=row.tile.price_minor or 0,
            pattern=row.tile.pattern,
            quality=row.tile.quality,
            yarn_id=row.tile.yarn_id,
            list_minor=row.tile.price_minor,
        )
        yield from [line] * row.paid(way)


def _as_written(
    day: MarketDay, lines: list[Line], written: int | None, way: Payment, *, spread: bool
) -> tuple[list[Line], TaxTaken | None]:
    """Bring the lines to the sum that stands on the sheet; return the tax taken with it."""
    prices = [line.price_minor for line in lines]
    money = takings(day, prices)
    off = 0 if written is None else written - money.gross_minor
    if off == 0 or written is None:
        return lines, None
    if not lines:
        msg = say("The sheet has {way} money, but no stroke for it.", way=way.label)
        raise SalesError(msg, field=f"{way}_total")
    if not day.tax_included and day.tax_percent and abs(off) <= len(lines):
        return lines, TaxTaken(written - sum(prices), included=False)
    if not spread:
        raise SalesError(_differs(way, off), field=f"{way}_total")
    net = written if day.tax_included else taxed(written, day.tax_percent / 100, inclusive=True)
    target = net if isinstance(net, int) else net.net_minor
    parts = share_out(target, prices if any(prices) else [1] * len(prices))
    changed = [
        replace(line, price_minor=part, reason=str(REASON) if part != line.price_minor else "")
        for line, part in zip(lines, parts, strict=True)
    ]
    return changed, None if day.tax_included else TaxTaken(written - target, included=False)


def _differs(way: Payment, off: int) -> str:
    if off > 0:
        return say(
            "The {way} sum is more than the tags of these pairs come to. Look at the "
            "strokes again, or tick below that some went at another price.",
            way=way.label,
        )
    return say(
        "The {way} sum is less than the tags of these pairs come to. Look at the "
        "strokes again, or tick below that some went at another price.",
        way=way.label,
    )


def _sell(
    day: MarketDay,
    lines: Sequence[Line],
    way: Payment,
    tax: TaxTaken | None,
    who: Who,
    *,
    despite_doubt: bool = False,
) -> Iterator[Sale]:
    parts = [lines[start : start + MOST_LINES] for start in range(0, len(lines), MOST_LINES)]
    sums = [sum(line.price_minor for line in part) for part in parts]
    taxes = share_out(tax.minor, sums) if tax and any(sums) else [0] * len(parts)
    for number, (part, minor) in enumerate(zip(parts, taxes, strict=True)):
        yield sell(
            day=day,
            lines=part,
            paid_by=way,
            who=_as(who, f"{way} {number}"),
            timed=False,
            despite_doubt=despite_doubt,
            tax=replace(tax, minor=minor) if tax else None,
        )


def _stub_lines(text: str, way: Payment) -> list[Line]:
    words = text.replace(",", " ").replace(";", " ").split()
    numbers = {word: number_in(word) for word in words}
    rows = Pair.objects.filter(number__in=[n for n in numbers.values() if n is not None])
    pairs = {pair.number: pair for pair in rows}
    for word, number in numbers.items():
        pair = pairs.get(number) if number is not None else None
        if pair is None or pair.price_minor is None:
            raise SalesError(_not_sold(word, known=pair is not None), field=way.value)
    found = [pairs[number] for number in numbers.values() if number is not None]
    return [Line(price_minor=pair.price_minor or 0, pair=pair) for pair in found]


def _not_sold(word: str, *, known: bool) -> str:
    if known:
        return say(
            "“{word:.40}” has no price. Enter that one at the till, with the price it went for.",
            word=word,
        )
    return say(
        "“{word:.40}” is not in the book. Enter that one at the till, with the price it went for.",
        word=word,
    )


def _as(who: Who, name: str) -> Who:
    """Give each act of one sheet a key of its own, the same at every sending."""
    return replace(who, key=uuid.uuid5(who.key, name) if who.key else None)
