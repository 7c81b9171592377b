"""The pages of tags: what is missing, the print, and putting tagged pairs on the shelf."""

import io
import uuid

import pytest
from pypdf import PdfReader

from production.core.places import PairPlace
from production.models import Act, Pair, TagSheet, TagText, Yarn
from production.services.pairs import set_price
from socktrade import papers
from socktrade.models import Workshop
from tests.factories.tags import make_lot, somebody, waiting_pair

pytestmark = pytest.mark.django_db

PRINT = {"sheet": "letter", "start": 1, "shift_x": 0, "shift_y": 0, "stub": "on"}


def marks(page):
    return [tag.mark for tag in page.get("/tags/").context["tags"]]


def ask(page, *, address="/tags/print.pdf", **changes):
    return page.get(address, {**PRINT, "pair": marks(page), **changes})


def put_on(page, **changes):
    given = {**PRINT, "pair": marks(page), "key": uuid.uuid4(), **changes}
    return page.post("/tags/on/", given)


def read(answer):
    assert answer["Content-Type"] == "application/pdf"
    return [
        " ".join(sheet.extract_text().split())
        for sheet in PdfReader(io.BytesIO(answer.content)).pages
    ]


@pytest.fixture
def no_pdf(monkeypatch):
    monkeypatch.setattr("production.views.tags.pdf_ready", lambda: (False, "apt install it"))
    monkeypatch.setattr(papers, "pdf_ready", lambda: (False, "apt install it"))


def test_an_empty_page_says_what_to_do_first(page):
    assert "No pair waits for a tag" in page.get("/tags/").content.decode()


def test_the_page_lists_pairs_words_rules_and_whom_to_ask(page):
    waiting_pair()
    said = page.get("/tags/").content.decode()

    for phrase in ("P1001", "75% Wool", "Made in USA", "Not legal advice", "2015 annual edition",
                   "Federal Trade Commission", "sewn-in care label", "16 CFR 300"):  # fmt: skip
        assert phrase in said
    assert not any(word in said.casefold() for word in ("compliant", "is safe", "certified"))


def test_what_is_missing_links_to_its_cure(page):
    waiting_pair(price=None)
    said = page.get("/tags/").content.decode()

    assert "Harbour plain Women 8½ has no price." in said
    assert '<a href="/pairs/prices/">Set the price</a>' in said


def test_the_page_costs_the_same_for_more_pairs(page, django_assert_max_num_queries):
    waiting_pair()
    with django_assert_max_num_queries(19):
        page.get("/tags/")
    for group in ("men", "child", "baby", "women"):
        waiting_pair(group)
    with django_assert_max_num_queries(19):
        page.get("/tags/")


def test_chosen_tags_come_as_pdf(page):
    waiting_pair()
    waiting_pair("men")

    [sheet] = read(ask(page))
    assert "P1001" in sheet
    assert "P1002" in sheet
    [sheet] = read(ask(page, pair=marks(page)[:1]))
    assert "P1002" not in sheet


def test_outlines_come_without_any_tag(page):
    [sheet] = read(page.get("/tags/print.pdf", {**PRINT, "outlines": "only"}))

    assert sheet == "1 2 3 4 5 6 7 8"


@pytest.mark.parametrize(
    ("changes", "field", "message"),
    [
        ({"pair": []}, None, "Tick the pairs"),
        ({"pair": ["9999"]}, None, "Tick the pairs"),
        ({"pair": ["x", "", "1" * 40]}, None, "Tick the pairs"),
        ({"start": 9}, "start", "places 1 to 8"),
        ({"start": 0}, "start", "greater than or equal to 1"),
        ({"start": "two"}, "start", "whole number"),
        ({"shift_x": 1000}, "shift_x", "less than or equal to 100"),
        ({"sheet": "own-77"}, "sheet", "not one of the available choices"),
    ],
)
def test_bad_choices_are_said_at_their_field(page, changes, field, message):
    waiting_pair()
    answer = ask(page, **changes)

    assert answer.status_code == 422
    assert message in str(answer.context["form"].errors.get(field or "__all__"))


