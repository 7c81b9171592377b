"""How a made-up past ends: socks in every basket this morning, whatever lies behind."""

import datetime as dt

from production.core.places import IN_WORK, STEPS, SockPlace
from production.models import Quality
from sales.models import DayState, MarketDay
from socktrade.demo.scene import KINDS, MEN_XL, PLAIN, THICK
from socktrade.history import incidents, strings
from socktrade.history.mishaps import scrap
from socktrade.history.orders import take_order
from socktrade.history.season import Season
from socktrade.history.stall import Stall
from socktrade.history.state import moment

DAYS = 6  # before today in which the present work was knitted
APART = dt.timedelta(hours=18)
PLANNED, PACKED = 5, 24
READY_SHARE = 0.6


def leave_work_about(season: Season, today: dt.date) -> None:
    """Leave strings at every step, orders to make, doubts to sort out, and a packed box."""
    state, at = season.state, moment(today - dt.timedelta(days=DAYS), 9)
    for step in STEPS:
        strings.step(state, step.key, at)
    strings.join(state, at)
    strings.tag(state, season.texts, at)
    for sock in list(state.baskets[SockPlace.TO_MATE]):
        scrap(state, sock, "no mate", at)
    season.orders.rest(at)
    _strings(season, at)
    _orders(season, today)
    _doubts(season, at)
    _plan_ahead(season, today)


def _strings(season: Season, at: dt.datetime) -> None:
    """Knit a string for each basket, the one that has come farthest first."""
    for place in reversed(IN_WORK):
        strings.knit(season.state, at, goes_on=place == IN_WORK[0])
        for hours, step in enumerate(STEPS[: IN_WORK.index(place)], start=1):
            strings.step(season.state, step.key, at + dt.timedelta(hours=hours))
        at += APART
        if place == SockPlace.TO_MATE:
            waiting = season.state.baskets[place]
            act_at = at - dt.timedelta(hours=8)
            scrap(season.state, waiting[2], "run up the leg", act_at)
            strings.join(season.state, act_at, share=READY_SHARE)


def _orders(season: Season, today: dt.date) -> None:
    """One late, one in time; both still to make."""
    giant = next(kind for kind in KINDS if (kind.design, kind.size) == (PLAIN, MEN_XL))
    boots = next(kind for kind in KINDS if kind.design == THICK)
    for kind, customer, taken, due in (
        (giant, "Harbour pilot", 25, -4),
        (boots, "Lighthouse keeper", 5, 12),
    ):
        at = moment(today - dt.timedelta(days=taken), 18)
        take_order(season.state, kind, customer, today + dt.timedelta(days=due), at)


def _doubts(season: Season, at: dt.datetime) -> None:
    """Two sales of the last market day that the book doubts."""
    days = season.state.ink.kept(MarketDay)
    last = next(day for day in reversed(days) if day.state == DayState.CLOSED)
    stall = Stall(season.state, last)
    pair = next((p for p in reversed(season.state.shelf) if p.quality == Quality.FIRST), None)
    incidents.doubt(stall, pair, "P10442", at + dt.timedelta(minutes=30))


def _plan_ahead(season: Season, today: dt.date) -> None:
    """Put the coming days into the calendar and pack for the nearest."""
    state = season.state
    found: list[tuple[str, dt.date]] = []
    week = (today - season.monday).days // 7
    while len(found) < PLANNED:
        found += [(name, date) for name, date in season.dates(week) if date > today]
        week += 1
    at = moment(today - dt.timedelta(days=1), 20)
    for nth, (name, date) in enumerate(found[:PLANNED]):
        day = season.day(date, name, planned=at)
        day.state = DayState.PLANNED
        if nth == 0:
            Stall(state, day).put_in(state.shelf[:PACKED], at)
