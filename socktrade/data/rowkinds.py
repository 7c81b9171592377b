"""The three tables that can come in row by row, and what each row says."""

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from patterns.core.refusal import RefusedError
from patterns.core.words import say, say_list
from patterns.core.yarncount import tex_of
from patterns.models import Pattern, PatternVersion
from production.core.fibre.names import canonical_fibre, is_bamboo
from production.models import DyeLot, Quality, Yarn
from production.services.acts import Who
from production.services.opening import OldStock, bring_stock
from production.services.yarn import NewLot, add_lot, add_yarn
from sales.models import Market, Payment
from sales.services.past import PastSale, note_past_sale
from socktrade.data.csvfiles import Column
from socktrade.models import Workshop
from socktrade.money import parse_minor

BEFORE = "before the book"
MOST_GRAMS = 1_000_000
Cells = Mapping[str, str]


class RowError(Exception):
    """Cells that cannot be taken, and why, by column."""

    def __init__(self, *, column: str = "", words: str = "") -> None:
        super().__init__(words)
        self.troubles = {column: words} if words else {}


@dataclass(frozen=True, slots=True)
class RowKind:
    """One table: its columns, and the act that a row becomes."""

    key: str
    title: Promise
    lead: Promise
    columns: tuple[Column, ...]
    record: Callable[[Cells, Who], Any]


def _stock(cells: Cells, who: Who) -> None:
    yarn, version, quality, price, pairs = _read_all(
        lambda: _yarn(cells),
        lambda: _version(_pattern(cells), cells["version"]),
        lambda: _quality(cells),
        lambda: _money(cells, "price"),
        lambda: _whole(cells, "count"),
    )
    code = cells["lot"] or BEFORE
    lot = DyeLot.objects.filter(yarn=yarn, code__iexact=code).first()
    if lot is None:
        lot = add_lot(yarn=yarn, lot=NewLot(code=_short("lot", code, 40)), who=who)
    stock = OldStock(
        version=version,
        lot=lot,
        quality=quality,
        price_minor=price,
        pairs=pairs,
    )
    bring_stock(stock=stock, who=who, note=cells["note"])


def _yarn_in(cells: Cells, who: Who) -> None:
    price, content, tex, grams = _read_all(
        lambda: _money(cells, "price_per_100g") if cells["price_per_100g"] else 0,
        lambda: _content(cells["content"]),
        lambda: _tex(cells["count"]),
        lambda: _grams(cells["grams"]),
    )
    yarn = Yarn(
        name=cells["name"],
        colour=cells["colour"],
        content=content,
        count_text=cells["count"],
        tex=tex,
        price_minor=price,
        price_said_minor=price,
    )
    try:
        yarn.clean_fields()
    except ValidationError as problem:
        column, words = next(iter(problem.message_dict.items()))
        raise RowError(
            column={"count_text": "count"}.get(column, column), words=words[0]
        ) from problem
    lot = NewLot(code=_short("lot", cells["lot"], 40), gross_g=grams)
    there = Yarn.objects.filter(name__iexact=yarn.name, colour__iexact=yarn.colour).first()
    if there is None:
        add_yarn(yarn=yarn, lot=lot, who=who)
        return
    if there.content != yarn.content:
        msg = say("the book has {there} as {said}", there=there, said=_said(there.content))
        raise RowError(column="content", words=msg)
    if abs(there.tex - yarn.tex) > 0.01 * there.tex:
        msg = say("the book has {there} as {count_text}", there=there, count_text=there.count_text)
        raise RowError(column="count", words=msg)
    add_lot(yarn=there, lot=lot, who=who)


def _past_sale(cells: Cells, who: Who) -> None:
    market, date, pattern, quality, pairs, price, paid_by = _read_all(
        lambda: _market(cells),
        lambda: _date(cells["date"]),
        lambda: _pattern(cells),
        lambda: _quality(cells),
        lambda: _whole(cells, "count"),
        lambda: _money(cells, "price"),
        lambda: _payment(cells["paid_by"]),
    )
    past = PastSale(
        market=market,
        date=date,
        pattern=pattern,
        quality=quality,
        pairs=pairs,
        price_minor=price,
        paid_by=paid_by,
    )
    note_past_sale(past=past, who=who)


