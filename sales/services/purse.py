"""Money of a day by the way it was paid: purchases, deposits, what was paid back."""

from collections import Counter
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Q, QuerySet, Sum

from sales.models import (
    CashCount,
    Deposit,
    HandOver,
    MarketDay,
    Payment,
    Sale,
    SaleLine,
    TakenBack,
)


@dataclass(frozen=True, slots=True)
class Takings:
    """The money of a day [minor units].

    Attributes:
        sold: Taken for pairs by payment, deposits of before left out.
        deposits: Taken for orders by payment.
        back: Paid out for pairs brought back by payment.
        tax: Inside the purchases.
        float_minor: In the tin in the morning.
        fee: Of the stall.
        count: The tin and the cards as they were counted at closing, if they were.
        pairs: Sold [pairs].
        from_paper: Of them, typed in later [pairs].
        purchases: Recorded as they happened.
    """

    sold: Counter[str]
    deposits: Counter[str]
    back: Counter[str]
    tax: int
    float_minor: int
    fee: int
    count: CashCount | None
    pairs: int
    from_paper: int
    purchases: int

    @property
    def cash(self) -> int:
        """Cash for pairs."""
        return self.sold[Payment.CASH]

    @property
    def card(self) -> int:
        """By card for pairs."""
        return self.sold[Payment.CARD]

    @property
    def other(self) -> int:
        """By other ways for pairs."""
        return self.sold[Payment.OTHER]

    @property
    def deposited(self) -> int:
        """For orders, less deposits paid back."""
        return sum(self.deposits.values())

    @property
    def paid_back(self) -> int:
        """Paid out for pairs brought back."""
        return sum(self.back.values())

    @property
    def total(self) -> int:
        """Taken, deposits inside, less paid back."""
        return sum(self.sold.values()) + self.deposited - self.paid_back

    @property
    def left_after_fee(self) -> int:
        """What the day brought less the stall fee."""
        return self.total - self.fee

    @property
    def expected(self) -> int:
        """What the tin should hold."""
        return self.float_minor + self._net(Payment.CASH)

    @property
    def cards_expected(self) -> int:
        """What the card reader should show."""
        return self._net(Payment.CARD)

    @property
    def counted(self) -> int | None:
        """What was in the tin."""
        return self.count.counted_minor if self.count else None

    @property
    def cards_counted(self) -> int | None:
        """What the card reader said."""
        return self.count.card_counted_minor if self.count else None

    @property
    def difference(self) -> int | None:
        """Over (+) or short (-) against what the book expects now."""
        return None if self.counted is None else self.counted - self.expected

    @property
    def cards_difference(self) -> int | None:
        """Over (+) or short (-) against what the book expects now."""
        return None if self.cards_counted is None else self.cards_counted - self.cards_expected

    @property
    def expected_then(self) -> int | None:
        """What the book expected when the tin was counted."""
        return self.count.expected_minor if self.count else None

    @property
    def changed_since(self) -> bool:
        """Whether something was recorded or undone after the tin was counted."""
        return self.expected_then not in (None, self.expected)

    def _net(self, payment: Payment) -> int:
        return self.sold[payment] + self.deposits[payment] - self.back[payment]


def takings_of(day: MarketDay) -> Takings:
    """Return the money of a day from its standing acts."""
    sales = Sale.objects.standing().filter(day=day)
    sums = sales.aggregate(tax=Sum("tax_minor"), purchases=Count("pk", filter=Q(timed=True)))
    pairs = SaleLine.objects.filter(sale__day=day, sale__act__undone_by__isnull=True).aggregate(
        all=Count("pk"), later=Count("pk", filter=Q(sale__timed=False))
    )
    counts = CashCount.objects.filter(day=day, act__undone_by__isnull=True).order_by("-pk")
    return Takings(
        sold=sold_by_payment(day),
        deposits=deposits_by_payment(day),
        back=back_by_payment(day),
        tax=sums["tax"] or 0,
        float_minor=day.float_minor,
        fee=day.fee_minor,
        count=counts.first(),
        pairs=pairs["all"],
        from_paper=pairs["later"],
        purchases=sums["purchases"],
    )


def sold_by_payment(day: MarketDay) -> Counter[str]:
    """Return what purchases brought on the day; a deposit paid before is not in it."""
    sold = _sums(Sale.objects.standing().filter(day=day), "paid_by", "total_minor")
    before = HandOver.objects.filter(sale__day=day, sale__act__undone_by__isnull=True)
    sold.subtract(_sums(before, "sale__paid_by", "deposit_minor"))
    return sold


def deposits_by_payment(day: MarketDay) -> Counter[str]:
    """Return what was taken on the day for orders that are still to make."""
    rows = Deposit.objects.filter(day=day, act__undone_by__isnull=True)
    return _sums(rows, "paid_by", "amount_minor")


def back_by_payment(day: MarketDay) -> Counter[str]:
    """Return what was paid out on the day for pairs brought back."""
    rows = TakenBack.objects.filter(day=day, act__undone_by__isnull=True)
    return _sums(rows, "paid_by", "refund_minor")


def cash_expected(day: MarketDay) -> int:
    """Return what the tin should hold: float, cash taken, less cash paid back."""
    return day.float_minor + _net(day, Payment.CASH)


def cards_expected(day: MarketDay) -> int:
    """Return what the card reader should show for the day."""
    return _net(day, Payment.CARD)


def _net(day: MarketDay, payment: Payment) -> int:
    taken = sold_by_payment(day)[payment] + deposits_by_payment(day)[payment]
    return taken - back_by_payment(day)[payment]


def _sums(rows: QuerySet[Any], payment: str, amount: str) -> Counter[str]:
    return Counter(dict(rows.order_by().values_list(payment).annotate(sum=Sum(amount))))
