import pytest

from production.core.places import PairPlace
from production.models import ActKind, Pair
from sales.errors import SalesError
from sales.models import CountLine
from sales.services import days, orders, shelf
from tests.factories.shelf import lot_of, pairs_on_shelf, pattern_of, planned_day

COUNT = "/shelf/count/"


@pytest.fixture
def stock(who):
    return pairs_on_shelf(3, who)


def kind_key(pair):
    return f"{pair.pattern_id}-{pair.quality}"


def write_count(page, pair, figure):
    answer = page.post(COUNT, {kind_key(pair): figure})
    assert answer.status_code == 302
    return answer.url


def test_an_empty_shelf_says_what_to_do_first(page):
    answer = page.get("/shelf/")

    assert "Nothing is on the shelf yet" in answer.text
    assert "Tag pairs" in answer.text


def test_the_shelf_values_pairs_at_their_tags_and_their_yarn(page, stock, who, at):
    day = planned_day(at.date())
    days.pack_pairs(day=day, pair_ids=[stock[0].pk], who=who)

    [row] = shelf.stock_rows()
    text = page.get("/shelf/").text

    # By hand: 3 pairs at 28.00; 6 socks of 30 g at 9.00 for 100 g.
    assert (row.on_shelf, row.in_box, row.worth_minor, row.yarn_minor) == (2, 1, 8400, 1620)
    assert "$84.00" in text
    assert "$16.20" in text


def test_a_kind_of_yarn_without_a_price_is_left_out_of_the_sum_and_said(page, stock, who):
    gift = lot_of(who, price_minor=0, code="gift")
    pairs_on_shelf(2, who, lot=gift)

    [row] = shelf.stock_rows()

    assert (row.pairs, row.yarn_minor, row.uncosted) == (5, 1620, 2)
    assert "2 pairs of yarn without a price are left out" in page.get("/shelf/").text


def test_pairs_set_aside_for_orders_are_told(page, stock, who, at):
    wish = orders.Wish(customer="Wren", wish="8½", promised_on=at.date(), price_minor=3000)
    orders.reserve_pair(order=orders.take_order(wish=wish, today=at.date(), who=who), pair=stock[0])

    assert "1 of them is set aside for orders" in page.get("/shelf/").text


def test_seconds_are_a_kind_of_their_own(page, stock, who):
    pairs_on_shelf(1, who, second=True)

    rows = {row.quality: row for row in shelf.stock_rows()}

    assert rows["first"].worth_minor == 8400
    assert rows["second"].worth_minor == 1400


def test_the_count_does_not_tell_what_is_expected(page, stock):
    text = page.get(COUNT).text

    assert "Harbour plain" in text
    assert f'name="{kind_key(stock[0])}"' in text
    form = text[text.index("count-list") : text.index("</ol>")]
    assert "value=" not in form
    assert ">3<" not in form


def test_a_count_that_agrees_says_so(page, stock):
    text = page.get(write_count(page, stock[0], "3")).text

    assert "The shelf and the book agree" in text
    assert CountLine.objects.get().counted == 3


@pytest.mark.parametrize("figure", ["three", "-1", "1000000000", "2.5"])
def test_a_bad_figure_is_refused_at_its_field_and_the_others_are_kept(page, stock, who, figure):
    other = pairs_on_shelf(1, who, pattern=pattern_of("Men 10", group="men", foot_length_mm=270))

    answer = page.post(COUNT, {kind_key(stock[0]): figure, kind_key(other[0]): "417"})

    assert answer.status_code == 422
    assert answer.text.count("Give a whole number from 0 to 5000") == 1
    assert 'value="417"' in answer.text
    assert not CountLine.objects.exists()


def test_an_empty_count_is_refused(page, stock):
    answer = page.post(COUNT, {kind_key(stock[0]): ""})

    assert answer.status_code == 422
    assert "Give at least one figure" in answer.text


def test_a_kind_that_sold_out_while_it_was_counted_still_counts(page, stock, who):
    shelf.write_off(pair_ids=[pair.pk for pair in stock], reason="moths", who=who)

    page.post(COUNT, {kind_key(stock[0]): "2"})

    line = CountLine.objects.get()
    assert (line.expected, line.counted) == (0, 2)


@pytest.mark.parametrize("name", ["9999-first", "x-first", "1-gold", "²-first"])
def test_a_made_up_kind_is_not_counted(page, stock, name):
    answer = page.post(COUNT, {name: "2"})

    assert answer.status_code == 422
    assert not CountLine.objects.exists()


def test_missing_pairs_are_ticked_written_off_and_can_come_back_by_undo(page, stock):
    url = write_count(page, stock[0], "2")
    assert "1 missing of 3" in page.get(url).text

    answer = page.post(f"{url}missing/", {"pairs": [stock[1].pk], "reason": "moths"}, follow=True)

    assert f"Written off: {stock[1]}." in answer.text
    assert 'name="act"' in answer.text
    gone = Pair.objects.get(pk=stock[1].pk)
    assert gone.place == PairPlace.GONE
    assert gone.moves.latest("pk").act.note == "moths"
    assert "missing of" not in answer.text


