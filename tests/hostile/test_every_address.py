"""Random and hostile input to every address: no failure, and a refusal leaves nothing behind.

One test, for the demo book takes longer to make than each sweep over it.
"""

import datetime as dt
import json
import os
from http import HTTPStatus
from http.cookies import SimpleCookie

import pytest
from django.contrib.auth.models import User
from django.contrib.messages import constants, get_messages
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection, transaction
from django.test import Client
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from production.models import Pair
from production.services import books as bench_books
from sales.models import MarketDay
from sales.services import books as stall_books
from socktrade.demo import ensure_demo
from tests.browser.addresses import addresses, samples
from tests.hostile.asking import Ask, learn
from tests.hostile.values import BROKEN_JSON, hostile, parcels
from tests.hostile.watch import states, watching

pytestmark = pytest.mark.django_db

TRIES = int(os.environ.get("SOCKTRADE_TRIES", "3"))
KEPT_TRIES = 2
MOST_LINES = 30
FORM = "application/x-www-form-urlencoded"
RAW = b"\xff\xfe=\xed\xa0\x80&key=%00&&=&number=%ED%A0%80&a[]=1&" + b"b=1&" * 50
ODD_PARTS = (0, 10**18, 10**30, "%00%ED%A0%80%0d%0aA:b", "..%2f" + "a" * 3000)
LEAVE_THE_BOOK = {"sign_out", "data_import", "helper_end", "session_end"}
KEEPS = {"sales:till_acts"}  # what it cannot read it keeps whole, and says so


class Sweep:
    """Sends what was learned, and keeps what went wrong."""

    def __init__(self, client):
        self.client, self.cookies = client, SimpleCookie(client.cookies.output(header=""))
        self.before, self.wrong, self.sent, self.done = states(), [], 0, 0

    def takes(self, ask):
        """Say whether an address answers this method at all."""
        return self.send(ask, {}) != HTTPStatus.METHOD_NOT_ALLOWED

    def send(self, ask, values, *, keep=False):
        """Send one request and take back what it did, unless it is to stay."""
        said = f"{ask.method} {ask.address} {values!r:.600}"
        self.client.cookies = SimpleCookie(self.cookies.output(header=""))
        self.sent += 1
        status = None
        with transaction.atomic():
            try:
                with transaction.atomic(), watching() as written:
                    answer = self._answer(ask, values)
                    connection.check_constraints()
            except Exception as trouble:  # each is a finding
                self.wrong.append(f"{said}\n    {type(trouble).__name__}: {trouble!s:.300}")
                written.tables.clear()
            else:
                status = answer.status_code
                self._judge(said, ask, answer, written.tables)
            transaction.set_rollback(not keep)
        if keep:
            self.before |= states(written.tables)
        return status

    def _answer(self, ask, values):
        if isinstance(values, str):
            answer = self.client.post(ask.address, values, content_type="application/json")
        elif isinstance(values, bytes):
            answer = self.client.post(ask.address, values, content_type=FORM)
        elif ask.method == "GET":
            answer = self.client.get(ask.address, values)
        else:
            sent = {
                name: SimpleUploadedFile("book.csv", value[0].encode("utf-8", "replace"))
                if name in ask.files
                else value
                for name, value in values.items()
            }
            answer = self.client.post(ask.address, sent)
        if answer.streaming:
            b"".join(answer.streaming_content)
        return answer

    def _judge(self, said, ask, answer, tables):
        if answer.status_code >= 500:
            self.wrong.append(f"{said}\n    answered {answer.status_code}")
        elif ask.name not in KEEPS and tables and (ask.method == "GET" or _refused(answer)):
            after = states(tables)
            if changed := {table for table in tables if after[table] != self.before[table]}:
                self.wrong.append(f"{said}\n    {answer.status_code}, yet wrote {changed}")
        self.done += bool(tables)


def _refused(answer):
    if answer.status_code >= 400:
        return True
    told = {message.level for message in get_messages(answer.wsgi_request)}
    return constants.ERROR in told and constants.SUCCESS not in told


def _values(draw, ask):
    """Return values for the fields: as the form would like them, with a few that it would not."""
    wild = draw(st.sampled_from((0, 0, 0, 1, 1, 1, 2, 3, 99)))
    names = sorted(ask.fields)
    bad = set(draw(st.permutations(names))[:wild]) if names else set()
    values = {}
    for name in names:
        known = ask.fields[name]
        one = hostile() if name in bad or not known else st.sampled_from(known)
        count = draw(st.sampled_from((1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 0, 2, 3)))
        if count:
            values[name] = [draw(one) for _ in range(count)]
    if draw(st.booleans()) and wild == 99:
        values[draw(hostile())] = [draw(hostile())]
    return values


