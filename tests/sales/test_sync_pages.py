"""The till's shell, its worker, its sheet and the door for acts."""

import json
import re
import uuid
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse

from production.models import Pair
from sales.models import MarketDay, PhoneAct, Sale
from sales.services.tillsheet import book_name
from tests.factories.shelf import pairs_on_shelf

pytestmark = pytest.mark.django_db


@pytest.fixture
def sheet(page, day):
    return page.get(reverse("sales:till_json", args=[day.pk])).json()


def post(client, day, said, **how):
    body = said if isinstance(said, bytes | str) else json.dumps(said)
    address = reverse("sales:till_acts", args=[day.pk])
    return client.post(address, body, content_type="application/json", **how)


def sale(pair):
    line = {"number": pair.label, "price_minor": 2800, "list_minor": 2800}
    return {"kind": "sale", "key": str(uuid.uuid4()), "paid_by": "cash", "lines": [line]}


def test_the_shell_holds_no_data_and_needs_no_sign_in(client, day):
    answer = client.get(reverse("sales:till_shell"))

    assert answer.status_code == 200
    said = answer.content.decode()
    assert "Test Bench" not in said
    assert "csrfmiddlewaretoken" not in said
    assert not answer.cookies


def test_the_shell_has_no_code_or_look_of_its_own_in_the_page(client):
    """The content security policy would refuse both."""
    said = client.get(reverse("sales:till_shell")).content.decode()

    assert not re.search(r"<script(?![^>]*\bsrc=)", said)
    assert "<style" not in said
    assert not re.search(r"\s(?:style|on\w+)=", said)


def test_the_worker_may_serve_the_stall_and_names_files_that_are_there(client, settings):
    answer = client.get("/stall/sw.js")

    assert answer.headers["Service-Worker-Allowed"] == "/stall/"
    assert answer.headers["Content-Type"].startswith("text/javascript")
    assert "no-store" in answer.headers["Cache-Control"]
    kept = json.loads(re.search(r"KEPT = (\[.*\]);", answer.content.decode()).group(1))
    assert {file["url"] for file in kept} >= {"/stall/till/", "/static/js/till/app.js"}
    assert all(file["revision"] for file in kept)


def test_every_module_that_the_till_loads_is_kept_on_the_phone(client):
    from django.contrib.staticfiles import finders

    kept = client.get("/stall/sw.js").content.decode()
    todo, seen = ["js/till/app.js"], set()
    while todo:
        path = todo.pop()
        if path in seen:
            continue
        seen.add(path)
        assert f'"/static/{path}"' in kept
        code = Path(finders.find(path)).read_text(encoding="utf-8")
        for found in re.findall(r'from "(\.[^"]+)"', code):
            parts = path.split("/")[:-1]
            for step in found.split("/"):
                parts = parts[:-1] if step == ".." else parts if step == "." else [*parts, step]
            todo.append("/".join(parts))
    assert "vendor/idb/idb.js" in seen


def test_the_manifest_starts_the_till_inside_its_scope(client, maker):
    answer = client.get(reverse("sales:till_manifest"))

    said = answer.json()
    assert answer.headers["Content-Type"].startswith("application/manifest+json")
    assert said["start_url"].startswith(said["scope"])
    assert {"192x192", "512x512"} <= {icon["sizes"] for icon in said["icons"]}
    assert any(icon.get("purpose") == "maskable" for icon in said["icons"])


def test_the_sheet_holds_what_the_stall_needs(sheet, day):
    [kind] = sheet["kinds"]
    assert (kind["left"], kind["list_minor"], kind["quality"]) == (3, 2800, "first")
    numbers = [str(pair.number) for pair in Pair.objects.in_stall_box().order_by("number")]
    assert sheet["pairs"] == dict.fromkeys(numbers, 0)
    assert sheet["currency"] == {"code": "USD", "digits": 2}
    assert (sheet["day"]["id"], sheet["book"]) == (day.pk, book_name())


def test_the_same_sheet_is_not_sent_twice(page, sheet, day):
    address = reverse("sales:till_json", args=[day.pk])

    assert page.get(address, {"have": sheet["revision"]}).json() == {
        "same": True,
        "revision": sheet["revision"],
    }
    post(page, day, {"acts": [sale(Pair.objects.in_stall_box().first())]})
    assert page.get(address, {"have": sheet["revision"]}).json()["kinds"][0]["left"] == 2


