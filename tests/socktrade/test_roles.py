"""Every address by every role and by nobody. A view without a role fails here."""

import datetime as dt

import pytest
from django.contrib.auth.models import User
from django.test import Client

from production.models import Act, ActKind
from sales.models import DayAct, MarketDay
from socktrade.access import people
from socktrade.access.table import (
    ANSWER_STRANGERS,
    DOORS,
    EVERYBODY,
    HELPER,
    OWNER,
    STALL,
    may_open,
    named,
)
from socktrade.demo import ensure_demo
from socktrade.roles import Role, role_of
from tests.browser.addresses import addresses, samples
from tests.socktrade.names import known_url_names

pytestmark = pytest.mark.django_db


def test_the_table_names_every_page_once():
    parts = (DOORS, EVERYBODY, STALL, HELPER, OWNER)

    assert named() == known_url_names()
    assert sum(len(part) for part in parts) == len(named())


@pytest.mark.parametrize("role", Role)
@pytest.mark.parametrize("page", ["", "sales:none", "workshop/"])
def test_a_page_outside_the_table_is_open_to_nobody(role, page):
    assert not may_open(role, page)


def test_a_stranger_and_an_ended_helper_have_no_role(at):
    helper = people.add_helper(name="mate", password="toe-and-heel-7")

    assert role_of(helper) == Role.HELPER
    assert role_of(User.objects.create_user("stranger")) is None
    people.end_access(user=helper)
    assert role_of(User.objects.get(username="mate")) is None


def test_every_address_asks_for_its_role(client):
    now = dt.datetime.now(tz=dt.UTC)
    ensure_demo(now=now)
    day = MarketDay.objects.upcoming().first()
    stall, _ = people.make_pass(day=day, name="phone", at=now)
    clients = {
        Role.OWNER: _signed_in(User.objects.get(is_superuser=True)),
        Role.HELPER: _signed_in(people.add_helper(name="mate", password="toe-and-heel-7")),
        Role.STALL: _signed_in(stall.user),
    }
    wrong = []
    for name, address in addresses(samples()):
        if name not in DOORS:
            wrong += _strangers(client, name, address)
            for role, visitor in clients.items():
                refused = visitor.get(address).status_code == 403
                if refused == may_open(role, name):
                    wrong.append(f"{name} as {role}: {'refused' if refused else 'let in'}")

    assert not wrong, "\n".join(wrong)


def test_a_pass_opens_one_day_and_ends_at_once(at):
    ensure_demo(now=dt.datetime.now(tz=dt.UTC))
    first, other = MarketDay.objects.upcoming()[:2]
    made, secret = people.make_pass(day=first, name="phone", at=at)
    phone = Client()

    entered = phone.get(f"/stall/in/{secret}/")
    elsewhere = phone.get(f"/stall/{other.pk}/")
    people.end_pass(stall_pass=made, at=at)
    ended = phone.get(f"/stall/{first.pk}/")

    assert entered.url == f"/stall/{first.pk}/"
    assert elsewhere.status_code == 403
    assert ended.status_code in (302, 403)
    assert people.pass_of(secret) is None


def test_a_pass_takes_back_nothing_outside_its_day(at):
    ensure_demo(now=dt.datetime.now(tz=dt.UTC))
    day = MarketDay.objects.upcoming().first()
    made, _ = people.make_pass(day=day, name="phone", at=at)
    packed = DayAct.objects.filter(day=day).latest("pk").act
    tagged = Act.objects.standing().filter(kind=ActKind.TAG).latest("pk")
    phone = _signed_in(made.user)

    for act in (packed, tagged):
        phone.post("/acts/undo/", {"act": act.pk})

    assert Act.objects.filter(undoes=packed).exists()
    assert not Act.objects.filter(undoes=tagged).exists()


def _signed_in(user):
    visitor = Client()
    visitor.force_login(user)
    return visitor


def _strangers(client, name, address):
    """Nobody gets in, neither to look nor to act."""
    for answer in (client.get(address), client.post(address, {})):
        if name in ANSWER_STRANGERS and answer.status_code == 401:
            continue
        if answer.status_code not in (302, 405) or (
            answer.status_code == 302 and "/sign-in/" not in answer.url
        ):
            yield f"{name} as nobody: {answer.status_code}"


def test_whoever_tries_passwords_is_told_to_wait(client):
    people.add_helper(name="mate", password="toe-and-heel-7")
    wrong = {"username": "mate", "password": "guess"}

    answers = [client.post("/sign-in/", wrong).status_code for _ in range(8)]
    right = client.post("/sign-in/", {"username": "mate", "password": "toe-and-heel-7"})

    assert answers[0] == 200
    assert right.status_code == 429
    assert b"Too many tries" in right.content
