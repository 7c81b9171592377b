"""Rows of a made-up past: numbered as they are thought of, written season by season.

What a service would check row by row is right here by the way the rows come about: a move
starts where its sock or pair stands, and the cached columns change with it.
"""

import datetime as dt
import uuid
from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from typing import Any, TypeVar

from django.contrib.auth.models import User
from django.core.management.color import no_style
from django.db import connection
from django.db.models import Manager, Max, Model

from production.core.places import PairPlace, SockPlace
from production.models import (
    Act,
    ActKind,
    DyeLot,
    Package,
    PackageWeight,
    Pair,
    PairMove,
    Sock,
    SockMark,
    SockMove,
    Weighing,
    YarnMove,
    YarnUse,
)
from production.services.yarn import add_up_lots
from sales.models import DayAct, MarketDay
from socktrade.data.tables import book_models

CHUNK = 4000
MEASURES = (SockMark.Field.FOOT, SockMark.Field.LEG)
SQLITE_COLUMNS = 30_000  # values in one statement
M = TypeVar("M", bound=Model)


class Ink:
    """Keeps the rows of a season until they are written, and the next key of each table."""

    def __init__(self, by: User) -> None:
        self.by = by
        self.written = 0
        self._next: dict[type[Model], int] = {}
        self._rows: dict[type[Model], list[Any]] = {model: [] for model in book_models()}

    def keep(self, row: M) -> M:
        """Give a row its key and keep it."""
        model = type(row)
        if model not in self._next:
            self._next[model] = (_table(model).aggregate(last=Max("pk"))["last"] or 0) + 1
        row.pk = self._next[model]
        self._next[model] += 1
        self._rows[model].append(row)
        return row

    def act(
        self,
        kind: ActKind,
        at: dt.datetime,
        *,
        day: MarketDay | None = None,
        note: str = "",
        minutes: float | None = None,
        key: uuid.UUID | None = None,
        undoes: Act | None = None,
    ) -> Act:
        """Keep an act, with its market day if it belongs to one."""
        act = self.keep(
            Act(kind=kind, by=self.by, at=at, note=note, minutes=minutes, key=key, undoes=undoes)
        )
        if day is not None:
            self.keep(DayAct(act=act, day=day))
        return act

    def move_socks(
        self, act: Act, socks: Iterable[Sock], end: SockPlace, pair: Pair | None = None
    ) -> None:
        """Carry socks to a place; into a pair the first becomes its first."""
        inside = pair if end == SockPlace.IN_PAIR else None
        for side, sock in enumerate(socks, start=1):
            self.keep(SockMove(act=act, sock=sock, start=sock.place, end=end, pair=pair))
            sock.place, sock.since, sock.pair = end, act.at, inside
            sock.side = side if inside else None

    def move_pairs(self, act: Act, pairs: Iterable[Pair], end: PairPlace) -> None:
        """Carry pairs to a place."""
        for pair in pairs:
            self.keep(PairMove(act=act, pair=pair, start=pair.place, end=end))
            pair.place, pair.since = end, act.at

    def mark(self, act: Act, sock: Sock, field: SockMark.Field, value: str | int) -> None:
        """Note a figure on a sock."""
        was = getattr(sock, field)
        before = "" if was is None else str(was)
        if before != str(value):
            self.keep(SockMark(act=act, sock=sock, field=field, was=before, became=str(value)))
            setattr(sock, field, value if value != "" or field not in MEASURES else None)

    def yarn(
        self,
        act: Act,
        lot: DyeLot,
        grams: Decimal,
        use: YarnUse,
        scale: tuple[Decimal, Decimal] | None = None,
    ) -> None:
        """Book grams in or out; `scale` is gross and tare as weighed."""
        if grams:
            gross, tare = scale or (None, None)
            self.keep(YarnMove(act=act, lot=lot, grams=grams, use=use, gross_g=gross, tare_g=tare))

    def package(
        self, act: Act, lot: DyeLot, number: int, gross_g: Decimal, *, core: bool
    ) -> Package:
        """Keep a cone or a ball and what it showed on the scale."""
        package = self.keep(Package(act=act, lot=lot, number=number, has_core=core))
        self.weight(act, package, gross_g)
        return package

    def weight(self, act: Act, package: Package, gross_g: Decimal) -> None:
        """Keep what a package showed on the scale by itself."""
        self.keep(PackageWeight(act=act, package=package, gross_g=gross_g))

    def weighing(
        self, act: Act, lot: DyeLot, net_g: Decimal, book_g: Decimal, *, booked: bool
    ) -> None:
        """Keep a weighing of a whole lot beside the book."""
        self.keep(Weighing(act=act, lot=lot, net_g=net_g, book_g=book_g, booked=booked))

    def undo(self, act: Act, at: dt.datetime) -> Act:
        """Take an act back with all that hangs on it; it must be young."""
        note = f"{act.get_kind_display()} taken back"
        reverse = self.act(ActKind.UNDO, at, note=note, undoes=act)
        for mark in self._hung(SockMark, act):
            self.mark(reverse, mark.sock, SockMark.Field(mark.field), mark.was)
        for move in self._hung(PairMove, act):
            self.move_pairs(reverse, [move.pair], PairPlace(move.start or PairPlace.SPLIT))
        for move in self._hung(SockMove, act):
            end = SockPlace(move.start or SockPlace.UNMADE)
            self.move_socks(reverse, [move.sock], end, move.pair)
        for move in self._hung(YarnMove, act):
            self.yarn(reverse, move.lot, -move.grams, YarnUse(move.use))
        return reverse

    def kept(self, model: type[M]) -> list[M]:
        """Return the rows of a table that are not written yet."""
        return list(self._rows[model])

    def booked_by(self, act: Act) -> list[tuple[DyeLot, Decimal]]:
        """Return the grams that a young act booked, lot by lot."""
        return [(move.lot, move.grams) for move in self._hung(YarnMove, act)]

    def write(self) -> int:
        """Write what was kept, each table after those that it points at; return how many rows."""
        count, yarn_moved = 0, bool(self._rows[YarnMove])
        for model, rows in self._rows.items():
            for part in _parts(rows, model):
                _table(model).bulk_create(part)
            count += len(rows)
            rows.clear()
        if yarn_moved:
            add_up_lots()
        if connection.vendor == "postgresql":
            connection.check_constraints()  # else its list of what to check grows to the end
        self.written += count
        return count

    def set_sequences(self) -> None:
        """Let the database number on from where these rows end."""
        lines = connection.ops.sequence_reset_sql(no_style(), [*self._next])
        with connection.cursor() as cursor:
            for line in lines:
                cursor.execute(line)

    def _hung(self, model: type[M], act: Act) -> list[M]:
        found = []
        for row in reversed(self._rows[model]):
            if row.act_id < act.pk:
                break
            if row.act_id == act.pk:
                found.append(row)
        return found[::-1]


def _table(model: type[M]) -> Manager[M]:
    manager: Manager[M] = model._default_manager  # noqa: SLF001 - any model has one
    return manager


def _parts(rows: Sequence[Any], model: type[Model]) -> Iterator[Sequence[Any]]:
    size = min(CHUNK, SQLITE_COLUMNS // len(model._meta.concrete_fields))
    return (rows[start : start + size] for start in range(0, len(rows), size))
