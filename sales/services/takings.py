"""What was taken, paid back and owed in tax, by market and month."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Count, F, Sum
from django.db.models.functions import TruncMonth

from patterns.core.words import say
from sales.models import Deposit, HandOver, Sale, TakenBack
from sales.services.dayspan import moments_of

AWAY = say("without a market day")
ALL = say("All together")
ADDED_UP = ("purchases", "taken", "tax", "paid_back", "tax_back", "deposits", "paid_before")


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
        deposits: Taken for orders in this month, less deposits paid out again.
        paid_before: Of what is in `taken`, paid as a deposit at some time before.
    """

    month: dt.date
    market: str
    purchases: int = 0
    taken: int = 0
    tax: int = 0
    paid_back: int = 0
    tax_back: int = 0
    deposits: int = 0
    paid_before: int = 0

    @property
    def money_in(self) -> int:
        """What came into the tin and by card: deposits when they came, orders less those."""
        return self.kept + self.deposits - self.paid_before

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
    def with_sales(self) -> tuple[TakingsRow, ...]:
        """The rows in which something was sold or paid back."""
        return tuple(row for row in self.rows if row.purchases or row.paid_back)

    @property
    def with_deposits(self) -> tuple[TakingsRow, ...]:
        """The rows in which money for orders came in or counted."""
        return tuple(row for row in self.rows if row.deposits or row.paid_before)

    @property
    def total(self) -> TakingsRow:
        """All rows together."""
        total = TakingsRow(self.since, str(ALL))
        for row in self.rows:
            for name in ADDED_UP:
                setattr(total, name, getattr(total, name) + getattr(row, name))
        return total


def takings_by_month(*, since: dt.date, until: dt.date) -> TakingsSheet:
    """Return what was taken from one day to another, both counted."""
    rows: dict[tuple[dt.date, str], TakingsRow] = {}

    def row(month: dt.datetime, market: str | None) -> TakingsRow:
        key = month.date().replace(day=1), market or str(AWAY)
        return rows.setdefault(key, TakingsRow(*key))

    start, end = moments_of(since, until)
    sales = Sale.objects.standing().filter(act__at__gte=start, act__at__lt=end)
    for month, market, count, taken, tax in (
        sales.annotate(month=TruncMonth("act__at"))
        .order_by()
        .values_list("month", "day__market__name")
        .annotate(count=Count("pk"), taken=Sum("total_minor"), tax=Sum("tax_minor"))
    ):
        found = row(month, market)
        found.purchases, found.taken, found.tax = count, taken, tax
    for month, market, refund, total, tax in _paid_back(start, end):
        found = row(month, market)
        found.paid_back += refund
        found.tax_back += round((refund or 0) * (tax or 0) / total) if total else 0
    for month, market, amount in _deposits(start, end):
        row(month, market).deposits += amount
    for month, market, before in _paid_before(start, end):
        row(month, market).paid_before += before
    ordered = sorted(rows.values(), key=lambda one: (one.month, one.market))
    return TakingsSheet(since, until, tuple(ordered))


def takings_rows(sheet: TakingsSheet) -> Iterable[tuple[object, ...]]:
    """Yield the sheet as rows for a table of figures [minor units]."""
    yield (
        "month", "market", "purchases", "taken", "paid_back", "kept", "tax_inside_kept",
        "without_tax", "deposits_taken", "of_taken_paid_before", "money_in",
    )  # fmt: skip
    rows = [(f"{row.month:%Y-%m}", row) for row in sheet.rows]
    for month, row in (*rows, ("total", sheet.total)):
        yield (
            month, row.market, row.purchases, row.taken, row.paid_back, row.kept,
            row.tax_owed, row.without_tax, row.deposits, row.paid_before, row.money_in,
        )  # fmt: skip


def _deposits(
    start: dt.datetime, end: dt.datetime
) -> Iterable[tuple[dt.datetime, str | None, int]]:
    """Yield money taken for orders by the month in which it came."""
    rows = Deposit.objects.filter(act__undone_by__isnull=True, act__at__gte=start, act__at__lt=end)
    by_month = rows.annotate(month=TruncMonth("act__at")).order_by()
    return by_month.values_list("month", "day__market__name").annotate(sum=Sum("amount_minor"))


def _paid_before(
    start: dt.datetime, end: dt.datetime
) -> Iterable[tuple[dt.datetime, str | None, int]]:
    """Yield the deposits inside the price of what was handed over."""
    rows = HandOver.objects.filter(
        sale__act__undone_by__isnull=True,
        sale__act__at__gte=start,
        sale__act__at__lt=end,
        deposit_minor__gt=0,
    )
    by_month = rows.annotate(month=TruncMonth("sale__act__at")).order_by()
    return by_month.values_list("month", "sale__day__market__name").annotate(
        sum=Sum("deposit_minor")
    )


def _paid_back(
    start: dt.datetime, end: dt.datetime
) -> Iterable[tuple[dt.datetime, str | None, int, int, int]]:
    return (
        TakenBack.objects.filter(act__undone_by__isnull=True, act__at__gte=start, act__at__lt=end)
        .annotate(month=TruncMonth("act__at"))
        .values_list(
            "month",
            "day__market__name",
            "refund_minor",
            F("line__sale__total_minor"),
            F("line__sale__tax_minor"),
        )
    )
