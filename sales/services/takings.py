"""What was taken, paid back and owed in tax, by market and month."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Count, F, Sum
from django.db.models.functions import TruncMonth

from sales.models import Sale, TakenBack

AWAY = "without a market day"


@dataclass(slots=True)
class TakingsRow:
    """One market in one month [minor units].

    Attributes:
        month: First day of the month.
        market: Its name; sales without a market day (orders, at the door) stand by themselves.
        purchases: How many buyers.
        taken: Taken, tax inside.
        tax: Tax inside what was taken.
        paid_back: Paid back for pairs brought back.
        tax_back: Tax inside what was paid back, in the share the sale had.
    """

    month: dt.date
    market: str
    purchases: int = 0
    taken: int = 0
    tax: int = 0
    paid_back: int = 0
    tax_back: int = 0

    @property
    def kept(self) -> int:
        """Taken less paid back, tax inside."""
        return self.taken - self.paid_back

    @property
    def tax_owed(self) -> int:
        """Tax inside what was kept."""
        return self.tax - self.tax_back

    @property
    def without_tax(self) -> int:
        """What was kept, tax taken out."""
        return self.kept - self.tax_owed


@dataclass(frozen=True, slots=True)
class TakingsSheet:
    """All months and markets of a range of days."""

    since: dt.date
    until: dt.date
    rows: tuple[TakingsRow, ...]

    @property
    def total(self) -> TakingsRow:
        """All rows together."""
        total = TakingsRow(self.since, "All together")
        for row in self.rows:
            for name in ("purchases", "taken", "tax", "paid_back", "tax_back"):
                setattr(total, name, getattr(total, name) + getattr(row, name))
        return total


def takings_by_month(*, since: dt.date, until: dt.date) -> TakingsSheet:
    """Return what was taken from one day to another, both counted."""
    rows: dict[tuple[dt.date, str], TakingsRow] = {}

    def row(month: dt.datetime, market: str | None) -> TakingsRow:
        key = month.date().replace(day=1), market or AWAY
        return rows.setdefault(key, TakingsRow(*key))

    sales = Sale.objects.standing().filter(act__at__date__range=(since, until))
    for month, market, count, taken, tax in (
        sales.annotate(month=TruncMonth("act__at"))
        .order_by()
        .values_list("month", "day__market__name")
        .annotate(count=Count("pk"), taken=Sum("total_minor"), tax=Sum("tax_minor"))
    ):
        found = row(month, market)
        found.purchases, found.taken, found.tax = count, taken, tax
    for month, market, refund, total, tax in _paid_back(since, until):
        found = row(month, market)
        found.paid_back += refund
        found.tax_back += round((refund or 0) * (tax or 0) / total) if total else 0
    ordered = sorted(rows.values(), key=lambda one: (one.month, one.market))
    return TakingsSheet(since, until, tuple(ordered))


def takings_rows(sheet: TakingsSheet) -> Iterable[tuple[object, ...]]:
    """Yield the sheet as rows for a table of figures [minor units]."""
    yield (
        "month", "market", "purchases", "taken", "paid_back", "kept", "tax_inside_kept",
        "without_tax",
    )  # fmt: skip
    for row in (*sheet.rows, sheet.total):
        month = "total" if row.market == "All together" else f"{row.month:%Y-%m}"
        yield (
            month, row.market, row.purchases, row.taken, row.paid_back, row.kept,
            row.tax_owed, row.without_tax,
        )  # fmt: skip


def _paid_back(
    since: dt.date, until: dt.date
) -> Iterable[tuple[dt.datetime, str | None, int, int, int]]:
    return (
        TakenBack.objects.filter(act__undone_by__isnull=True, act__at__date__range=(since, until))
        .annotate(month=TruncMonth("act__at"))
        .values_list(
            "month",
            "day__market__name",
            "refund_minor",
            F("line__sale__total_minor"),
            F("line__sale__tax_minor"),
        )
    )
