"""Yarn, socks, pairs and the acts that move them."""

from production.models.acts import Act, ActKind, PairMove, SockMark, SockMove, YarnMove, YarnUse
from production.models.loads import Load
from production.models.pairs import Pair, Price, TagSheet, TagText
from production.models.socks import Quality, RunYarn, Sock, String, StringRun, YarnRole
from production.models.yarn import DyeLot, Yarn

__all__ = [
    "Act",
    "ActKind",
    "DyeLot",
    "Load",
    "Pair",
    "PairMove",
    "Price",
    "Quality",
    "RunYarn",
    "Sock",
    "SockMark",
    "SockMove",
    "String",
    "StringRun",
    "TagSheet",
    "TagText",
    "Yarn",
    "YarnMove",
    "YarnRole",
    "YarnUse",
]
