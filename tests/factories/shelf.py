"""Pairs on the shelf, made by the services from yarn to tag, and market days with them."""

import datetime as dt
from decimal import Decimal
from typing import Any

from patterns.models import Design, Pattern, PatternVersion
from production.core.places import STEPS
from production.models import DyeLot, Pair, Yarn
from production.services import baskets, pairs, strings
from production.services.acts import Who
from production.services.yarn import receive_yarn
from sales.models import Market, MarketDay, Payment, Sale
from sales.services import days, till


def pattern_of(
    size_name: str = "Women 8½",
    design: str = "Harbour plain",
    group: str = "women",
    foot_length_mm: float = 245.5,
) -> Pattern:
    """Return a design in a size, made once."""
    found, _ = Design.objects.get_or_create(name=design)
    pattern, _ = Pattern.objects.get_or_create(
        design=found,
        size_name=size_name,
        defaults={"group": group, "foot_length_mm": foot_length_mm},
    )
    return pattern


def version_of(pattern: Pattern, who: Who) -> PatternVersion:
    """Return the first version of a pattern: women's 8½ on the 64."""
    version, _ = PatternVersion.objects.get_or_create(
        pattern=pattern,
        number=1,
        defaults={
            "made_at": who.at, "made_by": who.by, "ball_mm": 231, "height_mm": 177.8,
            "ease_asked": 0.1, "wales_per_10cm": 31.5, "courses_per_10cm": 43.3, "tex": 250,
            "needles": 64, "centre": 10, "leg_rows": 55, "heel_rows": 44, "foot_rows": 57,
            "toe_rows": 44, "circumference_mm": 203.2, "sock_foot_mm": 233.2, "loop_cm": 1.3,
            "metres": 117.3, "grams": 30.0, "machine_minutes": 54.9, "seam_minutes": 17.5,
        },
    )  # fmt: skip
    return version


def lot_of(who: Who, *, price_minor: int = 900, code: str = "7") -> DyeLot:
    """Return a lot with plenty on hand, its yarn at 9.00 for 100 g."""
    yarn, _ = Yarn.objects.get_or_create(
        name="Sock wool",
        colour=f"Kelp {code}",
        defaults={
            "content": {"wool": 75, "nylon": 25}, "tex": 250, "price_minor": price_minor,
        },
    )  # fmt: skip
    lot, made = DyeLot.objects.get_or_create(yarn=yarn, code=code)
    if made:
        receive_yarn(lot=lot, gross_g=Decimal(90_000), packages=1, who=who)
    return lot


def pairs_on_shelf(
    count: int,
    who: Who,
    *,
    pattern: Pattern | None = None,
    price_minor: int | None = 2800,
    lot: DyeLot | None = None,
    second: bool = False,
) -> list[Pair]:
    """Knit, finish, mate and tag pairs; without a price they wait for their tag."""
    pattern = pattern or pattern_of()
    version, lot = version_of(pattern, who), lot or lot_of(who)
    faults = dict.fromkeys(range(1, 2 * count + 1), "dropped stitch") if second else {}
    run = strings.Run(version=version, count=2 * count, lot=lot, faults=faults)
    socks = list(strings.log_string(runs=[run], who=who).socks.order_by("position"))
    for step in STEPS:
        baskets.do_step(step=step.key, sock_ids=[sock.pk for sock in socks], who=who)
    couples = [(socks[i].pk, socks[i + 1].pk) for i in range(0, 2 * count, 2)]
    act = pairs.mate_socks(couples=couples, who=who)
    made = list(Pair.objects.filter(moves__act=act).order_by("number"))
    if price_minor is not None:
        pairs.set_price(
            pattern=pattern, first_minor=price_minor, second_minor=price_minor // 2, who=who
        )
        pairs.tag_pairs(texts={pair.pk: {"size": pattern.size_name} for pair in made}, who=who)
    tagged = Pair.objects.with_kind().filter(pk__in=[pair.pk for pair in made])
    return list(tagged.order_by("number"))


def planned_day(date: dt.date, market: Market | None = None, **facts: Any) -> MarketDay:
    """Return a day at a market that opens at 8 and closes at 14."""
    if market is None:
        market, _ = Market.objects.get_or_create(
            name="Quay", defaults={"opens": dt.time(8), "closes": dt.time(14)}
        )
    return days.plan_day(market=market, date=date, today=date, **facts)


def sell_pair(day: MarketDay | None, pair: Pair, who: Who, *, timed: bool = True) -> Sale:
    """Sell one pair at the price on its tag, in cash."""
    line = till.Line(price_minor=pair.price_minor or 0, pair=pair)
    return till.sell(day=day, lines=[line], paid_by=Payment.CASH, who=who, timed=timed)
