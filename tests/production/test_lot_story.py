"""From a lot to every sock, pair and sale of it, and back."""

import pytest
from django.urls import reverse

from production.models import Act, ActKind, PairMove
from production.services import lot_story
from production.services.acts import undo_act
from tests.factories.production import logged_string, stocked_lot
from tests.factories.tags import AT, make_lot, somebody, waiting_pair

pytestmark = pytest.mark.django_db


def sell(pair):
    """A sale as the till writes it: an act, and the pair's move to the buyer."""
    who = somebody()
    act = Act.objects.create(kind=ActKind.SALE, at=AT, by=who.by)
    PairMove.objects.create(act=act, pair=pair, start=pair.place, end="sold")
    return act


def test_a_lot_leads_to_its_socks_pairs_and_sales(page):
    lot = make_lot()
    pair = waiting_pair(lot=lot)
    sell(pair)

    text = page.get(reverse("production:lot_story", args=[lot.pk])).text

    for sock in pair.socks.all():
        assert sock.get_absolute_url() in text
        assert f">{sock.number}<" in text
    assert pair.get_absolute_url() in text
    assert "sold 4 Jun 2026" in text
    assert lot.get_absolute_url() in page.get(pair.get_absolute_url()).text  # and back


def test_a_lot_in_heel_and_toe_or_as_a_strand_counts_too():
    base, turn, strand = make_lot(), make_lot(), make_lot()
    waiting_pair(lot=base, turn_lot=turn, strand_lot=strand, strand_g=1.0)

    roles = [lot_story.story_of_lot(lot).strings[0].socks[0].roles for lot in (base, turn, strand)]

    assert roles == [("leg and foot",), ("heel and toe",), ("toe and heel",)]


def test_a_sale_that_was_undone_is_not_told():
    lot = make_lot()
    pair = waiting_pair(lot=lot)
    act = sell(pair)
    type(pair).objects.filter(pk=pair.pk).update(place="sold")
    undo_act(act_id=act.pk, by=somebody().by, at=AT)

    [string] = lot_story.story_of_lot(lot).strings

    assert [one.sales for one in string.socks] == [(), ()]


def test_a_long_story_goes_page_by_page(page, maker, monkeypatch):
    monkeypatch.setattr(lot_story, "STRINGS_SHOWN", 2)
    lot = stocked_lot(by=maker)
    for _ in range(3):
        logged_string(lot=lot, by=maker)

    first = lot_story.story_of_lot(lot)
    second = lot_story.story_of_lot(lot, before=first.older)

    assert [row.string.number for row in first.strings] == [3, 2]
    assert [row.string.number for row in second.strings] == [1]
    assert second.older is None
    assert first.socks == second.socks
    assert [count for _, count in first.socks] == [6]


def test_an_empty_story_says_what_to_do_first(page):
    text = page.get(reverse("production:lot_story", args=[make_lot().pk])).text

    assert "No string was knit of it yet" in text


def test_the_story_costs_the_same_with_more_strings(page, maker, django_assert_max_num_queries):
    lot = stocked_lot(by=maker)
    for _ in range(6):
        logged_string(lot=lot, by=maker, count=4)

    with django_assert_max_num_queries(12):
        page.get(reverse("production:lot_story", args=[lot.pk]))
