"""Yarn, socks, pairs and the acts that move them."""

from production.models.acts import Act, ActKind, PairMove, SockMark, SockMove, YarnMove, YarnUse
from production.models.labels import Care, LabelChoice
from production.models.loads import Load
from production.models.pairs import Fold, Pair, Price, TagSheet, TagText
from production.models.scale import Package, PackageWeight, Weighing
from production.models.socks import (
    OPENING_STRING,
    Quality,
    RunYarn,
    Sock,
    String,
    StringRun,
    YarnRole,
)
from production.models.tagprints import LongPrint, LongPrintPart, TagHabits
from production.models.yarn import DyeLot, PriceUnit, Yarn

__all__ = [
    "OPENING_STRING",
    "Act",
    "ActKind",
    "Care",
    "DyeLot",
    "Fold",
    "LabelChoice",
    "Load",
    "LongPrint",
    "LongPrintPart",
    "Package",
    "PackageWeight",
    "Pair",
    "PairMove",
    "Price",
    "PriceUnit",
    "Quality",
    "RunYarn",
    "Sock",
    "SockMark",
    "SockMove",
    "String",
    "StringRun",
    "TagHabits",
    "TagSheet",
    "TagText",
    "Weighing",
    "Yarn",
    "YarnMove",
    "YarnRole",
    "YarnUse",
]
