"""“What sells” as pages and sheets show it: rows, pictures, odds and the sales behind them."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import QuerySet

from patterns.core.words import say, say_count
from patterns.models import Pattern
from production.models import Pair
from sales.core.charts import Bar, bar_chart
from sales.core.counts import faster_odds, sell_through
from sales.models import Ask, MarketDay, SaleLine
from sales.services.csvsheets import csv_text
from sales.services.report import (
    History,
    KindHistory,
    SizeHistory,
    WhatSells,
    sold_out_clock,
    what_sells,
)
from sales.services.shelf import IN_STOCK

LEVEL = 0.9
LISTED = 100


@dataclass(frozen=True, slots=True)
class Row:
    """One size or kind as the table shows it."""

    name: str
    key: str
    history: History
    sold_out_clock: dt.time | None
    full_days: float

    @property
    def sold_share(self) -> float | None:
        """Sold of what was brought, in percent."""
        share = sell_through(self.history.sold, self.history.brought, of="received")
        return None if share is None else 100 * share

    @property
    def interval(self) -> tuple[float, float]:
        """Where the rate lies, 90 % sure [pairs/day]."""
        return self.history.rate.interval(LEVEL)

    @property
    def evidence(self) -> str:
        """What the rate rests on: never shown without it."""
        rate = self.history.rate
        if rate.guess:
            return say("guess: these days say nothing of it")
        if rate.untimed_days:
            return say_count(
                "{events:.3g} wanted in {exposure:.1f} market days, and {count} sold-out day "
                "without a time",
                "{events:.3g} wanted in {exposure:.1f} market days, and {count} sold-out days "
                "without a time",
                rate.untimed_days,
                events=rate.events,
                exposure=rate.exposure,
            )
        return say(
            "{events:.3g} wanted in {exposure:.1f} market days",
            events=rate.events,
            exposure=rate.exposure,
        )

    @property
    def bar(self) -> Bar:
        """The row as a bar: sold, asked for, and what all these days would have wanted."""
        low, high = self.interval
        history = self.history
        words = say("{sold} sold", sold=history.sold)
        if history.asked:
            words = say("{sold} sold, {asked} asked for", sold=history.sold, asked=history.asked)
        return Bar(
            label=self.name,
            value=history.sold,
            ghost=history.asked,
            low=low * self.full_days,
            high=high * self.full_days,
            words=words,
            guess=history.rate.guess,
        )


@dataclass(frozen=True, slots=True)
class Race:
    """Which of two sizes sells faster, and how sure that is."""

    first: Row
    second: Row
    odds: float

    @property
    def verdict(self) -> str:
        """The odds in words."""
        faster, slower, odds = self.first.name, self.second.name, self.odds
        if odds < 0.5:
            faster, slower, odds = slower, faster, 1 - odds
        said = say("{figure:.0f} in 100", figure=100 * min(odds, 0.99))
        if odds < 0.8:
            return say(
                "Cannot tell yet: {said} that {faster} sells faster than {slower}.",
                said=said,
                faster=faster,
                slower=slower,
            )
        names = {"faster": faster, "slower": slower, "said": said}
        if odds < 0.95:
            return say("{faster} probably sells faster than {slower}: {said}.", **names)
        return say("{faster} almost surely sells faster than {slower}: {said}.", **names)


@dataclass(frozen=True, slots=True)
class SellsPage:
    """Everything the page shows about a range of days."""

    days: tuple[MarketDay, ...]
    sizes: tuple[Row, ...]
    kinds: tuple[Row, ...]

    @property
    def first_day(self) -> dt.date:
        """Date of the oldest market day read."""
        return self.days[0].date

    @property
    def last_day(self) -> dt.date:
        """Date of the newest market day read."""
        return self.days[-1].date

    @property
    def chart(self) -> str:
        """The sizes as a picture; empty when there are none."""
        if not self.sizes:
            return ""
        title = say("Sold and asked for by size, with what these days would have wanted")
        return bar_chart([row.bar for row in self.sizes], title)

    def race(self, first: str = "", second: str = "") -> Race | None:
        """Return the race of two sizes by key, or of the two fastest."""
        by_key = {row.key: row for row in self.sizes}
        fastest = sorted(self.sizes, key=lambda row: -row.history.rate.mean)
        one = by_key.get(first) or next((r for r in fastest if r.key != second), None)
        if one is None:
            return None
        other = by_key.get(second) if second != one.key else None
        other = other or next((r for r in fastest if r.key != one.key), None)
        if other is None:
            return None
        a, b = one.history.rate, other.history.rate
        return Race(one, other, faster_odds(a.a, a.b, b.a, b.b))


def sells_page(days: Sequence[MarketDay], *, ask_share: float, memory: float = 1.0) -> SellsPage:
    """Return sizes and kinds as rows, over these days.

    What is in stock but did not come to these days is listed as a guess.
    """
    in_stock = Pattern.objects.filter(
        pk__in=Pair.objects.filter(place__in=IN_STOCK).values("pattern")
    )
    patterns = in_stock.select_related("design") if days else ()
    found = what_sells(days, ask_share=ask_share, patterns=patterns, memory=memory)
    if all(kind.rate.guess for kind in found.kinds):
        return SellsPage(found.days, (), ())
    return SellsPage(
        found.days,
        tuple(_size_row(found, size) for size in found.sizes),
        tuple(_kind_row(found, kind) for kind in found.kinds),
    )


def sales_behind(
    days: Sequence[MarketDay], *, pattern_ids: Sequence[int], yarn_id: int | None = None
) -> QuerySet[SaleLine]:
    """Return the standing sale lines of these kinds on these days, newest first.

    Args:
        days: Market days to look at.
        pattern_ids: Kinds to look at.
        yarn_id: Only pairs of this yarn; None for all.
    """
    lines = SaleLine.objects.filter(
        sale__day__in=[day.pk for day in days],
        sale__act__undone_by__isnull=True,
        pattern__in=pattern_ids,
    )
    if yarn_id is not None:
        lines = lines.filter(pair__lot__yarn=yarn_id)
    return lines.select_related(
        "sale__act", "sale__day__market", "pair", "pattern__design"
    ).order_by("-sale__act__at", "-pk")


def asks_behind(
    days: Sequence[MarketDay], *, pattern_ids: Sequence[int], yarn_id: int | None = None
) -> QuerySet[Ask]:
    """Return the standing requests for these kinds on these days, newest first.

    Args:
        days: Market days to look at.
        pattern_ids: Kinds to look at.
        yarn_id: Only requests for this yarn; None for all.
    """
    named = {} if yarn_id is None else {"yarn": yarn_id}
    return (
        Ask.objects.filter(
            day__in=[day.pk for day in days],
            pattern__in=pattern_ids,
            act__undone_by__isnull=True,
            **named,
        )
        .select_related("act", "day__market", "pattern__design", "yarn")
        .order_by("-act__at", "-pk")
    )


def sizes_csv(page: SellsPage) -> str:
    """Return sizes and kinds as CSV that no spreadsheet takes for formulas."""
    rows = [
        _csv_row(what, row)
        for what, found in (("size", page.sizes), ("kind", page.kinds))
        for row in found
    ]
    return csv_text([CSV_HEAD, *rows])


CSV_HEAD = (
    "what", "name", "brought", "sold", "returned", "left", "asked_for", "days_brought",
    "days_sold_out", "usual_sold_out_time", "sold_of_brought_percent", "wanted_per_market_day",
    "low_90", "high_90", "events", "exposure_market_days", "sold_out_days_without_time", "guess",
)  # fmt: skip


def _csv_row(what: str, row: Row) -> list[object]:
    history, rate = row.history, row.history.rate
    low, high = row.interval
    clock, share = row.sold_out_clock, row.sold_share
    return [
        what, row.name, history.brought, history.sold, history.returned, history.left,
        history.asked, history.days_brought, history.sold_out_days,
        f"{clock:%H:%M}" if clock else "", "" if share is None else round(share, 1),
        round(rate.mean, 3), round(low, 3), round(high, 3), rate.events,
        round(rate.exposure, 3), rate.untimed_days, "guess" if rate.guess else "",
    ]  # fmt: skip


def _size_row(found: WhatSells, size: SizeHistory) -> Row:
    return _row(found, size, size.name, size.key)


def _kind_row(found: WhatSells, kind: KindHistory) -> Row:
    return _row(found, kind, str(kind.pattern), str(kind.pattern.pk))


def _row(found: WhatSells, history: History, name: str, key: str) -> Row:
    return Row(
        name=name,
        key=key,
        history=history,
        sold_out_clock=sold_out_clock(history, found.days, found.hours),
        full_days=history.days_known,
    )
