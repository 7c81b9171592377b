"""Market days lived one after another through the services."""

import datetime as dt

from production.services.acts import Who
from sales.models import Payment
from sales.services import days, report, till
from tests.factories.shelf import pairs_on_shelf, planned_day, sell_pair

START = dt.date(2026, 6, 4)


class Stall:
    """Market days one after another, a week apart, open from 8 to 14."""

    def __init__(self, maker, at):
        self.maker, self.made_at, self.weeks = maker, at - dt.timedelta(days=30), 0

    def who(self, day, clock):
        time = dt.time.fromisoformat(clock)
        return Who(by=self.maker, at=dt.datetime.combine(day.date, time, dt.UTC))

    def pairs(self, count, pattern=None):
        return pairs_on_shelf(count, Who(by=self.maker, at=self.made_at), pattern=pattern)

    def packed(self, pairs, **facts):
        day = planned_day(START + dt.timedelta(weeks=self.weeks), **facts)
        self.weeks += 1
        if pairs:
            ids = [pair.pk for pair in pairs]
            days.pack_pairs(day=day, pair_ids=ids, who=self.who(day, "07:00"))
        return day

    def opened(self, pairs, **facts):
        day = self.packed(pairs, **facts)
        days.open_day(day=day, float_minor=0, who=self.who(day, "08:00"))
        day.refresh_from_db()
        return day

    def sell(self, day, pair, clock, *, timed=True):
        pair.refresh_from_db()
        return sell_pair(day, pair, self.who(day, clock), timed=timed)

    def ask(self, day, pattern, clock="13:00"):
        return till.note_ask(day=day, pattern=pattern, who=self.who(day, clock))

    def bring_back(self, sale, day, clock):
        line = sale.lines.get()
        return till.take_back(
            line=line, refund_minor=0, paid_by=Payment.CASH, day=day, who=self.who(day, clock)
        )

    def close(self, day, *, noted=False):
        days.close_day(day=day, counted_minor=0, requests_noted=noted, who=self.who(day, "14:00"))
        day.refresh_from_db()

    def record(self):
        """The one kind's last day."""
        [history] = report.what_sells(report.closed_days(), ask_share=0.5).kinds
        return history.days[-1]


# brought, times of the sales, timed, requests noted, requests
SIX_DAYS = (
    (3, ("09:00", "10:00"), True, False, 0),
    (3, ("08:30", "10:00", "11:00"), True, False, 0),
    (4, ("12:00",), True, False, 0),
    (2, ("09:00", "12:30"), True, True, 1),
    (0, (), True, True, 1),
    (3, ("09:00", "09:00", "09:00"), False, False, 0),
)


def six_days(stall, pairs):
    """Live the days of the worked example."""
    left, pattern = list(pairs), pairs[0].pattern
    for brought, clocks, timed, noted, asked in SIX_DAYS:
        day = stall.opened(left[:brought])
        for clock in clocks:
            stall.sell(day, left.pop(0), clock, timed=timed)
        for _ in range(asked):
            stall.ask(day, pattern)
        stall.close(day, noted=noted)
