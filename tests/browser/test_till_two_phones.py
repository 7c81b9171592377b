"""Two phones at one stall and a network at its worst, against a plain sum on paper.

Requests are dropped before and after they arrive, sent twice, turned round and sent again
much later; pages are reloaded and a browser is killed. What a phone showed is the truth: the
book must come to the same money to the cent, with every act in it once.
"""

import contextlib
import io
import json
import random
from collections import Counter
from contextlib import redirect_stdout
from dataclasses import dataclass, field

import pytest
from django.core.management import call_command
from playwright.sync_api import Error

from production.core.places import PairPlace
from production.models import Pair
from production.services.acts import Who
from sales.core.money import taxed
from sales.models import Ask, MarketDay, Payment, PhoneAct, SaleLine
from sales.services import days
from sales.services.purse import back_by_payment, sold_by_payment
from tests.browser.phone import Phone, take_turns
from tests.factories.sales import AT, MarketDayFactory, MarketFactory
from tests.factories.shelf import pairs_on_shelf, pattern_of

pytestmark = pytest.mark.django_db(transaction=True)

ACTS = 200
PAIRS = 40  # fewer than are sold, so that tiles run out and numbers are sold twice
RATE = "0.08875"
PAYMENTS = ("cash", "card", "other")

# One act through the till's own buttons, without waiting for a frame between taps.
DO = """async ([what]) => {
  const at = (id) => document.getElementById(id);
  const tap = (selector) => document.querySelector(selector).click();
  const put = (id, text) => { at(id).value = text; at(id).dispatchEvent(new Event("input")); };
  const submit = (form, value) => at(form).requestSubmit(
    value ? at(form).querySelector(`button[value="${value}"]`) : undefined);
  const before = await count();
  const tiles = document.querySelectorAll("#tiles .tile, #off-tiles .tile");
  for (const tile of what.tiles ?? []) tiles[tile % tiles.length].click();
  for (const number of what.numbers ?? []) {
    put("number", number);
    submit("number-form");
    if (at("price-dialog").open) { put("price", what.price); submit("price-form", "keep"); }
  }
  if (what.exchange) {
    tap("#back-open"); put("back-number", what.exchange); put("refund", what.refund);
    submit("back-form", "exchange");
  }
  if (what.reprice) {
    tap("#lines .price"); put("price", what.reprice); put("reason", "bargain");
    submit("price-form", "keep");
  }
  if (what.off) { tap("#discount-open"); put("off", what.off); submit("discount-form", "keep"); }
  const shown = [...document.querySelectorAll("#lines .price")].map((one) => one.textContent);
  const due = at("due").textContent;
  if (what.pay) tap(`#pay-acts button[value=${what.pay}]`);
  if (what.ask) { tap("#asked-open"); put("words", what.ask); submit("asked-form", "keep"); }
  if (what.back) {
    tap("#back-open"); put("back-number", what.back); put("refund", what.refund);
    submit("back-form", what.how);
  }
  if (what.undo) tap("#undo");
  while ((await count()) === before) await new Promise((done) => setTimeout(done, 2));
  return { shown, due };

  async function count() {
    const { open } = await import("/static/js/till/store.js");
    return (await open()).count("acts");
  }
}"""


@dataclass
class Paper:
    """What a person with a pencil would write down beside one phone."""

    rows: list[dict] = field(default_factory=list)
    asks: int = 0

    def undo(self):
        last = self.rows.pop()
        if "ask" in last:
            self.asks -= 1

    def taken(self):
        sums = Counter(dict.fromkeys(PAYMENTS, 0))
        for row in self.rows:
            if "ask" not in row:
                sums[row["pay"]] += row["due"]
        return sums

    def pairs_out(self):
        return sum(row["pairs"] for row in self.rows if "ask" not in row)


class BadNetwork:
    """Between a phone and the book, with dice."""

    def __init__(self, dice, site):
        self.dice, self.site, self.calm, self.held = dice, site, False, []

    def __call__(self, route):
        with contextlib.suppress(Error):  # the phone was killed while it waited
            self.carry(route)

    def carry(self, route):
        luck = 1.0 if self.calm else self.dice.random()
        if luck < 0.2:
            route.abort()
        elif luck < 0.4:
            route.fetch()  # it arrived, but the answer never comes back
            route.abort()
        elif luck < 0.55:
            route.fetch()
            route.fulfill(response=route.fetch())
        elif luck < 0.75:
            said = json.loads(route.request.post_data)
            said["acts"].reverse()
            route.continue_(post_data=json.dumps(said))
        elif luck < 0.85:
            request = route.request
            self.held.append((request.url, request.post_data, request.all_headers()))
            route.abort()
        else:
            route.continue_()

    def let_go(self, phone):
        """What was held up on the way arrives now, long after it was sent again."""
        while self.held:
            url, body, headers = self.held.pop()
            kept = {name: headers[name] for name in ("x-csrftoken", "content-type", "referer")}
            phone.context.request.post(url, data=body, headers=kept)


@pytest.fixture(autouse=True)
def _one_at_a_time(monkeypatch):
    take_turns(monkeypatch)


