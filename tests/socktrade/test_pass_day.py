"""A stall pass stays within its own day, also in what its phone sends by script.

Expected behaviour: the project's own rule, a pass is for the till of one market day.
"""

import json
import uuid

import pytest
from django.contrib.auth.models import User
from django.test import Client

from production.services import books as bench_books
from sales.models import PhoneAct, Sale
from sales.services import books
from socktrade.access import people
from tests.factories.sales import MarketDayFactory, open_stall

pytestmark = pytest.mark.django_db


@pytest.fixture
def own(maker):
    return open_stall(maker, pairs=4)


@pytest.fixture
def other(own):
    return MarketDayFactory(market=own.market, date=own.date.replace(day=own.date.day + 1))


@pytest.fixture
def phone(own, at):
    """The phone of somebody with a pass for one day."""
    made, _ = people.make_pass(day=own, name="phone", at=at)
    return _signed_in(made.user)


@pytest.fixture(autouse=True)
def clean_books():
    yield
    assert [*bench_books.disagreements(), *books.disagreements()] == []


def _signed_in(user):
    client = Client()
    client.force_login(user)
    return client


def _send(client, day, *acts):
    answer = client.post(
        f"/stall/{day.pk}/acts/", json.dumps({"acts": acts}), content_type="application/json"
    )
    return answer.status_code, [one["state"] for one in answer.json().get("answers", [])]


def _sale():
    line = {"name": "a pair", "number": "P999999", "price_minor": 2800}
    return {"kind": "sale", "key": str(uuid.uuid4()), "paid_by": "cash", "lines": [line]}


def _undo(act):
    return {"kind": "undo", "key": str(uuid.uuid4()), "undoes": act["key"]}


def _standing():
    return Sale.objects.standing().count()


def test_a_pass_takes_back_by_its_phone_what_was_sold_on_its_day(phone, own, maker):
    mine, hers = _sale(), _sale()
    _send(phone, own, mine)
    _send(_signed_in(maker), own, hers)

    told = _send(phone, own, _undo(mine), _undo(hers))

    assert told == (200, ["done", "done"])
    assert _standing() == 0


def test_a_pass_takes_back_nothing_of_another_day_by_its_phone(phone, own, other, maker):
    elsewhere = _sale()
    _send(_signed_in(maker), other, elsewhere)

    told = _send(phone, own, _undo(elsewhere))

    assert told == (200, ["kept"])
    assert _standing() == 1
    assert "another day" in PhoneAct.objects.latest("pk").trouble


def test_an_undo_of_a_pass_lies_in_wait_for_nothing_of_another_day(phone, own, other, maker):
    elsewhere = _sale()

    early = _send(phone, own, _undo(elsewhere))
    _send(_signed_in(maker), other, elsewhere)

    assert early == (200, ["early"])
    assert _standing() == 1


def test_the_owner_may_take_back_what_a_parcel_of_another_day_told(own, other, maker):
    client, elsewhere = _signed_in(maker), _sale()
    _send(client, other, elsewhere)

    told = _send(client, own, _undo(elsewhere))

    assert told == (200, ["done"])
    assert _standing() == 0


def test_a_pass_sends_nothing_to_another_day(phone, other):
    answer = phone.post(
        f"/stall/{other.pk}/acts/",
        json.dumps({"acts": [_sale()]}),
        content_type="application/json",
    )

    assert answer.status_code == 403
    assert not PhoneAct.objects.exists()


def test_a_pass_is_told_of_no_other_day(phone, own, other, at):
    later, _ = people.make_pass(day=other, name="phone", at=at)

    asked = [
        client.get("/stall/days.json").json()["days"] for client in (phone, _signed_in(later.user))
    ]

    assert [[day["id"] for day in told] for told in asked] == [[own.pk], []]
    assert phone.get(f"/stall/{other.pk}/till.json").status_code == 403


def test_a_pass_reads_receipts_of_its_own_day_only(phone, own, other, maker):
    _send(_signed_in(maker), own, _sale())
    _send(_signed_in(maker), other, _sale())
    here, there = Sale.objects.get(day=own), Sale.objects.get(day=other)

    assert phone.get(f"/receipts/{here.pk}/").status_code == 200
    assert phone.get(f"/receipts/{there.pk}/").status_code == 404


def test_a_pass_closes_its_day_by_no_parcel(phone, own):
    counts = [{"kind": kind, "key": str(uuid.uuid4())} for kind in ("close_day", "count", "order")]

    told = _send(phone, own, *counts)

    own.refresh_from_db()
    assert told == (200, ["kept"] * 3)
    assert own.state == "open"


@pytest.mark.parametrize("role", ["helper", "stall"])
def test_no_sheet_of_a_phone_names_costs_or_takings(role, phone, own):
    _send(phone, own, _sale())
    if role == "helper":
        phone = _signed_in(people.add_helper(name="mate", password="toe-and-heel-7"))

    told = phone.get(f"/stall/{own.pk}/till.json").json()

    assert set(told["takings"]) == {"purchases"}
    assert not [name for name in _names(told) if "cost" in name or "margin" in name]
    assert "float" not in set(_names(told))
    assert User.objects.filter(username=told["user"]).exists()


def _names(told):
    if isinstance(told, dict):
        for name, inner in told.items():
            yield name
            yield from _names(inner)
    elif isinstance(told, list):
        for inner in told:
            yield from _names(inner)
