"""Random acts of two phones in a shuffled order against a plain sum of the money."""

import random
import uuid
from collections import Counter

import pytest

from production.models import Pair
from production.services import books as bench_books
from sales.models import PhoneAct
from sales.services import books, sync
from sales.services.purse import back_by_payment, sold_by_payment
from tests.factories.sales import open_stall

pytestmark = pytest.mark.django_db

RATE_E5 = 8875  # 8.875 %, tax on top
PAYMENTS = ("cash", "card")


def random_purchase(dice, pairs):
    back = []
    lines = []
    if dice.random() < 0.35:
        back = [{"number": dice.choice(pairs).label, "refund_minor": dice.randrange(3500)}]
    for _ in range(0 if back and dice.random() < 0.6 else dice.randint(1, 3)):
        pair = dice.choice(pairs)
        kind = {"pattern": pair.pattern_id, "yarn": pair.lot.yarn_id, "quality": pair.quality}
        said = {"number": pair.label} if dice.random() < 0.5 else kind
        lines.append({**said, "price_minor": dice.randrange(3500), "list_minor": 2800})
    total = sum(line["price_minor"] for line in lines)
    tax = (total * RATE_E5 + 50_000) // 100_000
    return {
        "kind": "sale" if lines else "return",
        "paid_by": dice.choice(PAYMENTS),
        "lines": lines,
        "back": back,
        "tax_minor": tax,
        "tax_included": False,
        "due_minor": total + tax - sum(pair["refund_minor"] for pair in back),
    }


def random_acts(dice, pairs, count):
    """Return acts of two phones and the money of those that stand in the end."""
    acts, standing = [], ([], [])
    for _ in range(count):
        mine = dice.choice(standing)
        key = str(uuid.UUID(int=dice.getrandbits(128), version=4))
        if mine and dice.random() < 0.25:
            acts.append({"kind": "undo", "key": key, "undoes": mine.pop()["key"]})
        else:
            mine.append({**random_purchase(dice, pairs), "key": key})
            acts.append(mine[-1])
    want = Counter()
    for act in (*standing[0], *standing[1]):
        want[act["paid_by"]] += act["due_minor"]
    return acts, want


@pytest.mark.parametrize("seed", range(10))
def test_any_order_of_arrival_comes_to_the_same_money(maker, at, seed):
    dice = random.Random(seed)
    day = open_stall(maker, pairs=6, tax_percent="8.875", tax_included=False)
    acts, want = random_acts(dice, list(Pair.objects.select_related("lot")), 30)
    arrived = sorted(range(len(acts)), key=lambda place: place + dice.uniform(0, 6))

    for place in arrived:
        twice = [acts[place]] * dice.randint(1, 2)
        sync.receive(sync.Parcel(acts=twice, day_id=day.pk, device="", by=maker, at=at))

    assert set(PhoneAct.objects.values_list("state", flat=True)) == {"done"}
    assert PhoneAct.objects.count() == len(acts)
    sold, back = sold_by_payment(day), back_by_payment(day)
    assert {pay: sold[pay] - back[pay] for pay in PAYMENTS} == {pay: want[pay] for pay in PAYMENTS}
    assert [*bench_books.disagreements(), *books.disagreements()] == []