def _ask_it(sweep, ask, tries, *, keep=False):
    @settings(max_examples=tries, suppress_health_check=list(HealthCheck))
    @given(st.data())
    def ask_it(data):
        sweep.send(ask, _values(data.draw, ask), keep=keep)

    ask_it()


def _report(run, sweep):
    seen, lines = set(), []
    for line in sweep.wrong:
        kind = (line.split("?")[0].split(" ")[1], line.rsplit("\n", 1)[-1][:60])
        if kind not in seen:
            seen.add(kind)
            lines.append(line)
    return f"{run.__name__}: {len(sweep.wrong)} wrong of {sweep.sent}\n" + "\n".join(
        lines[:MOST_LINES]
    )


def ask_every_form_and_question(sweep, asks):
    for ask in asks.values():
        if sweep.takes(ask):
            _ask_it(sweep, ask, TRIES)


def keep_what_got_through_at_an_open_stall(sweep, asks):
    day = MarketDay.objects.upcoming().first()
    sweep.client.post(f"/markets/days/{day.pk}/open/", {"float": "50"})
    box = Pair.objects.in_stall_box().order_by("number")
    for pair in box[:3]:
        sweep.client.post(f"/stall/{day.pk}/number/", {"number": pair.label})
    sweep.before = states()
    stall = [
        one for one in addresses({**samples(), "place": 1}) if one[0].startswith("sales:stall")
    ]
    for ask in learn(sweep.client, stall).values():
        if sweep.takes(ask):
            _ask_it(sweep, ask, TRIES)
            _ask_it(sweep, ask, KEPT_TRIES, keep=True)


def keep_what_got_through(sweep, asks):
    for (name, method), ask in asks.items():
        if method == "POST" and name not in LEAVE_THE_BOOK and sweep.takes(ask):
            _ask_it(sweep, ask, KEPT_TRIES, keep=True)


def send_parcels_of_a_phone(sweep, asks):
    day = MarketDay.objects.upcoming().first()
    ask = Ask("sales:till_acts", f"/stall/{day.pk}/acts/", "POST")

    @settings(max_examples=TRIES * 15, suppress_health_check=list(HealthCheck))
    @given(parcels())
    def send(parcel):
        sweep.send(ask, json.dumps(parcel), keep=True)

    for body in BROKEN_JSON:
        sweep.send(ask, body, keep=True)
    send()


def put_odd_things_into_addresses(sweep, asks):
    for odd in ODD_PARTS:
        for name, address in addresses(dict.fromkeys(samples(), odd) | {"pair_number": odd}):
            if str(odd) in address:
                for method in ("GET", "POST"):
                    sweep.send(Ask(name, address, method), {})


def send_raw_bytes(sweep, asks):
    for name, address in addresses(samples()):
        sweep.send(Ask(name, f"{address}?%ED%A0%80=%FF&q=%00%ED%A0%80&&=", "GET"), {})
        sweep.send(Ask(name, address, "POST"), RAW)


SWEEPS = (
    ask_every_form_and_question,
    put_odd_things_into_addresses,
    send_raw_bytes,
    send_parcels_of_a_phone,
    keep_what_got_through,
    keep_what_got_through_at_an_open_stall,
)


def test_no_hostile_input_breaks_the_book_or_is_half_saved():
    ensure_demo(now=dt.datetime.now(tz=dt.UTC))
    connection.check_constraints()  # what is put off to the end would be asked with each request
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")  # nobody else does while one transaction holds it all
    client = Client()
    client.force_login(User.objects.get(is_superuser=True))
    asks = learn(client, list(addresses(samples())))
    sweeps = {}

    for run in SWEEPS:
        with transaction.atomic():
            sweeps[run] = sweep = Sweep(client)
            run(sweep, asks)
            sweep.wrong += [*bench_books.disagreements(), *stall_books.disagreements()]
            transaction.set_rollback(True)

    wrong = [_report(run, sweep) for run, sweep in sweeps.items() if sweep.wrong]
    assert wrong == [], "\n\n".join(wrong)
    every = sweeps[ask_every_form_and_question]
    assert every.done > every.sent / 30, "Hardly anything got through: the rest was not reached."