def test_the_sheet_takes_no_more_questions_for_more_pairs(
    page, sheet, day, maker, who, django_assert_max_num_queries
):
    from sales.services import days

    made = pairs_on_shelf(30, who)
    days.pack_pairs(day=day, pair_ids=[pair.pk for pair in made], who=who)

    with django_assert_max_num_queries(16):
        page.get(reverse("sales:till_json", args=[day.pk]))


@pytest.fixture
def who(maker, at):
    from production.services.acts import Who

    return Who(by=maker, at=at)


def test_a_day_that_is_not_open_has_no_sheet_and_says_so(page, day):
    MarketDay.objects.filter(pk=day.pk).update(state="planned")

    answer = page.get(reverse("sales:till_json", args=[day.pk]))

    assert answer.status_code == 409
    assert "Open the stall first" in answer.json()["error"]


def test_the_open_days_are_listed(page, day):
    assert page.get(reverse("sales:till_days")).json() == {
        "days": [{"id": day.pk, "name": str(day)}]
    }


def test_acts_are_answered_one_by_one(page, day):
    sold = sale(Pair.objects.in_stall_box().first())

    answer = post(page, day, {"acts": [sold, "garbage", sold], "book": book_name()})

    assert answer.status_code == 200
    states = [one["state"] for one in answer.json()["answers"]]
    assert states == ["done", "kept", "done"]
    assert answer.json()["answers"][0]["key"] == sold["key"]
    assert Sale.objects.count() == 1


@pytest.mark.parametrize(
    "body",
    [b"no json", b"\xff\xfe\x00", b'{"acts": 5}', b"[1, 2]", b'"text"', b"{" * 5000, b"[" * 90_000],
)
def test_a_parcel_that_is_none_is_kept_as_it_came(page, day, body):
    answer = post(page, day, body)

    assert answer.status_code == 400
    assert "kept" in answer.json()["error"]
    assert PhoneAct.objects.to_sort_out().count() == 1


@pytest.mark.parametrize("odd", ["\\ud800", "\\u0000", "a\\udfff\\u0000b"])
def test_halves_of_characters_and_nulls_hold_up_no_parcel(page, day, odd):
    ask = f'{{"kind": "ask", "key": "{uuid.uuid4()}", "words": "socks {odd}"}}'

    answer = post(page, day, f'{{"acts": ["{odd}", {ask}], "device": "{odd}"}}')

    assert [one["state"] for one in answer.json()["answers"]] == ["kept", "done"]


def test_an_empty_parcel_is_no_act(page, day):
    assert post(page, day, b"").status_code == 400
    assert not PhoneAct.objects.exists()


def test_a_parcel_too_large_is_refused_before_it_is_read(page, day):
    assert post(page, day, b"x" * 1_000_001).status_code == 413
    assert not PhoneAct.objects.exists()


def test_acts_of_another_book_stay_on_the_phone(page, day):
    sold = sale(Pair.objects.in_stall_box().first())

    answer = post(page, day, {"acts": [sold], "book": "demo 2020"})

    assert answer.status_code == 409
    assert not PhoneAct.objects.exists()


def test_without_a_sign_in_nothing_is_taken_and_the_phone_is_told(client, day):
    sold = sale(Pair.objects.in_stall_box().first())

    for answer in (
        post(client, day, {"acts": [sold]}),
        client.get(reverse("sales:till_json", args=[day.pk])),
        client.get(reverse("sales:till_days")),
    ):
        assert (answer.status_code, answer.json()["sign_in"]) == (401, reverse("sign_in"))
    assert not PhoneAct.objects.exists()


def test_acts_need_the_token_of_the_page(maker, day):
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(maker)
    sold = sale(Pair.objects.in_stall_box().first())
    assert post(strict, day, {"acts": [sold]}).status_code == 403

    strict.get(reverse("sales:till_json", args=[day.pk]))
    token = next(c.value for name, c in strict.cookies.items() if name.endswith("csrf"))

    answer = post(strict, day, {"acts": [sold]}, headers={"X-CSRFToken": token})
    assert answer.status_code == 200
