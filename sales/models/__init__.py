"""Markets, market days, what was sold there and what was asked for."""

from sales.models.markets import (
    CashCount,
    Change,
    CountCure,
    DayAct,
    DayState,
    DesignSeason,
    Market,
    MarketDay,
    TaxRule,
)
from sales.models.orders import Deposit, HandOver, Order, OrderState
from sales.models.passes import StallPass
from sales.models.phones import PhoneAct
from sales.models.stall import (
    Ask,
    CountLine,
    CountSeen,
    Payment,
    Sale,
    SaleLine,
    SortOut,
    TakenBack,
)

__all__ = [
    "Ask",
    "CashCount",
    "Change",
    "CountCure",
    "CountLine",
    "CountSeen",
    "DayAct",
    "DayState",
    "Deposit",
    "DesignSeason",
    "HandOver",
    "Market",
    "MarketDay",
    "Order",
    "OrderState",
    "Payment",
    "PhoneAct",
    "Sale",
    "SaleLine",
    "SortOut",
    "StallPass",
    "TakenBack",
    "TaxRule",
]
