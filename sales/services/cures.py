"""What became of pairs that were missing at the count back, as acts of their own."""

from django.db import transaction

from patterns.core.words import say
from production.models import Act, Pair
from production.services.acts import Who, recorded
from sales.errors import SalesError
from sales.models import CountCure, CountLine, MarketDay, Payment
from sales.services.daysheet import count_differences
from sales.services.shelf import write_off
from sales.services.table import table_pairs
from sales.services.till import Line, sell


@transaction.atomic
def cure_gap(
    *,
    day: MarketDay,
    line: CountLine,
    how: CountCure.How,
    pairs: int,
    who: Who,
    paid_by: Payment = Payment.CASH,
) -> Act:
    """Record missing pairs of a kind as sold without a note, or as lost.

    Raises:
        SalesError: If more pairs are named than are missing, or the book has fewer left of
            what came home from that day.
    """
    if done := recorded(who.key):
        return done
    found = _missing_pairs(day, line, pairs)
    if how == CountCure.How.LOST:
        reason = str(say("missing at the count of {day}", day=day))
        act = write_off(pair_ids=[pair.pk for pair in found], reason=reason, who=who)
    else:
        # By kind, not by number: nobody knows which of them went.
        lines = [
            Line(
                price_minor=pair.price_minor or 0,
                pattern=line.pattern,
                quality=line.quality,
                list_minor=pair.price_minor,
                reason=str(say("found missing at the count")),
            )
            for pair in found
        ]
        act = sell(day=day, lines=lines, paid_by=paid_by, who=who, timed=False).act
    CountCure.objects.create(act=act, line=line, how=how, pairs=pairs)
    return act


def _missing_pairs(day: MarketDay, line: CountLine, pairs: int) -> list[Pair]:
    """Return the pairs of a kind that came home by the book and were not there to count."""
    missing = {gap.line.pk: gap.missing for gap in count_differences(day)}.get(line.pk, 0)
    if not 0 < pairs <= missing:
        msg = say(
            "{count} of {kind} are missing; say what became of those.",
            count=max(0, missing),
            kind=line.pattern,
        )
        raise SalesError(msg, field="pairs")
    home = table_pairs(day).filter(pattern=line.pattern_id, quality=line.quality)
    found = list(home.order_by("number")[:pairs])
    if len(found) < pairs:
        msg = say(
            "The book has only {count} of {kind} left from that day.",
            count=len(found),
            kind=line.pattern,
        )
        raise SalesError(msg, field="pairs")
    return found