def test_words_that_do_not_fit_are_refused_by_pair_and_field(page):
    waiting_pair()
    TagSheet.objects.create(
        name="Tiny", page_width_mm=40, page_height_mm=24, columns=1, rows=1, margin_left_mm=0,
        margin_top_mm=0, label_width_mm=40, label_height_mm=24,
    )  # fmt: skip
    answer = ask(page, sheet=f"own-{TagSheet.objects.get().pk}")

    assert answer.status_code == 422
    [message] = answer.context["form"].errors["sheet"]
    assert message.startswith("P1001: ")
    assert "6 pt" in message


def test_tagged_pairs_go_to_the_shelf_with_their_words_kept(page):
    pair = waiting_pair()
    answer = put_on(page)

    assert answer.status_code == 302
    pair.refresh_from_db()
    assert (pair.place, pair.price_minor) == (PairPlace.SHELF, 2800)
    text = TagText.objects.get(pair=pair).text
    assert text["fibre"] == ["75% Wool", "25% Nylon"]
    assert text["address"] == "http://testserver/pairs/P1001/"
    assert "1 pair is tagged" in page.get("/tags/").content.decode()


def test_pressing_twice_is_one_act(page):
    waiting_pair()
    given = {"pair": marks(page), "key": uuid.uuid4()}
    put_on(page, **given)
    put_on(page, **given)

    assert Act.objects.filter(kind="tag").count() == 1


def test_a_gap_wants_a_reason_which_the_act_keeps(page):
    pair = waiting_pair(lot=make_lot(care=""))
    refused = put_on(page)

    assert refused.status_code == 422
    assert "P1001" in str(refused.context["form"].errors["reason"])
    assert Pair.objects.get().place == PairPlace.TO_TAG
    assert not TagText.objects.exists()

    assert put_on(page, reason="Care stands on the sewn-in label").status_code == 302
    assert Act.objects.get(kind="tag").note == "Care stands on the sewn-in label"
    pair.refresh_from_db()
    assert pair.place == PairPlace.SHELF


def test_without_a_price_no_pair_goes_to_the_shelf(page):
    waiting_pair(price=None)
    answer = put_on(page, reason="It is on the board")

    assert answer.status_code == 422
    assert "has no price yet" in answer.content.decode()
    assert Pair.objects.get().place == PairPlace.TO_TAG


def test_words_that_changed_since_the_page_was_opened_are_not_kept(page):
    pair = waiting_pair()
    seen = marks(page)
    set_price(pattern=pair.pattern, first_minor=3000, second_minor=1800, who=somebody())
    answer = put_on(page, pair=seen)

    assert answer.status_code == 422
    assert "changed since this page was opened" in answer.content.decode()
    assert not TagText.objects.exists()


def test_a_reprint_is_word_for_word_what_was_kept(page):
    pair = waiting_pair()
    [first] = read(ask(page))
    put_on(page)
    Yarn.objects.update(content={"cotton": 100}, care="Cotton", spun_in="abroad")
    Workshop.objects.update(label_rules="uk", identity="Another name", name="Another", country="")
    set_price(pattern=pair.pattern, first_minor=9900, second_minor=1800, who=somebody())

    [again] = read(page.get("/tags/reprint/P1001.pdf", PRINT))
    assert again == first
    assert page.get("/tags/reprint/P1001.pdf").status_code == 200


def test_a_reprint_without_the_library_is_a_page_with_its_own_places(page, no_pdf):
    waiting_pair()
    put_on(page)
    said = page.get("/tags/reprint/P1001.pdf").content.decode()

    assert "75% Wool" in said
    assert "css=1" in said
    css = page.get("/tags/reprint/P1001.pdf", {**PRINT, "css": 1})
    assert css["Content-Type"] == "text/css"


