"""What happens to a page, or a process, that something came in between."""

import uuid

import pytest
from django.contrib.sessions.middleware import SessionMiddleware
from django.urls import reverse

from production.core.places import PairPlace
from production.errors import MoveNotAllowedError
from production.models import Act
from production.services.books import disagreements
from sales.models import Payment, Sale
from sales.services import days, till
from sales.services.books import disagreements as sold_otherwise
from sales.services.tiles import tiles_of
from tests.factories.shelf import pairs_on_shelf, sell_pair

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("act", [days.pack_pairs, days.unpack_pairs])
def test_a_pair_sold_since_the_page_was_read_stays_sold(act, day, box, who):
    sell_pair(day, box[0], who)

    with pytest.raises(MoveNotAllowedError, match=f"{box[0].label} is sold"):
        act(day=day, pair_ids=[pair.pk for pair in box[:2]], who=who)

    box[0].refresh_from_db()
    assert box[0].place == PairPlace.SOLD
    assert not [*disagreements(), *sold_otherwise()]


def test_a_pair_that_waits_for_its_tag_is_not_taken_out_of_the_box(day, who):
    [pair] = pairs_on_shelf(1, who, price_minor=None)

    with pytest.raises(MoveNotAllowedError, match=pair.label):
        days.unpack_pairs(day=day, pair_ids=[pair.pk], who=who)


def test_a_return_still_brings_a_sold_pair_back(day, box, who):
    sale = sell_pair(day, box[0], who)

    till.take_back(line=sale.lines.get(), refund_minor=2800, paid_by=Payment.CASH, day=day, who=who)

    box[0].refresh_from_db()
    assert box[0].place == PairPlace.STALL


def test_a_process_that_ends_after_a_sale_leaves_no_sold_purchase_in_the_till(
    page, day, monkeypatch
):
    """The next purchase would be under the key of the first, and so sell nothing."""

    def tap():
        page.post(reverse("sales:stall_add", args=[day.pk]), {"tile": tiles_of(day)[0].key})
        return page.get(reverse("sales:stall", args=[day.pk])).context["cart"]

    def pay(cart):
        sell = reverse("sales:stall_sell", args=[day.pk])
        return page.post(sell, {"paid_by": "cash", "key": cart.key})

    def killed(*_request):
        raise SystemExit

    first = tap()
    with monkeypatch.context() as patched:
        patched.setattr(SessionMiddleware, "process_response", killed)
        with pytest.raises(SystemExit):
            pay(first)
    second = tap()
    pay(second)

    assert len(second.lines) == 1
    assert second.key != first.key
    assert Sale.objects.count() == 2


def test_the_same_tags_sent_twice_are_put_on_once(page, who):
    pairs_on_shelf(1, who)
    made = pairs_on_shelf(2, who, price_minor=None)
    said = {"sheet": "letter", "start": 1, "reason": "as agreed", "key": uuid.uuid4()}
    said["pair"] = [pair.number for pair in made]

    answers = [page.post(reverse("production:tag_on"), said).status_code for _ in range(2)]

    assert answers == [302, 302]
    assert Act.objects.filter(key=said["key"]).count() == 1


def test_tags_are_not_put_on_a_part_of_what_was_ticked(page, who):
    pairs_on_shelf(1, who)
    one, other = pairs_on_shelf(2, who, price_minor=None)
    said = {"sheet": "letter", "start": 1, "reason": "as agreed"}
    page.post(reverse("production:tag_on"), {**said, "pair": [one.number], "key": uuid.uuid4()})

    both = {**said, "pair": [one.number, other.number], "key": uuid.uuid4()}
    refused = page.post(reverse("production:tag_on"), both)

    assert refused.status_code == 422
    assert f"No longer waiting for a tag: {one.label}." in refused.content.decode()
    other.refresh_from_db()
    assert other.place == PairPlace.TO_TAG
