"""Market days of the scene: who came, what they wanted, what was left."""

import datetime as dt
import math
import random
from collections.abc import Iterator
from typing import TYPE_CHECKING

from django.utils import timezone

from patterns.models import Pattern
from production.models import Pair
from sales.models import MarketDay, Payment
from sales.services import days, till
from socktrade.demo.scene import ASKS_IN_WORDS, FAIRS, GALE, KINDS, MARKET, WEATHER, Kind

if TYPE_CHECKING:
    from socktrade.demo.story import Story

THURSDAY, SATURDAY = 3, 5
SEASON = range(5, 13)
FLOAT_MINOR = 8000
ASKS_SHARE = 0.5
CARD_SHARE = 0.45


def market_dates(monday: dt.date) -> Iterator[tuple[str, dt.date]]:
    """Yield the markets of one week: the quay in season, two fairs in winter."""
    thursday = monday + dt.timedelta(days=THURSDAY)
    saturday = monday + dt.timedelta(days=SATURDAY)
    if thursday.month in SEASON:
        yield MARKET, thursday
    if saturday.month == 11 and saturday.day > 23:
        yield FAIRS[0], saturday
    if saturday.month == 12 and 8 <= saturday.day <= 14:
        yield FAIRS[1], saturday


def play_day(story: "Story", day: MarketDay) -> None:
    """Open the stall, let the buyers come in order of the clock, close."""
    dice = story.dice
    opens = timezone.make_aware(dt.datetime.combine(day.date, day.opens))
    closes = timezone.make_aware(dt.datetime.combine(day.date, day.closes))
    gale = day.date.month == 10 and 15 <= day.date.day <= 21
    story.clock = opens - dt.timedelta(minutes=20)
    days.open_day(day=day, float_minor=FLOAT_MINOR, who=story.who())
    day.refresh_from_db()
    counted = FLOAT_MINOR
    for share, kind in _buyers(story, day.factor * (0.25 if gale else 1.0)):
        story.clock = opens + share * (closes - opens)
        counted += _serve(story, day, story.versions[kind].pattern)
    story.clock = closes + dt.timedelta(minutes=15)
    if dice.random() < 0.12:
        counted -= dice.choice((100, 200, 500))
    days.close_day(
        day=day,
        counted_minor=max(0, counted),
        requests_noted=True,
        who=story.who(),
        weather=GALE if gale else dice.choice(WEATHER),
        facts=days.DayFacts(note="Half the stalls stayed away.") if gale else None,
    )


def _buyers(story: "Story", factor: float) -> list[tuple[float, Kind]]:
    """Return the moments (share of the day) at which somebody wants a kind, in order."""
    mood = story.dice.gammavariate(16, 1 / 16)
    wishes = [
        (story.dice.betavariate(1.6, 2.2), kind)
        for kind in KINDS
        for _ in range(poisson(story.dice, kind.wanted * factor * mood))
    ]
    return sorted(wishes, key=lambda wish: wish[0])


def _serve(story: "Story", day: MarketDay, pattern: Pattern) -> int:
    """Sell a pair of the kind, or note the request; return the cash that came in."""
    dice = story.dice
    choice = list(Pair.objects.in_stall_box().filter(pattern=pattern).order_by("number"))
    if not choice:
        if dice.random() < ASKS_SHARE:
            till.note_ask(day=day, pattern=pattern, who=story.who())
        elif dice.random() < 0.04:
            till.note_ask(day=day, words=dice.choice(ASKS_IN_WORDS), who=story.who())
        return 0
    pair = dice.choice(choice)
    price = pair.price_minor or 0
    haggled = dice.random() < 0.05
    line = till.Line(
        price_minor=price - 300 if haggled else price,
        pair=pair,
        reason="two bought before" if haggled else "",
    )
    paid_by = Payment.CARD if dice.random() < CARD_SHARE else Payment.CASH
    sale = till.sell(day=day, lines=[line], paid_by=paid_by, who=story.who())
    return sale.total_minor if paid_by == Payment.CASH else 0


def poisson(dice: random.Random, mean: float) -> int:
    """Return a Poisson count (Knuth's product method; means here are small)."""
    limit, product, count = math.exp(-mean), dice.random(), 0
    while product > limit:
        product *= dice.random()
        count += 1
    return count