@pytest.fixture
def day(maker):
    who = Who(by=maker, at=AT)
    market = MarketFactory(tax_percent="8.875", tax_included=False)
    day = MarketDayFactory(market=market, tax_percent="8.875", tax_included=False)
    for size, price in (("Women 8½", 2800), ("Men 10", 3150), ("Child 13", 1995)):
        pattern = pattern_of(size_name=size)
        made = pairs_on_shelf(PAIRS // 4, who, pattern=pattern, price_minor=price)
        days.pack_pairs(day=day, pair_ids=[pair.pk for pair in made], who=who)
    pairs_on_shelf(PAIRS // 4, who)  # at home, not packed
    days.open_day(day=day, float_minor=5000, who=who)
    return MarketDay.objects.get(pk=day.pk)


def plan(dice, numbers, paper):
    """Return the next act and nothing about how it will go."""
    number = f"P{dice.choice(numbers)}"
    roll = dice.random()
    if roll < 0.12 and paper.rows:
        return {"undo": True}
    if roll < 0.22:
        return {"ask": f"wish {dice.randrange(1000)}"}
    if roll < 0.32:
        cents = dice.randrange(0, 4000)
        how = dice.choice(("cash", "card"))
        return {"back": number, "refund": f"{cents / 100:.2f}", "how": how, "cents": cents}
    act = {"pay": dice.choice(PAYMENTS), "price": "21.37"}
    if dice.random() < 0.6:
        act["tiles"] = [dice.randrange(3) for _ in range(dice.randint(1, 3))]
    else:
        act["numbers"] = [f"P{n}" for n in dice.sample([*numbers, 99_999], dice.randint(1, 2))]
    if dice.random() < 0.2:
        act |= {"exchange": number, "refund": "19.95", "cents": 1995}
    if dice.random() < 0.2:
        act["reprice"] = f"{dice.randrange(1, 4000) / 100:.2f}"
    if dice.random() < 0.2:
        act["off"] = dice.choice(("10 %", "7.5%", "0.01"))
    return act


def cents(text):
    return round(float(text.replace("$", "").replace(",", "")) * 100)


def write_down(paper, act, shown):
    """Work out the money of an act by the book's own arithmetic, from the prices taken."""
    if act.get("undo"):
        paper.undo()
    elif "ask" in act:
        paper.asks += 1
        paper.rows.append(act)
    elif "back" in act:
        paper.rows.append({"pay": act["how"], "due": -act["cents"], "pairs": -1})
    else:
        prices = [cents(price) for price in shown["shown"]]
        money = taxed(sum(prices), RATE, inclusive=False)
        credit = act["cents"] if "exchange" in act else 0
        due = money.gross_minor - credit
        assert cents(shown["due"]) == abs(due)
        pairs = len(prices) - ("exchange" in act)
        paper.rows.append({"pay": act["pay"], "due": due, "pairs": pairs})


def test_two_hundred_random_acts_of_two_phones_come_out_to_the_cent(
    chromium, live_server, maker, day, tmp_path
):
    dice = random.Random(20260604)
    numbers = list(Pair.objects.order_by("number").values_list("number", flat=True))
    phones = [Phone(chromium, live_server.url, tmp_path / name, maker) for name in "ab"]
    papers, networks = [Paper(), Paper()], []
    for phone in phones:
        phone.open(day)
        phone.keep_the_till()
        networks.append(BadNetwork(dice, live_server.url))
        phone.meet(networks[-1])

    for turn in range(ACTS):
        place = dice.randrange(2)
        phone, paper = phones[place], papers[place]
        act = plan(dice, numbers, paper)
        write_down(paper, act, phone.run(DO, act))
        disturb(dice, turn, phones, networks, place)

    for phone, network in zip(phones, networks, strict=True):
        network.calm = True
        phone.cut_off(cut=False)
        network.let_go(phone)
        phone.send_all()
        network.let_go(phone)

    keys = [key for phone in phones for key in phone.act_keys()]
    troubles = [trouble for phone in phones for trouble in phone.troubles]
    for phone in phones:
        phone.close()
    assert troubles == []
    agree(day, papers, keys)


def disturb(dice, turn, phones, networks, place):
    phone = phones[place]
    if turn in (70, 140):
        phones[0].kill()
        phones[0].open()
    elif dice.random() < 0.04:
        phone.page.reload()
        phone.page.wait_for_selector("html[data-ready=yes]")
    elif dice.random() < 0.1:
        phone.cut_off(cut=not phone.offline)
    elif dice.random() < 0.05:
        networks[place].let_go(phone)


def agree(day, papers, keys):
    """The book and the two papers come to the same."""
    assert len(keys) == len(set(keys)) == ACTS
    sent = list(PhoneAct.objects.values_list("key", "state"))
    assert sorted(str(key) for key, _ in sent) == sorted(keys)
    assert {state for _, state in sent} == {"done"}

    sold, back = sold_by_payment(day), back_by_payment(day)
    book = {choice: sold[choice] - back[choice] for choice in Payment.values}
    assert book == {pay: sum(paper.taken()[pay] for paper in papers) for pay in PAYMENTS}
    assert Ask.objects.filter(act__undone_by__isnull=True).count() == sum(p.asks for p in papers)

    standing = SaleLine.objects.filter(sale__act__undone_by__isnull=True).count()
    came = day.taken_back.filter(act__undone_by__isnull=True).count()
    assert standing - came == sum(paper.pairs_out() for paper in papers)
    held = SaleLine.objects.filter(holds=True, pair__isnull=False).count()
    assert Pair.objects.filter(place=PairPlace.SOLD).count() == held
    assert "clean" in _checked()


def _checked():
    said = io.StringIO()
    with redirect_stdout(said):
        call_command("check_books")
    return said.getvalue()
