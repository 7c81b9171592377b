"""What lies on the table, what a typed number means and what was paid for a pair."""

from django.db.models import Q, QuerySet

from production.core.places import PairPlace
from production.models import ActKind, Pair
from sales.core.money import share_out
from sales.models import DayAct, DayState, MarketDay, SaleLine
from sales.services.boxes import box_of

LONGEST_NUMBER = 9


def paid_for(line: SaleLine) -> int:
    """Return what the buyer paid for a line, its part of a tax on top inside."""
    sale = line.sale
    if sale.tax_included or not sale.tax_minor:
        return line.price_minor
    prices = list(sale.lines.order_by("pk").values_list("pk", "price_minor"))
    parts = share_out(sale.tax_minor, [price for _, price in prices])
    return line.price_minor + dict(zip((pk for pk, _ in prices), parts, strict=True))[line.pk]


def number_in(text: str) -> int | None:
    """Return the pair number in what was typed or scanned ("1042", "p1042", an address)."""
    digits = text.strip().rstrip("/").rsplit("/", 1)[-1].strip().lstrip("Pp")
    if not (digits.isascii() and digits.isdecimal()) or len(digits) > LONGEST_NUMBER:
        return None
    return int(digits)


def find_pair(text: str) -> Pair | None:
    """Return the pair whose number was typed or scanned, if the book has it."""
    number = number_in(text)
    return (
        None
        if number is None
        else Pair.objects.select_related("pattern__design", "lot").filter(number=number).first()
    )


def sold_line(pair: Pair) -> SaleLine | None:
    """Return the line of the sale that a pair came back from.

    A pair that lies on the table in the book, while one of its kind was tapped away, is the
    one that went with the tap: then that line is it.
    """
    rows = SaleLine.objects.filter(holds=True).select_related(
        "sale__act", "sale__day__market", "pair__pattern__design"
    )
    if pair.place != PairPlace.STALL:
        return rows.filter(pair=pair).first()
    alike = {"pair__pattern": pair.pattern_id, "pair__quality": pair.quality}
    tapped = rows.filter(claimed="", pair__lot__yarn=pair.lot.yarn_id, **alike)
    return tapped.exclude(sale__day=None).order_by("-pk").first()


def table_pairs(day: MarketDay) -> QuerySet[Pair]:
    """Return the pairs that can have been sold at a day's table.

    While it is open that is the stall box. After closing it is what went home unsold and is
    still there, so that a purchase found on paper in the evening meets its pair.
    """
    if day.state != DayState.CLOSED:
        return box_of(day)
    closings = DayAct.objects.filter(
        day=day, act__kind=ActKind.CLOSE_DAY, act__undone_by__isnull=True
    )
    return Pair.objects.filter(
        Q(place=PairPlace.SHELF), moves__act__in=closings.values("act_id")
    ).distinct()
