"""Differences of the count back, settled by acts; the papers of a day read back."""

import pytest
from django.core.management import call_command
from django.urls import reverse

from production.core.places import PairPlace
from production.models import Pair
from sales.errors import SalesError
from sales.models import CountCure, CountLine, Payment
from sales.services import cures, days, daysheet, purse, till
from sales.services.tiles import tiles_of
from tests.factories.sales import open_stall
from tests.sales.papers import pages_of, text_of

pytestmark = pytest.mark.django_db


def closed_short(who, *, pairs=4, counted=1):
    day = open_stall(who.by, pairs=pairs)
    kind = Pair.objects.in_stall_box().values_list("pattern_id", "quality").first()
    days.close_day(day=day, counted_minor=5000, requests_noted=True, left={kind: counted}, who=who)
    day.refresh_from_db()
    return day, CountLine.objects.get()


def test_missing_pairs_become_sales_and_losses_of_their_own(who):
    day, line = closed_short(who)

    sold = cures.cure_gap(
        day=day, line=line, how=CountCure.How.SOLD, pairs=2, paid_by=Payment.CARD, who=who
    )
    cures.cure_gap(day=day, line=line, how=CountCure.How.LOST, pairs=1, who=who)

    [gap] = daysheet.count_differences(day)
    assert gap.missing == 0
    assert purse.takings_of(day).card == 5600
    assert Pair.objects.filter(place=PairPlace.GONE).count() == 1
    call_command("check_books")
    till.undo_act(act_id=sold.pk, who=who)
    assert daysheet.count_differences(day)[0].missing == 2


@pytest.mark.parametrize("pairs", [0, 4])
def test_no_more_is_settled_than_is_missing(who, pairs):
    day, line = closed_short(who)

    with pytest.raises(SalesError, match=r"3 of .* are missing"):
        cures.cure_gap(day=day, line=line, how=CountCure.How.LOST, pairs=pairs, who=who)

    assert not CountCure.objects.exists()


def test_a_gap_is_settled_on_the_day_sheet(page, who):
    day, line = closed_short(who)
    address = reverse("sales:day_cure", args=[day.pk, line.pk])

    assert "▲ 3 missing" in page.get(day.get_absolute_url()).text
    page.post(address, {"how": "lost", "pairs": "3", "paid_by": "cash"})
    assert "✓ settled" in page.get(day.get_absolute_url()).text
    assert "0 of " in page.post(address, {"how": "sold", "pairs": "1"}, follow=True).text
    assert "Say how many" in page.post(address, {"how": "eaten", "pairs": "x"}, follow=True).text


def test_the_day_sheet_is_one_page(page, who):
    day, _ = closed_short(who)

    [sheet] = pages_of(page.get(reverse("sales:day_sheet", args=[day.pk])))

    for words in ("Cash counted", "$50.00", "book 4, counted 1", "Left after the fee"):
        assert words in sheet


def test_the_tally_sheet_names_each_kind_with_its_price(page, maker):
    day = open_stall(maker, pairs=3)

    sheet = text_of(page.get(reverse("sales:day_tally", args=[day.pk])))

    [tile] = tiles_of(day)
    for words in (tile.name, "$28.00", "Asked for", "Money in the tin at the start"):
        assert words in sheet
