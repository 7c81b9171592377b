"""The yarn ledger of a season: lots received, wound off, weighed, written off."""

import datetime as dt
from decimal import Decimal

from production.models import ActKind, DyeLot, YarnUse
from socktrade.demo.scene import YARNS, YarnSpec
from socktrade.history.house import THREAD
from socktrade.history.state import State, Stock

TARE_G, CONE_G = Decimal(38), Decimal(1000)
BALL_G = Decimal(60)
SPECS: dict[str, YarnSpec] = {f"{spec.name}, {spec.colour}": spec for spec in YARNS}


def buy(state: State, name: str, at: dt.datetime) -> Stock:
    """Receive the next lot of a yarn, cone by cone on the scale; the rest of the last goes."""
    if name in state.lots:
        clear(state, name, at - dt.timedelta(minutes=30))
    cones = 1 if name == THREAD else max(1, SPECS[name].lot_g // int(CONE_G))
    number = state.house.lots[name] = state.house.lots.get(name, 0) + 1
    lot = state.ink.keep(
        DyeLot(
            yarn=state.house.yarns[name], code=f"{number:04d}", tare_g=TARE_G,
            bought_on=at.date(), dark=name.endswith("Rust buoy"),
        )
    )  # fmt: skip
    weights = [CONE_G + TARE_G + state.dice.randint(-8, 8) for _ in range(cones)]
    gross, tare = sum(weights, Decimal(0)), TARE_G * cones
    arrived = at - dt.timedelta(minutes=30)
    act = state.ink.act(ActKind.YARN_IN, arrived)
    state.ink.yarn(act, lot, gross - tare, YarnUse.RECEIVED, (gross, tare))
    held = [
        state.ink.package(act, lot, place, weight, core=True)
        for place, weight in enumerate(weights, start=1)
    ]
    # A ball is wound off the first cone, as one does to swatch a new lot.
    act = state.ink.act(ActKind.YARN_WOUND, arrived)
    state.ink.weight(act, held[0], weights[0] - BALL_G)
    state.ink.package(act, lot, cones + 1, BALL_G, core=False)
    state.lots[name] = Stock(lot, gross - tare, cones)
    return state.lots[name]


def lot_for(state: State, name: str, grams: float, at: dt.datetime) -> DyeLot:
    """Return the lot in use, or buy the next one when this one cannot finish a whole string."""
    stock = state.lots.get(name)
    if stock is None or stock.grams < Decimal(grams):
        stock = buy(state, name, at)
    return stock.lot


def take(state: State, name: str, grams: Decimal, use: YarnUse, at: dt.datetime) -> bool:
    """Book grams of the lot in use out for anything but a string, if it has them."""
    stock = state.lots[name]
    if stock.grams < grams:
        return False
    act = state.ink.act(ActKind.YARN_OUT, at)
    state.ink.yarn(act, stock.lot, -grams, use)
    stock.grams -= grams
    return True


def clear(state: State, name: str, at: dt.datetime) -> None:
    """Write off what is left of the lot in use, once nothing more can be knitted of it."""
    stock = state.lots.pop(name)
    if stock.grams:
        act = state.ink.act(ActKind.YARN_OUT, at, note="rest of the lot")
        state.ink.yarn(act, stock.lot, -stock.grams, YarnUse.WRITTEN_OFF)


def weigh(state: State, name: str, at: dt.datetime) -> None:
    """Put the lot in use on the scale: the air explains little, the rest is booked."""
    stock = state.lots[name]
    off = Decimal(state.dice.randint(-40, 25)) / 2
    net = max(Decimal(0), stock.grams + off)
    booked = abs(off) > stock.grams / 20
    act = state.ink.act(ActKind.YARN_WEIGHED, at)
    state.ink.weighing(act, stock.lot, net, stock.grams, booked=booked)
    if booked and net != stock.grams:
        tare = TARE_G * stock.packages
        state.ink.yarn(act, stock.lot, net - stock.grams, YarnUse.WEIGHED, (net + tare, tare))
        stock.grams = net
