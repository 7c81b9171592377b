"""How tags are printed: her words, the preview, long prints on their way, and other papers."""

import io
import uuid

import pytest
from pypdf import PdfReader

from production.models import LongPrint, LongPrintPart, TagHabits, TagSheet
from production.services import longprints, tags
from production.services.shelfpapers import price_board
from production.services.tags import with_tax
from socktrade.models import Workshop
from tests.factories.tags import make_lot, waiting_pair

pytestmark = pytest.mark.django_db

PRINT = {"sheet": "letter", "sides": "one", "start": 1, "shift_x": 0, "shift_y": 0, "stub": "on"}


def marks(page):
    return [tag.mark for tag in page.get("/tags/").context["tags"]]


def start(page, **changes):
    given = {**PRINT, "pair": marks(page), "key": uuid.uuid4(), **changes}
    return page.post("/tags/start/", given)


def pages_of(answer):
    assert answer["Content-Type"] == "application/pdf"
    return [" ".join(s.extract_text().split()) for s in PdfReader(io.BytesIO(answer.content)).pages]


@pytest.fixture
def many(monkeypatch):
    monkeypatch.setattr(tags, "AT_ONCE", 2)
    monkeypatch.setattr(longprints, "CHUNK", 8)


def test_a_few_tags_come_at_once_and_the_way_they_were_printed_is_remembered(page):
    waiting_pair()
    answer = start(page, sheet="a4", sides="two", stub="", shift_x=7, shift_y=-3)

    assert answer.status_code == 302
    assert len(pages_of(page.get(answer["Location"]))) == 2
    habits = TagHabits.objects.get()
    assert (habits.sheet, habits.sides, habits.stub) == ("a4", "two", False)
    assert habits.shifts == {"a4": [7, -3]}
    form = page.get("/tags/").context["form"]
    assert form["sheet"].value() == "a4"
    again = page.get("/tags/", {"sheet": "a4", "start": 1}).context["form"]
    assert again.is_valid()
    assert (again.cleaned_data["shift_x"], again.cleaned_data["shift_y"]) == (7, -3)


def test_many_tags_are_made_sheet_by_sheet_and_joined(page, many):
    for _ in range(11):
        waiting_pair()
    answer = start(page, start=7)
    assert answer.status_code == 302
    job = LongPrint.objects.get()
    assert answer["Location"] == f"/tags/prints/{job.pk}/"

    assert "<span data-made>0</span> of 11" in page.get(answer["Location"]).content.decode()
    steps = []
    for _ in range(job.chunks):
        said = page.post(f"/tags/prints/{job.pk}/go-on/", headers={"accept": "application/json"})
        steps.append(said.json())
    assert [step["made"] for step in steps] == [2, 10, 11]
    assert [step["finished"] for step in steps] == [False, False, True]

    printed = pages_of(page.get(f"/tags/prints/{job.pk}/tags.pdf"))
    numbers = [sorted({w for w in text.split() if w.startswith("P10")}) for text in printed]
    assert [len(found) for found in numbers] == [2, 8, 1]
    assert "See the PDF" in page.get(answer["Location"]).content.decode()


def test_a_long_print_goes_on_without_script(page, many):
    for _ in range(3):
        waiting_pair()
    start(page)
    job = LongPrint.objects.get()

    assert page.post(f"/tags/prints/{job.pk}/go-on/").status_code == 302
    assert "of 3 are made" in page.get(f"/tags/prints/{job.pk}/").content.decode()
    # Once it is finished another press changes nothing.
    assert page.post(f"/tags/prints/{job.pk}/go-on/").status_code == 302
    assert LongPrintPart.objects.count() == 1


def test_a_long_print_can_be_stopped_and_moves_no_pair(page, many):
    for _ in range(3):
        waiting_pair()
    start(page)
    job = LongPrint.objects.get()
    page.post(f"/tags/prints/{job.pk}/go-on/")

    assert page.post(f"/tags/prints/{job.pk}/stop/").status_code == 302
    assert not LongPrint.objects.exists()
    assert not LongPrintPart.objects.exists()
    assert page.post(f"/tags/prints/{job.pk}/go-on/").status_code == 404
    assert len(marks(page)) == 3


