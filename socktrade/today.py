"""What the home page answers: what to do now, and why."""

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache

from django.db.models import Case, Count, Q, Subquery, Value, When
from django.db.models.functions import Coalesce
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from production.core.places import PairPlace
from production.models import Act, String
from production.services.basket_queries import (
    BasketCard,
    InWork,
    basket_cards,
    strings_in_work,
    waiting_now,
)
from production.services.strings import strings_on_machine
from production.services.yarn_queries import LotOnShelf, lots_running_low
from sales.models import DayState, MarketDay, Order, SortOut
from socktrade.first_steps import FirstStep, first_steps
from socktrade.models import Workshop
from socktrade.questions import Question

RUNNING_LOW_PAIRS, LOW_LOTS, ORDERS_SHOWN, ON_MACHINE_SHOWN = 2, 5, 5, 3
CLOCK_SLACK = dt.timedelta(minutes=5)


@dataclass(frozen=True, slots=True)
class Today:
    """Everything the page shows."""

    date: dt.date
    first_steps: tuple[FirstStep, ...]
    baskets: tuple[BasketCard, ...]
    basket_now: BasketCard | None
    strings: tuple[InWork, ...]
    shelf: int
    stall: int
    day: MarketDay | None
    orders: tuple[Order, ...]
    low_lots: tuple[LotOnShelf, ...]
    to_sort_out: int
    on_machine: tuple[String, ...] = ()
    last_act_at: dt.datetime | None = None

    @property
    def next_step(self) -> FirstStep | None:
        """The first thing not done yet in a book without a string."""
        return next((step for step in self.first_steps if not step.done), None)

    @property
    def days_to_market(self) -> int | None:
        """Days until the next market day, 0 on the day itself."""
        return (self.day.date - self.date).days if self.day else None

    def last_act_ahead(self, at: dt.datetime) -> dt.datetime | None:
        """Return when the last act was recorded, if the clock says that is yet to come.

        Acts keep the order in which they were recorded, whatever the clock said; but dates,
        ages and the day of a copy are read from it.

        Args:
            at: What this machine's clock says.
        """
        last = self.last_act_at
        return last if last is not None and last - at > CLOCK_SLACK else None


class MarketAheadMiddleware:
    """Tells the pages of the bench when the next market day is; asked for by those that care.

    What is made knows nothing of where it is sold, yet a wash must be dry in time.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Attach the question and go on."""
        request.market_ahead = next_market_date  # type: ignore[attr-defined]
        return self.get_response(request)


def next_market_date() -> dt.date | None:
    """Return the date of the next market day that is still to come or open."""
    day = _next_day(timezone.localdate())
    return day.date if day else None


def look_around(*, workshop: Workshop, date: dt.date) -> Today:
    """Read what waits, in few questions however long the history is."""
    places = waiting_now()
    cards = tuple(basket_cards(workshop, waiting=places))
    shelf, stall = places[PairPlace.SHELF].count, places[PairPlace.STALL].count
    waiting = any(card.count for card in cards)
    last_act_at, to_sort_out = _last_act().first() or (None, 0)
    started = waiting or shelf or stall or String.objects.exists()
    return Today(
        date=date,
        first_steps=() if started else first_steps(),
        baskets=cards,
        basket_now=nearest_to_shelf(cards),
        strings=tuple(strings_in_work(limit=4)) if waiting else (),
        shelf=shelf,
        stall=stall,
        day=_next_day(date),
        orders=tuple(_orders()),
        low_lots=tuple(
            lots_running_low(
                reserve_g=workshop.lot_reserve_g, below=RUNNING_LOW_PAIRS, limit=LOW_LOTS
            )
        ),
        to_sort_out=to_sort_out,
        last_act_at=last_act_at,
        on_machine=tuple(strings_on_machine()[:ON_MACHINE_SHOWN]),
    )


def nearest_to_shelf(cards: Sequence[BasketCard]) -> BasketCard | None:
    """Return the fullest-finished basket: its socks are the soonest to be sold.

    Drying needs no hands, so it is passed over while anything else waits.
    """
    waiting = [card for card in cards if card.count]
    at_hand = [card for card in waiting if card.key != "dry"]
    return (at_hand or waiting or [None])[-1]


def _next_day(date: dt.date) -> MarketDay | None:
    return _days_from(date).first()


@lru_cache(maxsize=4)
def _days_from(date: dt.date) -> Question[MarketDay]:
    """Return the question for the next market day, made once a day."""
    is_open = Q(state=DayState.OPEN)
    days = MarketDay.objects.upcoming().with_market().filter(is_open | Q(date__gte=date))
    shown = days.only("date", "state", "market", "market__name")
    return Question(shown.order_by(Case(When(is_open, then=0), default=1), "date", "pk")[:1])


@cache
def _orders() -> Question[Order]:
    """Return the question for the orders that are due next, made once."""
    due = Order.objects.due().only("wish", "customer", "promised_on")
    return Question(due[:ORDERS_SHOWN])


@cache
def _last_act() -> Question[tuple[dt.datetime, int]]:
    """Return the question for the moment of the last act, and how much is to be sorted out."""
    # Nothing is to be sorted out before the first act.
    unsettled = SortOut.objects.filter(settled_by__isnull=True).order_by()
    count = unsettled.values(all=Value(1)).annotate(n=Count("pk")).values("n")
    acts = Act.objects.newest_first().annotate(to_sort_out=Coalesce(Subquery(count), 0))
    return Question(acts.values_list("at", "to_sort_out")[:1])
