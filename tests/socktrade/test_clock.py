"""A clock that was set back breaks no order, no undo and no age, and is told on today's page."""

import datetime as dt
import json
import uuid

import pytest
from django.utils.formats import date_format

from production.models import Act
from production.services import books as bench_books
from production.services.acts import Who
from production.services.basket_queries import basket_cards
from production.services.forecasts import bench_forecast
from production.services.strings import Run, log_string
from sales.models import PhoneAct
from sales.services import books as stall_books
from sales.services.till import undo_act
from socktrade.models import Workshop
from socktrade.today import look_around
from tests.factories.patterns import PatternVersionFactory
from tests.factories.production import stocked_lot
from tests.factories.sales import open_stall

pytestmark = pytest.mark.django_db

A_DAY = dt.timedelta(days=1)


def _string(by, at):
    version = PatternVersionFactory()
    run = Run(version=version, count=4, lot=stocked_lot(by=by))
    return log_string(runs=[run], minutes=60, who=Who(by=by, at=at)).act


def test_today_says_when_the_clock_is_behind_the_last_act(page, maker):
    ahead = dt.datetime.now(tz=dt.UTC) + A_DAY
    _string(maker, ahead)

    shown = page.get("/").content.decode()

    assert "clock says" in shown
    assert f"the last act was recorded at {date_format(ahead, 'j F Y, H:i')}" in shown


@pytest.mark.parametrize(("behind", "told"), [(0, False), (4, False), (6, True)])
def test_a_few_minutes_are_no_matter(maker, at, behind, told):
    _string(maker, at)

    look = look_around(workshop=Workshop.current(), date=at.date())
    found = look.last_act_ahead(at - dt.timedelta(minutes=behind))

    assert (found is not None) == told


def test_an_act_recorded_by_an_earlier_clock_is_still_the_last_one(maker, at):
    _string(maker, at)
    later = _string(maker, at - A_DAY)

    assert Act.objects.newest_first().first() == later


def test_undo_works_while_the_clock_is_behind(maker, at):
    string = _string(maker, at)

    undo_act(act_id=string.pk, who=Who(by=maker, at=at - A_DAY))

    assert Act.objects.filter(undoes=string).exists()
    assert [*bench_books.disagreements(), *stall_books.disagreements()] == []


def test_what_lies_in_baskets_is_never_old_before_its_time(page, maker):
    ahead = dt.datetime.now(tz=dt.UTC) + 30 * A_DAY
    _string(maker, ahead)

    bench = bench_forecast(
        basket_cards(), at=dt.datetime.now(tz=dt.UTC), workshop=Workshop.current()
    )
    pages = [page.get(address) for address in ("/", "/baskets/", "/baskets/cut/", "/strings/")]

    assert not any(ahead.old for ahead in bench.baskets.values())
    assert [answer.status_code for answer in pages] == [200] * len(pages)
    assert not any("-30" in answer.content.decode() for answer in pages)


def test_a_phone_ahead_of_the_clock_loses_nothing(page, maker):
    day = open_stall(maker, pairs=2)
    ahead = int((dt.datetime.now(tz=dt.UTC) + 30 * A_DAY).timestamp() * 1000)
    line = {"number": "P999999", "price_minor": 2800}
    sale = {"kind": "sale", "key": str(uuid.uuid4()), "paid_by": "cash", "lines": [line]}
    parcel = {"acts": [{**sale, "at": ahead}], "sent_at": ahead}

    told = page.post(f"/stall/{day.pk}/acts/", json.dumps(parcel), content_type="application/json")

    assert told.json()["answers"][0]["state"] == "done"
    assert PhoneAct.objects.get().act.at <= dt.datetime.now(tz=dt.UTC)