def test_pressing_twice_starts_one_print_and_old_ones_give_way(page, many):
    for _ in range(3):
        waiting_pair()
    key = uuid.uuid4()
    start(page, key=key)
    start(page, key=key)
    assert LongPrint.objects.count() == 1

    for _ in range(longprints.KEPT + 2):
        start(page)
    assert LongPrint.objects.count() == longprints.KEPT


def test_a_tag_that_does_not_fit_stops_a_long_print_with_its_reason(page, many):
    for _ in range(3):
        waiting_pair()
    tiny = TagSheet.objects.create(
        name="Tiny", page_width_mm=40, page_height_mm=24, columns=1, rows=1, margin_left_mm=0,
        margin_top_mm=0, label_width_mm=40, label_height_mm=24,
    )  # fmt: skip
    start(page, sheet=f"own-{tiny.pk}")
    answer = page.post(f"/tags/prints/{LongPrint.objects.get().pk}/go-on/")

    assert answer.status_code == 422
    assert "P1001: " in answer.content.decode()


def test_the_preview_is_the_first_sheet_of_the_real_paper(page):
    for _ in range(9):
        waiting_pair()
    said = page.get("/tags/")
    preview = said.context["preview"]

    assert "<iframe" in said.content.decode()
    [sheet] = pages_of(page.get(preview))
    assert "P1008" in sheet
    assert "P1009" not in sheet
    refused = page.get(preview.replace("start=1", "start=99"))
    assert refused.status_code == 422
    assert "places 1 to 8" in refused.content.decode()
    assert "<iframe" not in refused.content.decode()


@pytest.mark.parametrize(
    ("skip", "message"),
    [("x", "is no place"), ("9", "places 1 to 8"), ("1,2 3;4 5 6 7 8", "leaves no place")],
)
def test_spoiled_places_that_cannot_be_are_said_at_their_field(page, skip, message):
    waiting_pair()
    answer = start(page, skip=skip)

    assert answer.status_code == 422
    assert message in str(answer.context["form"].errors["skip"])
    assert not TagHabits.objects.exists()


HABITS = {
    "size_systems": ["eu", "us_women"], "price_says": "added", "tax_percent": "7.5",
    "maker_says": "number", "registered_number": "RN 00000", "second_language": "de",
    "second_text": "Größe für schmale Füße",
}  # fmt: skip


def test_tags_say_what_she_chose(page):
    waiting_pair()
    Workshop.objects.update(label_rules="eu", country="Ireland")
    assert page.post("/tags/words/", HABITS).status_code == 302

    [tag] = page.get("/tags/").context["tags"]
    assert [size["system"] for size in tag.text["sizes"]] == ["EU", "US women"]
    assert (tag.text["price"], tag.text["tax"]) == ("$30.10", "Tax included")
    assert tag.text["maker"] == "RN 00000"
    assert tag.text["made_how"] == ""
    assert tag.text["fibre"] == ["75% wool, 25% polyamide"]
    assert tag.text["fibre_again"] == ["75% Wolle, 25% Polyamid"]
    [sheet] = pages_of(page.get("/tags/print.pdf", {**PRINT, "pair": marks(page)}))
    for phrase in ("75% Wolle, 25% Polyamid", "$30.10", "Tax included", "RN 00000", "schmale Füße"):
        assert phrase in sheet


def test_childrens_tags_leave_out_systems_of_grown_ups(page):
    waiting_pair("child")
    page.post("/tags/words/", {**HABITS, "size_systems": ["us_women", "eu"]})

    [tag] = page.get("/tags/").context["tags"]
    assert [size["system"] for size in tag.text["sizes"]] == ["Child EU"]


def test_us_lines_stay_english_and_say_why(page):
    waiting_pair()
    page.post("/tags/words/", HABITS)
    answer = page.get("/tags/")

    assert answer.context["tags"][0].text["fibre_again"] == []
    assert "English only" in answer.content.decode()


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"registered_number": " "}, "registered_number"),
        ({"tax_percent": "0"}, "tax_percent"),
        ({"tax_percent": "99"}, "tax_percent"),
        ({"size_systems": ["shoe"]}, "size_systems"),
        ({"second_text": "x" * 301}, "second_text"),
    ],
)
def test_choices_that_cannot_be_are_said_at_their_field(page, changes, field):
    answer = page.post("/tags/words/", {**HABITS, **changes})

    assert answer.status_code == 422
    assert answer.context["form"].errors[field]
    assert not TagHabits.objects.exists()


