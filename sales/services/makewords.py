"""Why so many of a kind, and what to know about a plan, in sentences."""

from collections.abc import Iterable

from patterns.core.words import say, say_count
from sales.core.making import Kind, Line
from sales.core.reasons import make_reason, prediction_reason, rate_reason
from sales.models import MarketDay
from sales.services.report import KindHistory
from sales.services.sellbook import Book

LEVEL = 0.9


def kind_reasons(book: Book, history: KindHistory, kind: Kind, line: Line) -> tuple[str, ...]:
    """Return the sentences behind the number of a kind."""
    ahead = len(book.factors(history.pattern))
    said = [
        rate_reason(history.rate, LEVEL),
        say_count(
            "The next {count} market day: {wanted}",
            "The next {count} market days: {wanted}",
            ahead,
            wanted=prediction_reason(book.demand(history)),
        ),
        say("{made} finished, {begun} in progress.", made=kind.on_hand, begun=kind.begun),
        make_reason(line),
    ]
    if kind.most is not None and kind.on_hand + line.count >= kind.most:
        said.append(_limit(book, history, kind))
    if history.pattern.pk not in book.prices:
        said.append(say("It has no price yet; reckoned with the middle price of the others."))
    return tuple(said)


def _limit(book: Book, history: KindHistory, kind: Kind) -> str:
    if book.most(history) == kind.most:
        left = book.ahead.days_for(history.pattern.design_id)
        return say(
            "{left} market days are left for it: more than {most} would be left over.",
            left=left,
            most=kind.most,
        )
    if book.costs[history.pattern.pk].version is None:
        return say("It has no planned version to knit from.")
    return say("That is all the suiting yarn in the book allows.")


def plan_notes(
    book: Book, day: MarketDay | None, *, late: bool, orders_fill_it: bool
) -> Iterable[str]:
    """Return what she should know before she follows a plan."""
    if day is None:
        yield say("No market day is planned; the plan is for one week of your hours.")
    if late:
        yield say(
            "Nothing washed today dries before the market, so only socks that are washed "
            "already are planned beside the orders. Look at the market day after it, too."
        )
    if orders_fill_it:
        yield say("The orders alone take all the time there is.")
    if not book.found.days:
        yield say("No market day is closed yet, so every number here is a guess.")
    if book.ahead.ends_on is None:
        yield say("The end of the season is not set, so nothing holds back what may be left over.")
