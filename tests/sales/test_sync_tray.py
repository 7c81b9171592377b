"""The tray: both stories and one tap that puts it right. Rules of the project's own design."""

import uuid

import pytest
from django.urls import reverse

from production.core.places import PairPlace
from production.models import Pair
from production.services import books as bench_books
from sales.errors import SalesError
from sales.models import Payment, PhoneAct, Sale, SortOut
from sales.services import books, sync, till, tray
from sales.services.purse import takings_of

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def clean_books():
    yield
    assert [*bench_books.disagreements(), *books.disagreements()] == []


@pytest.fixture
def twice(day, who):
    """A pair sold by two phones; the item is about the second."""
    pair = Pair.objects.in_stall_box().order_by("number").first()
    for price in (2800, 2500):
        line = till.Line(price_minor=price, pair=pair)
        till.sell(day=day, lines=[line], paid_by=Payment.CASH, who=who, despite_doubt=True)
    return SortOut.objects.get()


@pytest.fixture
def kept(day, who):
    acts = [{"kind": "dance <b>", "key": str(uuid.uuid4())}]
    sync.receive(sync.Parcel(acts=acts, day_id=day.pk, device="", by=who.by, at=who.at))
    return PhoneAct.objects.get()


def test_both_stories_stand_side_by_side(page, twice):
    said = page.get(reverse("sales:sort_list")).content.decode()

    assert "was sold again" in said
    assert "for $25.00" in said
    assert "The book has it sold" in said
    assert "$28.00" in said


def test_another_pair_of_the_kind_takes_the_place_and_undo_gives_it_back(day, twice, who):
    act = tray.cure(item=twice, name=tray.ANOTHER, who=who)

    twice.line.refresh_from_db()
    assert Pair.objects.filter(place=PairPlace.SOLD).count() == 2
    assert twice.line.pair
    till.undo_act(act_id=act.pk, who=who)
    assert Pair.objects.filter(place=PairPlace.SOLD).count() == 1
    assert SortOut.objects.filter(settled_by__isnull=True).exists()


def test_a_sale_cured_with_another_pair_is_undone_with_it(day, twice, who):
    tray.cure(item=twice, name=tray.ANOTHER, who=who)

    till.undo_act(act_id=twice.act_id, who=who)

    assert takings_of(day).total == 2800
    assert Pair.objects.filter(place=PairPlace.SOLD).count() == 1


def test_one_sale_entered_twice_is_taken_back(page, day, twice):
    page.post(reverse("sales:sort_cure", args=[twice.pk]), {"cure": "entered-twice"})

    assert takings_of(day).total == 2800
    assert Sale.objects.standing().count() == 1
    assert not SortOut.objects.filter(settled_by__isnull=True).exists()


def test_a_cure_settles_once_and_only_where_it_fits(page, twice, who):
    with pytest.raises(SalesError, match="does not fit"):
        tray.cure(item=twice, name="magic", who=who)
    tray.cure(item=twice, name=tray.STANDS, who=who)
    with pytest.raises(SalesError, match="settled already"):
        tray.cure(item=twice, name=tray.STANDS, who=who)

    answer = page.post(reverse("sales:sort_cure", args=[twice.pk]), {"cure": "stands"})
    assert answer.status_code == 422


def test_what_a_phone_sent_and_nobody_understood_is_shown_and_put_aside(page, kept):
    said = page.get(reverse("sales:sort_list")).content.decode()
    assert "dance &lt;b&gt;" in said
    address = reverse("sales:sort_kept", args=[kept.pk])

    again = page.post(address, {"again": "1"})
    assert again.status_code == 422
    assert "cannot read this act" in again.content.decode()
    assert page.post(address, {"note": ""}).status_code == 422
    assert page.post(address, {"note": "A child played with it."}).status_code == 302

    assert not PhoneAct.objects.to_sort_out().exists()


def test_what_was_settled_comes_twenty_at_a_time_also_where_one_act_settled_many(page, twice, who):
    for number in range(24):
        SortOut.objects.create(act=twice.act, kind=SortOut.Kind.BACK, story=f"story {number}")
    first, *others = SortOut.objects.order_by("pk")
    one = till.settle(item=first, who=who, note="one by one")
    SortOut.objects.filter(pk__in=[item.pk for item in others]).update(settled_by=one)

    newest = page.get(reverse("sales:sort_list"))
    older = page.get(reverse("sales:sort_list"), {"before": newest.context["older"]})

    shown = [item.pk for answer in (newest, older) for item in answer.context["settled"]]
    assert [len(answer.context["settled"]) for answer in (newest, older)] == [20, 5]
    assert shown == sorted((item.pk for item in (first, *others)), reverse=True)
    assert f"?before={newest.context['older']}" in newest.text
    assert older.context["older"] is None


@pytest.mark.parametrize("before", ["", "soon", "1", "1-", "-1-2", "9" * 30 + "-1", "1-2-3"])
def test_a_place_in_the_list_that_is_none_shows_the_newest(page, twice, who, before):
    till.settle(item=twice, who=who, note="both were sold")

    answer = page.get(reverse("sales:sort_list"), {"before": before})

    assert [item.pk for item in answer.context["settled"]] == [twice.pk]
