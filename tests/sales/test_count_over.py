"""Pairs counted too many at the count back, settled by acts."""

import uuid

import pytest
from django.core.management import call_command
from django.urls import reverse

from production.core.places import PairPlace
from production.models import Act, Pair
from production.services.acts import Who
from sales.errors import SalesError
from sales.models import CountCure, CountLine, Sale
from sales.services import days, daysheet, overcounts, purse, report, shelf, till
from tests.factories.sales import open_stall
from tests.factories.shelf import pairs_on_shelf

pytestmark = pytest.mark.django_db


def closed_over(who, *, sold=1, over=1):
    """Close a day of four pairs, some of them sold by the book, with some counted too many."""
    day = open_stall(who.by, pairs=4)
    pairs = list(Pair.objects.in_stall_box().order_by("number"))
    kind = (pairs[0].pattern_id, pairs[0].quality)
    lines = [till.Line(2800, pair=pair) for pair in pairs[:sold]]
    if lines:
        till.sell(day=day, lines=lines, paid_by="cash", who=who)
    counted = {kind: 4 - sold + over}
    days.close_day(day=day, counted_minor=5000, requests_noted=True, left=counted, who=who)
    day.refresh_from_db()
    return day, CountLine.objects.get()


def unpacked_pair(line, who):
    """Return a pair of the counted kind that lay on the shelf all day in the book."""
    [pair] = pairs_on_shelf(1, who)
    Pair.objects.filter(pk=pair.pk).update(pattern=line.pattern, quality=line.quality)
    pair.refresh_from_db()
    return pair


def record_of(day, line):
    """Return what the report reads of a counted kind on its day."""
    kinds = report.what_sells([day], ask_share=0.5).kinds
    [history] = [kind for kind in kinds if kind.pattern.pk == line.pattern_id]
    [record] = history.days
    return record


def test_a_pair_that_was_never_packed_settles_the_count_and_was_brought(page, who):
    day, line = closed_over(who)
    pair = unpacked_pair(line, who)
    before = record_of(day, line).brought
    assert "▲ 1 too many" in page.get(day.get_absolute_url()).text

    page.post(reverse("sales:day_found", args=[day.pk, line.pk]), {"pair": pair.label})

    assert daysheet.count_differences(day)[0].missing == 0
    assert "✓ settled" in page.get(day.get_absolute_url()).text
    assert record_of(day, line).brought == before + 1
    pair.refresh_from_db()
    assert pair.place == PairPlace.SHELF
    till.undo_act(act_id=CountCure.objects.get().act_id, who=who)
    assert daysheet.count_differences(day)[0].too_many == 1
    assert record_of(day, line).brought == before


def test_a_pair_written_off_and_counted_is_on_the_shelf_again(who):
    day, line = closed_over(who)
    pair = unpacked_pair(line, who)
    shelf.write_off(pair_ids=[pair.pk], reason="not found", who=who)

    overcounts.found_unpacked(day=day, line=line, pair=pair, who=who)

    pair.refresh_from_db()
    assert pair.place == PairPlace.SHELF


def test_a_purchase_that_was_a_slip_is_undone_and_its_pair_goes_home(page, who):
    day, line = closed_over(who)
    sale = Sale.objects.get()
    assert f"purchase {sale.pk}" in page.get(day.get_absolute_url()).text

    page.post(reverse("sales:day_slip", args=[day.pk, line.pk]), {"sale": sale.pk})

    assert daysheet.count_differences(day)[0].missing == 0
    assert purse.takings_of(day).total == 0
    assert set(Pair.objects.values_list("place", flat=True)) == {PairPlace.SHELF}
    assert record_of(day, line).sold == 0
    call_command("check_books")


def test_a_slip_pressed_twice_under_one_key_is_one_act(who, maker, at):
    day, line = closed_over(who)
    keyed = Who(by=maker, at=at, key=uuid.UUID(int=8))

    acts = [
        overcounts.undo_slip(day=day, line=line, sale=Sale.objects.get(), who=keyed)
        for _ in range(2)
    ]

    assert acts[0] == acts[1]
    assert CountCure.objects.get().how == CountCure.How.SLIP


@pytest.mark.parametrize(
    ("which", "told"),
    [("sold", "take that back instead"), ("home", "counted already"), ("other", "is no ")],
)
def test_a_pair_that_cannot_be_the_one_is_refused_and_nothing_recorded(page, who, which, told):
    day, line = closed_over(who)
    pair = {
        "sold": lambda: Pair.objects.get(place=PairPlace.SOLD),
        "home": lambda: Pair.objects.filter(place=PairPlace.SHELF).first(),
        "other": lambda: pairs_on_shelf(1, who)[0],
    }[which]()
    if which == "other":
        Pair.objects.filter(pk=pair.pk).update(quality="second")
    acts = Act.objects.count()

    answer = page.post(
        reverse("sales:day_found", args=[day.pk, line.pk]), {"pair": pair.label}, follow=True
    )

    assert told in answer.text
    assert Act.objects.count() == acts


def test_one_pair_settles_one_of_two(who):
    day, line = closed_over(who, over=2)
    pair = unpacked_pair(line, who)
    overcounts.found_unpacked(day=day, line=line, pair=pair, who=who)

    with pytest.raises(SalesError, match="named already"):
        overcounts.found_unpacked(day=day, line=line, pair=pair, who=who)

    assert daysheet.count_differences(day)[0].too_many == 1


def test_nothing_is_settled_where_the_count_agrees(page, who):
    day, line = closed_over(who, over=0)
    address = reverse("sales:day_slip", args=[day.pk, line.pk])

    told = page.post(address, {"sale": Sale.objects.get().pk}, follow=True).text

    assert "nothing to settle" in told
    assert "Choose the purchase" in page.post(address, {}, follow=True).text
    assert purse.takings_of(day).total == 2800