def test_nothing_is_written_off_without_ticks_or_reason(page, stock):
    url = write_count(page, stock[0], "2")

    answer = page.post(f"{url}missing/", {"pairs": [stock[0].pk], "reason": " "})
    nothing = page.post(f"{url}missing/", {"reason": "moths"})

    assert answer.status_code == nothing.status_code == 422
    assert "Say in a few words what you think" in answer.text
    assert f'value="{stock[0].pk}" data-group="missing" checked' in answer.text
    assert "Tick the pairs that are missing" in nothing.text
    assert Pair.objects.on_shelf().count() == 3


def test_a_pair_already_gone_is_not_written_off_twice(page, stock, who):
    url = write_count(page, stock[0], "1")
    shelf.write_off(pair_ids=[stock[0].pk], reason="moths", who=who)

    answer = page.post(f"{url}missing/", {"pairs": [stock[0].pk], "reason": "moths"})

    assert "not on the shelf any more" in answer.text


def test_a_pair_found_again_goes_back_on_the_shelf(page, stock, who):
    shelf.write_off(pair_ids=[stock[0].pk], reason="moths", who=who)
    url = write_count(page, stock[1], "3")
    assert "1 over" in page.get(url).text

    answer = page.post(f"{url}found/", {"number": f" p{stock[0].number} "}, follow=True)

    assert f"{stock[0]} is on the shelf again." in answer.text
    assert Pair.objects.get(pk=stock[0].pk).place == PairPlace.SHELF


def test_a_pair_the_book_has_elsewhere_is_named_with_its_place(page, stock, who):
    [waiting] = pairs_on_shelf(1, who, price_minor=None)
    url = write_count(page, stock[0], "4")

    answer = page.post(f"{url}found/", {"number": waiting.label})

    assert answer.status_code == 422
    assert f"{waiting} is to tag in the book" in answer.text
    assert "/tags/" in answer.text
    assert Pair.objects.get(pk=waiting.pk).place == PairPlace.TO_TAG


@pytest.mark.parametrize("number", ["", "P99999", "sock", "9" * 150])
def test_a_number_that_is_no_pair_is_refused_at_its_field(page, stock, number):
    url = write_count(page, stock[0], "4")

    answer = page.post(f"{url}found/", {"number": number})

    assert answer.status_code == 422
    assert "has-error" in answer.text


def test_pressing_twice_writes_one_count_and_one_loss(page, stock):
    sent = {kind_key(stock[0]): "2", "key": "0b9f7a0e-8a53-4c0b-9c52-2f8a5e0f1a11"}
    lost = {
        "pairs": [stock[0].pk],
        "reason": "moths",
        "key": "0b9f7a0e-8a53-4c0b-9c52-2f8a5e0f1a12",
    }

    first, second = page.post(COUNT, sent), page.post(COUNT, sent)
    for _ in range(2):
        page.post(f"{first.url}missing/", lost)

    assert first.url == second.url
    assert CountLine.objects.count() == 1
    assert stock[0].moves.filter(end=PairPlace.GONE).count() == 1


def test_a_loss_needs_pairs_and_a_reason_and_a_count_a_sane_figure(stock, who):
    with pytest.raises(SalesError, match="Choose the pairs"):
        shelf.write_off(pair_ids=[], reason="moths", who=who)
    with pytest.raises(SalesError, match="Say in a few words"):
        shelf.write_off(pair_ids=[stock[0].pk], reason=" ", who=who)
    with pytest.raises(SalesError, match="5001 is no count"):
        shelf.count_shelf(counted={(stock[0].pattern_id, "first"): 5001}, who=who)

    assert not CountLine.objects.exists()
    assert Pair.objects.on_shelf().count() == 3


def test_only_a_count_has_a_result_page(page, stock):
    other = stock[0].moves.latest("pk").act
    assert other.kind == ActKind.TAG

    assert page.get(f"{COUNT}{other.pk}/").status_code == 404


def test_the_pages_ask_no_more_for_more_kinds(page, stock, who, django_assert_num_queries):
    url = write_count(page, stock[0], "1")
    page.get(url)
    with django_assert_num_queries(15):
        page.get("/shelf/")
        page.get(url)
    for size in range(4):
        name = f"Men {size + 7}"
        pairs_on_shelf(2, who, pattern=pattern_of(name, group="men", foot_length_mm=250 + size))
    url = page.post(COUNT, {kind.key: "1" for kind in shelf.shelf_kinds()}).url

    with django_assert_num_queries(15):
        page.get("/shelf/")
        page.get(url)
