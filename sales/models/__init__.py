"""Markets, market days, what was sold there and what was asked for."""

from sales.models.markets import CashCount, DayAct, DayState, Market, MarketDay
from sales.models.orders import Order, OrderState
from sales.models.phones import PhoneAct
from sales.models.stall import (
    Ask,
    CountLine,
    Payment,
    Sale,
    SaleLine,
    SortOut,
    TakenBack,
)

__all__ = [
    "Ask",
    "CashCount",
    "CountLine",
    "DayAct",
    "DayState",
    "Market",
    "MarketDay",
    "Order",
    "OrderState",
    "Payment",
    "PhoneAct",
    "Sale",
    "SaleLine",
    "SortOut",
    "TakenBack",
]