DESIGN = Column("design", _("as under Patterns"), "Harbour plain")
SIZE = Column("size", _("as under Patterns"), "Women 8½")
QUALITY = Column("quality", _("first or second; empty is first"), "first", required=False)
NOTE = Column(
    "note", _("your own words; they keep two equal rows apart"), "counted in May", required=False
)
KINDS = {
    "stock": RowKind(
        key="stock",
        title=_("Bring in pairs on the shelf"),
        lead=_(
            "Each row puts pairs on the shelf, numbered and with a story that starts here. Design "
            "and size must be among your patterns, since a pair without row counts could be "
            "neither repeated nor labelled; the yarn must be under Yarn. Pairs of two yarns come "
            "in as of the one named: tag those by hand."
        ),
        columns=(
            DESIGN,
            SIZE,
            QUALITY,
            Column("price", _("on its tag"), "28.00"),
            Column("count", _("pairs"), "4"),
            Column("yarn", _("as under Yarn"), "Sock wool"),
            Column("colour", _("as under Yarn"), "Kelp"),
            Column("lot", _("its dye lot; empty is “before the book”"), "7", required=False),
            Column("version", _("of the pattern; empty is the newest"), "1", required=False),
            NOTE,
        ),
        record=_stock,
    ),
    "yarn": RowKind(
        key="yarn",
        title=_("Bring in yarn"),
        lead=_("Each row receives the grams of one dye lot; a yarn that is new comes with it."),
        columns=(
            Column("name", _("of the yarn"), "Sock wool"),
            Column("colour", _("as on the band"), "Kelp"),
            Column("content", _("percents and fibres"), "75 wool, 25 nylon"),
            Column("count", _("as on the band"), "100 g / 400 m"),
            Column("lot", _("dye lot"), "7"),
            Column("grams", _("without cone or core"), "850"),
            Column("price_per_100g", _("what you paid"), "9.00", required=False),
            NOTE,
        ),
        record=_yarn_in,
    ),
    "sales": RowKind(
        key="sales",
        title=_("Bring in past sales"),
        lead=_(
            "Each row is what sold of one kind on one market day before this book. Nothing leaves "
            "the shelf for it. Tax is reckoned as the market has it for that date."
        ),
        columns=(
            Column("date", _("as 2026-05-28"), "2026-05-28"),
            Column("market", _("as under Markets"), "Thursday quay market"),
            DESIGN,
            SIZE,
            QUALITY,
            Column("count", _("pairs"), "3"),
            Column("price", _("taken for each"), "28.00"),
            Column("paid_by", _("cash, card or other; empty is cash"), "cash", required=False),
            NOTE,
        ),
        record=_past_sale,
    ),
}


def _read_all(*cells: Callable[[], Any]) -> list[Any]:
    """Read every cell of a row, so that all that is wrong with it is told at once."""
    values, wrong = [], RowError()
    for read in cells:
        try:
            values.append(read())
        except RowError as problem:
            wrong.troubles |= problem.troubles
    if wrong.troubles:
        raise wrong
    return values


def _market(cells: Cells) -> Market:
    market = Market.objects.filter(name__iexact=cells["market"]).first()
    if market is None:
        msg = say("no market of that name is in the book; add it under Markets first")
        raise RowError(column="market", words=msg)
    return market


def _pattern(cells: Cells) -> Pattern:
    rows = Pattern.objects.select_related("design").filter(design__name__iexact=cells["design"])
    if not rows.exists():
        raise RowError(column="design", words=say("no such design is among your patterns"))
    pattern = rows.filter(size_name__iexact=cells["size"]).first()
    if pattern is None:
        raise RowError(
            column="size",
            words=say("{design} has no such size among your patterns", design=cells["design"]),
        )
    return pattern


def _version(pattern: Pattern, number: str) -> PatternVersion:
    versions = pattern.versions.select_related("pattern__design").order_by("-number")
    if number:
        versions = versions.filter(number=_figure(number.lower().removeprefix("v"), "version"))
    version = versions.first()
    if version is None:
        raise RowError(
            column="version" if number else "size",
            words=say("{pattern_} has no such version", pattern_=pattern),
        )
    return version


