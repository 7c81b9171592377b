"""The stock of a past day: read back from today, it is what reading every act says."""

import datetime as dt

import pytest

from production.errors import ProductionError
from production.models import Act, ActKind
from production.services.acts import undo_act
from sales.services import stockcount
from socktrade.history import make_history
from socktrade.models import Workshop

pytestmark = pytest.mark.django_db

TODAY = dt.date(2026, 6, 4)


@pytest.fixture
def a_season():
    """A season with every kind of act, and two acts of long ago taken back only today."""
    make_history(seasons=1, seed=5, pairs=60, today=TODAY, say=lambda _words: None, check=False)
    for kind in (ActKind.CUT, ActKind.YARN_WEIGHED):
        for act in Act.objects.standing().filter(kind=kind).order_by("-pk"):
            try:
                undo_act(act_id=act.pk, by=act.by, at=dt.datetime(2026, 6, 4, 8, tzinfo=dt.UTC))
            except ProductionError:  # moved on since; the next one may not be
                continue
            break
    return Workshop.current()


@pytest.mark.parametrize("days_back", [0, 1, 30, 120, 250, 400])
def test_what_has_not_moved_since_need_not_be_read(a_season, days_back, monkeypatch):
    day = TODAY - dt.timedelta(days=days_back)
    read_back = stockcount.count_stock(as_of=day, workshop=a_season)

    monkeypatch.setattr(stockcount, "MOST_LOOKED_AT", 0)

    assert stockcount.count_stock(as_of=day, workshop=a_season) == read_back
    assert days_back > 350 or read_back.total_minor