def test_a_tag_that_was_never_kept_is_not_reprinted(page):
    waiting_pair()

    assert page.get("/tags/reprint/P1001.pdf").status_code == 404
    assert page.get("/tags/reprint/P4.pdf").status_code == 404


def test_without_the_library_the_same_tags_come_as_a_page(page, no_pdf):
    waiting_pair()
    answer = ask(page)

    assert answer.status_code == 302
    said = page.get(answer["Location"]).content.decode()
    assert "75% Wool" in said
    assert "apt install it" in said
    assert "<style" not in said
    assert "style=" not in said
    css = page.get(answer["Location"].replace("/print/", "/print.css"))
    assert css["Content-Type"] == "text/css"
    assert "size:215.9mm 279.4mm" in css.content.decode()
    assert "apt install it" in page.get("/tags/").content.decode()


def test_a_measured_sheet_is_kept_and_offered(page):
    given = {
        "name": "Round corners", "page_width_mm": "8.5 in", "page_height_mm": "11 in",
        "columns": 3, "rows": 8, "margin_left_mm": "6 mm", "margin_top_mm": "12 mm",
        "label_width_mm": "64 mm", "label_height_mm": "30 mm", "gap_x_mm": "3 mm", "gap_y_mm": "0",
    }  # fmt: skip
    assert page.post("/tags/sheets/", given).status_code == 302

    sheet = TagSheet.objects.get()
    assert sheet.page_width_mm == pytest.approx(215.9)
    waiting_pair()
    assert (f"own-{sheet.pk}", "Round corners") in page.get("/tags/").context["form"].fields[
        "sheet"
    ].choices
    again = page.post("/tags/sheets/", given)
    assert "another name" in str(again.context["form"].errors["name"])


@pytest.mark.parametrize(
    ("changes", "field", "message"),
    [
        ({"columns": 4}, "columns", "3 columns would fit"),
        ({"rows": 9}, "rows", "8 rows would fit"),
        ({"label_width_mm": "wide"}, "label_width_mm", "not a length"),
        ({"label_height_mm": "0"}, "label_height_mm", "out of reach"),
        ({"columns": "x"}, "columns", "whole number"),
    ],
)
def test_a_sheet_that_cannot_be_is_said_at_its_field(page, changes, field, message):
    given = {
        "name": "A", "page_width_mm": "216 mm", "page_height_mm": "279 mm", "columns": 3,
        "rows": 8, "margin_left_mm": "6 mm", "margin_top_mm": "12 mm", "label_width_mm": "64 mm",
        "label_height_mm": "30 mm", "gap_x_mm": "3 mm", "gap_y_mm": "0",
    }  # fmt: skip
    answer = page.post("/tags/sheets/", {**given, **changes})

    assert answer.status_code == 422
    assert message in str(answer.context["form"].errors[field])
    assert not TagSheet.objects.exists()


def test_shelf_cards_show_each_size_with_its_price(page):
    waiting_pair()
    waiting_pair("men", price=(3200, 2000))

    [card] = read(page.get("/tags/shelf-cards.pdf"))
    for phrase in ("Harbour plain", "Women 8½ $28.00 $18.00", "Men 10 $32.00 $20.00"):
        assert phrase in card


def test_the_slip_of_a_string_carries_socks_and_row_card(page):
    waiting_pair()
    [slip] = read(page.get("/strings/1/slip.pdf"))

    for phrase in ("String 1", "1-01", "1-02", "64 needles", "Knit the foot: 57 rounds"):
        assert phrase in slip
    assert page.get("/strings/9/slip.pdf").status_code == 404


def test_papers_come_as_pages_without_the_library(page, no_pdf):
    waiting_pair()

    for address in ("/tags/shelf-cards.pdf", "/strings/1/slip.pdf"):
        said = page.get(address).content.decode()
        assert "Harbour plain" in said
        assert "apt install it" in said