def _yarn(cells: Cells) -> Yarn:
    rows = Yarn.objects.filter(name__iexact=cells["yarn"])
    if not rows.exists():
        raise RowError(
            column="yarn", words=say("no such yarn is in the book; import or add it first")
        )
    yarn = rows.filter(colour__iexact=cells["colour"]).first()
    if yarn is None:
        raise RowError(
            column="colour",
            words=say("{yarn} is not in the book in that colour", yarn=cells["yarn"]),
        )
    return yarn


def _quality(cells: Cells) -> str:
    said = cells["quality"].lower() or Quality.FIRST
    if said not in (Quality.FIRST, Quality.SECOND):
        raise RowError(column="quality", words=say("is neither first nor second"))
    return said


def _payment(said: str) -> str:
    way = said.lower() or Payment.CASH
    if way not in Payment.values:
        raise RowError(column="paid_by", words=say("is neither cash, card nor other"))
    return way


def _money(cells: Cells, column: str) -> int:
    try:
        return parse_minor(cells[column], Workshop.current().currency)
    except ValueError as problem:
        raise RowError(column=column, words=str(problem)) from problem


def _whole(cells: Cells, column: str) -> int:
    return _figure(cells[column], column)


def _figure(text: str, column: str) -> int:
    if not (text.isascii() and text.isdecimal()) or len(text) > 6:
        raise RowError(column=column, words=say("is no whole number"))
    return int(text)


def _grams(text: str) -> Decimal:
    try:
        grams = Decimal(text.lower().removesuffix("g").strip().replace(",", "."))
    except InvalidOperation as problem:
        raise RowError(column="grams", words=say("is no weight in grams")) from problem
    if not grams.is_finite() or not 0 < grams <= MOST_GRAMS:
        raise RowError(
            column="grams", words=say("must be above 0 and at most {most}", most=MOST_GRAMS)
        )
    return grams.quantize(Decimal("0.1"))


def _tex(text: str) -> float:
    try:
        tex = tex_of(text)
    except RefusedError as problem:
        raise RowError(column="count", words=problem.about(text).reason) from problem
    return tex


def _date(text: str) -> dt.date:
    try:
        return dt.date.fromisoformat(text)
    except ValueError as problem:
        raise RowError(column="date", words=say("is no date written like 2026-05-28")) from problem


def _short(column: str, text: str, most: int) -> str:
    if len(text) > most:
        raise RowError(column=column, words=say("is longer than {most} signs", most=most))
    return text


def _content(text: str) -> dict[str, float]:
    """Read percents and fibres in either order: `75 wool, 25 nylon` or `wool 75 %; nylon 25 %`."""
    content: dict[str, float] = {}
    for part in text.replace(";", ",").replace("/", ",").replace("+", ",").split(","):
        figures = [word for word in part.replace("%", " ").split() if word[0].isdigit()]
        words = [word for word in part.replace("%", " ").split() if not word[0].isdigit()]
        if len(figures) != 1 or not words:
            raise RowError(column="content", words=say("is not written like 75 wool, 25 nylon"))
        name = _fibre(" ".join(words))
        if name in content:
            raise RowError(column="content", words=say("names {name} twice", name=name))
        try:
            content[name] = float(figures[0])
        except ValueError as problem:
            raise RowError(
                column="content", words=say("“{text}” is no percent", text=figures[0])
            ) from problem
    total = sum(content.values())
    if abs(total - 100) > 0.01:
        raise RowError(column="content", words=say("comes to {total:g} %, not 100", total=total))
    return {name: int(p) if p == int(p) else p for name, p in content.items()}


def _fibre(words: str) -> str:
    try:
        return "bamboo" if is_bamboo(words) else canonical_fibre(words)
    except ValueError as problem:
        raise RowError(
            column="content", words=say("“{text:.40}” is no fibre known here", text=words)
        ) from problem


def _said(content: Mapping[str, float]) -> str:
    parts = [
        say("{percent:g} {name}", percent=percent, name=name) for name, percent in content.items()
    ]
    return say_list(parts)
