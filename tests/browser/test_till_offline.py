"""The till with the network cut, in a real Chromium with a profile on disk.

That a sale is recorded exactly once, and that a start with no network is usable within a
second, are the project's own rules.
"""

import io
import re
from contextlib import redirect_stdout

import pytest
from django.core.management import call_command
from playwright.sync_api import expect

from sales.models import PhoneAct, Sale, SaleLine
from sales.services.purse import takings_of
from sales.views import shell
from tests.browser.phone import Phone, take_turns
from tests.factories.sales import open_stall

pytestmark = pytest.mark.django_db(transaction=True)

USABLE_MS = 1000
STRANGE_ACT = """async (day) => {
  const { keepAct, meta } = await import("/static/js/till/store.js");
  const body = { kind: "dance", key: crypto.randomUUID(), at: Date.now() };
  const act = { key: body.key, book: await meta("book"), day, at: body.at };
  await keepAct({ ...act, state: "waiting", words: "", body });
}"""


@pytest.fixture(autouse=True)
def _one_at_a_time(monkeypatch):
    take_turns(monkeypatch)


@pytest.fixture
def day(maker):
    return open_stall(maker, pairs=6)


@pytest.fixture
def phone(chromium, live_server, maker, tmp_path):
    phone = Phone(chromium, live_server.url, tmp_path / "phone", maker)
    yield phone
    phone.close()
    assert phone.troubles == []


def tap(phone, pay="cash"):
    phone.page.locator("#tiles .tile").first.click()
    phone.page.locator(f"#pay-acts button[value={pay}]").click()
    expect(phone.page.locator("#till")).to_have_attribute("data-lines", "none")


def state(phone):
    return expect(phone.page.locator("#state"))


def check_books():
    said = io.StringIO()
    with redirect_stdout(said):
        call_command("check_books")
    return said.getvalue()


def test_a_sale_with_no_signal_outlives_reload_and_kill_and_is_recorded_once(phone, day):
    phone.open(day)
    phone.keep_the_till()
    phone.cut_off()
    phone.kill()

    phone.open()
    expect(phone.page.locator("#day-name")).to_have_text(day.market.name)
    state(phone).to_have_text("No signal")
    tap(phone)
    state(phone).to_have_text("1 waiting · No signal")
    expect(phone.page.locator("#tiles .left")).to_have_text("5 left")

    phone.page.reload()
    phone.page.wait_for_selector("html[data-ready=yes]")
    assert phone.waiting() == 1
    phone.kill()
    phone.open()
    assert phone.waiting() == 1
    expect(phone.page.locator("#last-words")).to_contain_text("Sold 1 pair, $28.00 cash")
    assert not Sale.objects.exists()

    phone.cut_off(cut=False)
    state(phone).to_have_text("All sent")
    assert phone.waiting() == 0
    phone.page.reload()
    phone.page.wait_for_selector("html[data-ready=yes]")
    state(phone).to_have_text("All sent")
    assert Sale.objects.get().timed
    assert "clean" in check_books()


def test_a_cold_start_with_no_signal_is_usable_within_a_second(phone, day):
    phone.open(day)
    phone.keep_the_till()
    phone.cut_off()
    took = []
    for _ in range(3):
        phone.kill()
        phone.open()
        took.append(phone.page.evaluate("performance.getEntriesByName('till-ready')[0].startTime"))

    print(f"cold starts [ms]: {[round(ms) for ms in took]}")  # noqa: T201
    assert min(took) < USABLE_MS


def test_a_purchase_that_is_not_paid_yet_outlives_a_kill(phone, day):
    phone.open(day)
    phone.keep_the_till()
    phone.cut_off()
    phone.page.locator("#tiles .tile").first.click()
    phone.page.wait_for_timeout(300)
    phone.kill()

    phone.open()

    expect(phone.page.locator("#lines > li")).to_have_count(1)
    expect(phone.page.locator("#due")).to_have_text("$28.00")


def test_undo_works_with_no_signal_and_after_sending(phone, day):
    phone.open(day)
    phone.keep_the_till()
    tap(phone)
    state(phone).to_have_text("All sent")
    phone.cut_off()
    tap(phone, "card")
    phone.page.locator("#undo").click()
    expect(phone.page.locator("#last-words")).to_contain_text("cash")
    phone.page.locator("#undo").click()
    expect(phone.page.locator("#last")).to_be_hidden()
    expect(phone.page.locator("#tiles .left")).to_have_text("6 left")
    state(phone).to_have_text("3 waiting · No signal")

    phone.cut_off(cut=False)

    state(phone).to_have_text("All sent")
    assert takings_of(day).total == 0
    assert not SaleLine.objects.filter(holds=True).exists()


def test_a_new_version_of_the_till_loses_nothing(phone, day, monkeypatch):
    phone.open(day)
    phone.keep_the_till()
    before = phone.page.evaluate("document.body.dataset.version")
    phone.cut_off()
    tap(phone)
    phone.cut_off(cut=False)
    phone.meet(lambda route: route.abort())
    mark = shell._mark  # noqa: SLF001
    monkeypatch.setattr(shell, "_mark", lambda path: f"2{mark(path)}")
    phone.page.evaluate(
        """async () => {
          const worker = await navigator.serviceWorker.ready;
          const taken = new Promise((done) =>
            navigator.serviceWorker.addEventListener("controllerchange", done));
          await worker.update();
          await taken;
        }"""
    )
    phone.cut_off()
    phone.open()

    assert phone.page.evaluate("document.body.dataset.version") != before
    assert phone.waiting() == 1
    phone.context.unroute("**/acts/")
    phone.cut_off(cut=False)
    state(phone).to_have_text("All sent")
    assert Sale.objects.count() == 1


def test_a_sign_in_that_ended_keeps_the_acts_until_she_is_back(phone, day, maker):
    phone.open(day)
    phone.keep_the_till()
    session = phone.context.cookies()
    phone.context.clear_cookies()
    tap(phone)

    state(phone).to_have_text("1 waiting · Sign in to send")
    back_here = re.compile(f"/sign-in/.next=%2Fstall%2Ftill%2F%3Fday%3D{day.pk}$")
    expect(phone.page.locator("#sign-in-link")).to_have_attribute("href", back_here)
    assert not PhoneAct.objects.exists()

    phone.context.add_cookies(session)
    phone.page.reload()
    state(phone).to_have_text("All sent")
    assert Sale.objects.count() == 1


def test_an_act_the_book_cannot_read_holds_up_none_behind_it(phone, day):
    phone.open(day)
    phone.page.evaluate(STRANGE_ACT, day.pk)
    tap(phone)

    state(phone).to_have_text("All sent")
    assert Sale.objects.count() == 1
    assert "dance" in PhoneAct.objects.to_sort_out().get().body


def test_other_pages_of_the_stall_give_way_to_the_till_with_no_signal(phone, day):
    phone.open(day)
    phone.keep_the_till()
    phone.cut_off()

    phone.page.goto(f"/stall/{day.pk}/")

    phone.page.wait_for_selector("html[data-ready=yes]")
    expect(phone.page.locator("#day-name")).to_have_text(day.market.name)
