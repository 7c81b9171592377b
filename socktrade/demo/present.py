"""What lies about in the workshop this morning: something in every basket."""

import datetime as dt
from itertools import takewhile
from typing import TYPE_CHECKING

from production.core.places import STEPS
from production.models import Pair, Quality, Sock
from production.services import baskets, yarn
from sales.models import Market, MarketDay, Payment
from sales.services import days, orders, till
from sales.services.seasonplan import set_season_end
from socktrade.demo.market import market_dates
from socktrade.demo.scene import KINDS, MEN_XL, PLAIN, THICK, WOMEN_M, Kind

if TYPE_CHECKING:
    from socktrade.demo.story import Story

DAYS_PLANNED_AHEAD = 5
# How far each of the last strings has come, the oldest first.
PROGRESS = ("mate", *(step.key for step in reversed(STEPS)))
FLAWED_POSITION = 3


def leave_work_about(story: "Story") -> None:
    """Leave strings at every stage, an order late, and things to sort out."""
    _clear_the_bench(story)
    story.set_clock(story.today - dt.timedelta(days=6), 9)
    for stage in PROGRESS:
        _string_up_to(story, stage)
        story.clock = min(story.clock + dt.timedelta(hours=20), story.now)
    _leave_odd_socks(story)
    _take_orders(story)
    _sort_out_later(story)
    upcoming = _plan_ahead(story)
    story.set_clock(story.today - dt.timedelta(days=1), 20)
    story.pack(upcoming)


def _clear_the_bench(story: "Story") -> None:
    story.finish_everything()


def _string_up_to(story: "Story", stage: str) -> None:
    """Knit a string and take it as far as the basket of `stage`."""
    story.knit()
    newest = Sock.objects.order_by("-string__number").values_list("string_id", flat=True).first()
    for step in takewhile(lambda step: step.key != stage, STEPS):
        socks = Sock.objects.filter(string_id=newest, place=step.start)
        if step.key == "block":
            feet = {s.pk: round(s.version.sock_foot_mm) for s in socks.select_related("version")}
            baskets.block_socks(feet_mm=feet, who=story.who(20))
        else:
            story.step(step.key, socks)


def _leave_odd_socks(story: "Story") -> None:
    """Mate half of what waits, so that pairs wait for tags and socks for mates."""
    flawed = Sock.objects.filter(place="to_mate", position=FLAWED_POSITION).first()
    if flawed:
        baskets.note_sock(
            sock=flawed, quality=Quality.SCRAP, fault="run up the leg", who=story.who()
        )
    story.mate(share=0.6)


def _take_orders(story: "Story") -> None:
    today = story.today
    giant = story.versions[Kind(PLAIN, MEN_XL, 0.25, KINDS[0].yarns)]
    boots = story.versions[next(k for k in KINDS if k.design == THICK and k.size == WOMEN_M)]
    orders.take_order(
        wish=orders.Wish(
            customer="Harbour pilot",
            wish="Men 16, Kelp, long leg",
            promised_on=today - dt.timedelta(days=4),
            price_minor=4200,
            deposit_minor=1500,
            foot_length_mm=MEN_XL.foot_mm,
            version=giant,
        ),
        today=today - dt.timedelta(days=25),
        who=story.who(),
    )
    orders.take_order(
        wish=orders.Wish(
            customer="Lighthouse keeper",
            contact="leaves word at the chandler's",
            wish="Two boot socks, women 8½, Slate",
            promised_on=today + dt.timedelta(days=12),
            price_minor=3600,
            deposit_minor=1000,
            foot_length_mm=WOMEN_M.foot_mm,
            version=boots,
        ),
        today=today - dt.timedelta(days=3),
        who=story.who(),
    )


def _sort_out_later(story: "Story") -> None:
    """Two sales that the book doubts: a number nobody knows, a pair never packed."""
    day = MarketDay.objects.filter(state="closed").with_market().order_by("-date").first()
    if day is None:
        return
    story.clock = min(story.clock + dt.timedelta(hours=1), story.now)
    shelf = Pair.objects.on_shelf().order_by("-number").first()
    lines = [till.Line(price_minor=2800, number="P10442")]
    if shelf:
        lines.append(till.Line(price_minor=shelf.price_minor or 0, pair=shelf))
    till.sell(day=day, lines=lines, paid_by=Payment.CARD, who=story.who(), timed=False)
    lot = story.lots["Mooring thread, Grey"]
    yarn.weigh_lot(lot=lot, gross_g=lot.tare_g + 288, packages=1, who=story.who())


def _plan_ahead(story: "Story") -> MarketDay:
    """Put the coming market days into the calendar; return the nearest."""
    found: list[tuple[Market, dt.date]] = []
    monday = story.today - dt.timedelta(days=story.today.weekday())
    while len(found) < DAYS_PLANNED_AHEAD:
        found += [
            (story.markets[name], date)
            for name, date in market_dates(monday)
            if date >= story.today
        ]
        monday += dt.timedelta(weeks=1)
    planned = [
        days.plan_day(market=market, date=date, today=story.today)
        for market, date in found[:DAYS_PLANNED_AHEAD]
    ]
    set_season_end(ends_on=max(day.date for day in planned), today=story.today)
    return min(planned, key=lambda day: day.date)