@pytest.mark.parametrize(
    ("minor", "percent", "with_it"), [(2800, "7.5", 3010), (1990, "8.875", 2167), (50, "1", 51)]
)
def test_tax_is_added_half_up(minor, percent, with_it):
    # 19.90 x 1.08875 = 21.666...; 0.50 x 1.01 = 0.505, worked by hand.
    assert with_tax(minor, percent) == with_it


def test_a_holed_and_folded_sheet_is_kept(page):
    given = {
        "name": "Holed", "page_width_mm": "210 mm", "page_height_mm": "297 mm", "columns": 2,
        "rows": 2, "margin_left_mm": "10 mm", "margin_top_mm": "10 mm", "label_width_mm": "90 mm",
        "label_height_mm": "120 mm", "gap_x_mm": "0", "gap_y_mm": "0", "corner_mm": "3 mm",
        "hole_mm": "5 mm", "hole_x_mm": "45 mm", "hole_y_mm": "66 mm", "fold": "tent",
    }  # fmt: skip
    off = page.post("/tags/sheets/", {**given, "hole_x_mm": "89 mm"})
    assert "lies on the label from 2.5 to 87.5" in str(off.context["form"].errors["hole_x_mm"])

    assert page.post("/tags/sheets/", given).status_code == 302
    sheet = TagSheet.objects.get()
    assert (sheet.corner_mm, sheet.hole_mm, sheet.fold) == (3, 5, "tent")
    waiting_pair()
    [printed] = pages_of(start_and_see(page, sheet=f"own-{sheet.pk}"))
    assert "75% Wool" in printed


def start_and_see(page, **changes):
    return page.get(start(page, **changes)["Location"])


def test_the_board_says_neighbouring_sizes_of_one_price_together(page):
    waiting_pair()
    waiting_pair("men", price=(2800, 1800))
    waiting_pair("child", price=(1600, 900))

    [(design, lines)] = price_board()
    assert design == "Harbour plain"
    assert [line.sizes for line in lines] == ["Child 10", "Women 8½ to Men 10"]
    [board] = pages_of(page.get("/tags/price-board.pdf"))
    for phrase in ("Child 10", "$16.00", "second $9.00", "Women 8½ to Men 10"):
        assert phrase in board


def test_the_count_sheet_names_kinds_and_no_number(page):
    waiting_pair()
    waiting_pair("men", price=(3200, 2000))
    page.post("/tags/on/", {**PRINT, "pair": marks(page), "key": uuid.uuid4()})

    [sheet] = pages_of(page.get("/tags/count-sheet.pdf"))
    assert "Harbour plain Women 8½ first" in sheet
    assert "Harbour plain Men 10 first" in sheet


def test_care_cards_give_the_mildest_care_of_the_yarns(page):
    waiting_pair()
    waiting_pair("men", lot=make_lot(care=""))

    [cards] = pages_of(page.get("/tags/care-cards.pdf"))
    assert cards.count("Looking after your socks") == 10
    assert "Machine wash cold, gentle cycle." in cards
    assert "Sock yarn 2" not in cards


@pytest.mark.parametrize("paper", ["price-board", "count-sheet", "care-cards", "shelf-cards"])
def test_papers_of_an_empty_book_say_so(page, paper):
    assert len(pages_of(page.get(f"/tags/{paper}.pdf"))) == 1


def test_a_tag_that_is_on_can_be_printed_again_from_its_pair(page):
    waiting_pair()
    assert "/tags/reprint/" not in page.get("/pairs/P1001/").content.decode()
    page.post("/tags/on/", {**PRINT, "pair": marks(page), "key": uuid.uuid4()})

    assert "/tags/reprint/P1001.pdf" in page.get("/pairs/P1001/").content.decode()
