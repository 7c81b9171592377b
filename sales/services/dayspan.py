"""Days of the calendar as moments, so that an index over moments can answer."""

import datetime as dt

from django.utils import timezone


def moments_of(since: dt.date, until: dt.date) -> tuple[dt.datetime, dt.datetime]:
    """Return when the first day begins and when the last one is over, where the workshop is."""
    return _start(since), _start(until + dt.timedelta(days=1))


def _start(date: dt.date) -> dt.datetime:
    return timezone.make_aware(dt.datetime.combine(date, dt.time.min))
