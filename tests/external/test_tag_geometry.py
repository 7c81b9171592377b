"""Where tags stand on paper, read back with pypdf; what their codes say, with zxing-cpp.

Sheets: letter (ANSI/ASME Y14.1) and A4 (ISO 216); a label of a roll is a page of its own.
"""

import pytest
import zxingcpp

from production.core.labelgrid import Grid
from production.core.taglayout import TagDoesNotFitError
from production.core.tagpanels import Layout, panels, room
from production.documents.tags import lay_out_tags
from production.services.tagsheets import grid_of
from tests.external.tag_reading import (
    BABY,
    POINT_MM,
    codes,
    pdf_of,
    read,
    rectangles,
    said,
    spots,
    words,
)

GEOMETRIES = {
    "letter": (grid_of("letter"), Layout(stub=False, outline=True)),
    "a4": (grid_of("a4"), Layout(stub=False, outline=True)),
    "roll": (grid_of("roll"), Layout(stub=False, outline=True)),
    "folded": (grid_of("a4-tent"), Layout(stub=False, outline=True)),
    "with stub": (grid_of("letter", shift_x_tenths=7), Layout(stub=True, outline=True)),
}
HOLED = {
    "corner_mm": 4, "hole_mm": 5, "hole_x_mm": 47.5, "hole_y_mm": 6,
}  # fmt: skip
BOOK = Grid(210, 297, 1, 3, 15, 15, 180, 80, 0, 5, fold="book")
WORDS = ("number", "brand", "design", "origin", "price", "made_how", "maker")


@pytest.mark.parametrize("name", GEOMETRIES)
def test_every_label_stands_where_it_was_measured(name):
    grid, layout = GEOMETRIES[name]
    texts = [words(1001 + n) for n in range(grid.per_page + 1)]
    pages = read(pdf_of(lay_out_tags(texts, grid, layout))).pages

    assert len(pages) == 2
    for page in pages:
        assert float(page.mediabox.width) * POINT_MM == pytest.approx(grid.page_width_mm, abs=0.01)
        assert float(page.mediabox.height) * POINT_MM == pytest.approx(
            grid.page_height_mm, abs=0.01
        )
    size = (grid.label_width_mm, grid.label_height_mm)
    found = sorted(
        {
            (round(top, 1), round(left, 1))
            for left, top, width, height in rectangles(pages[0])
            if (width, height) == pytest.approx(size, abs=0.05)
        }
    )
    wanted = sorted((at.y_mm, at.x_mm) for at in grid.positions(grid.per_page))
    assert len(found) == len(wanted)
    for (top, left), (y, x) in zip(found, wanted, strict=True):
        assert top == pytest.approx(y, abs=0.2)
        assert left == pytest.approx(x, abs=0.2)


@pytest.mark.parametrize("name", GEOMETRIES)
@pytest.mark.parametrize("changes", [{}, BABY], ids=["women", "baby"])
def test_every_word_lies_on_its_own_label_and_none_is_lost(name, changes):
    grid, layout = GEOMETRIES[name]
    text = words(1001, **changes)
    [page] = read(pdf_of(lay_out_tags([text], grid, layout))).pages
    [at] = grid.positions(1)

    printed = said(page)
    wanted = [text[key] for key in WORDS]
    wanted += [*text["fibre"], *text["care"], *text["cautions"]]
    wanted += [text[key] for key in ("fault", "tracking") if text[key]]
    for phrase in wanted:
        assert all(word in printed for word in phrase.split())
    for _, x, y in spots(page):
        assert at.x_mm <= x <= at.x_mm + grid.label_width_mm
        assert at.y_mm <= y <= at.y_mm + grid.label_height_mm


@pytest.mark.parametrize("name", GEOMETRIES)
def test_every_code_leads_to_its_pair(name):
    grid, layout = GEOMETRIES[name]
    texts = [words(1042 + n) for n in range(3)]
    pages = read(pdf_of(lay_out_tags(texts, grid, layout))).pages
    found = [code for page in pages for code in codes(page)]

    assert {code.text for code in found} == {text["address"] for text in texts}
    assert {code.ec_level for code in found} == {"Q"}  # a quarter may be lost in a crease


@pytest.mark.parametrize("middle", [0.4, 0.5, 0.6])
def test_a_code_is_read_across_a_crease(middle):
    [page] = read(pdf_of(lay_out_tags([words()], grid_of("letter")))).pages
    [image] = page.images
    picture = image.image.convert("L").resize((330, 330), resample=0)
    crease = int(330 * middle)
    picture.paste(255, (crease, 0, crease + 14, 330))

    [found] = zxingcpp.read_barcodes(picture)
    assert found.text == words()["address"]


@pytest.mark.parametrize("name", GEOMETRIES)
def test_two_runs_say_the_same_in_the_same_places(name):
    grid, layout = GEOMETRIES[name]
    one, other = (
        [spots(page) for page in read(pdf_of(lay_out_tags([words()], grid, layout))).pages]
        for _ in range(2)
    )

    assert one == other


def test_spoiled_places_stay_empty():
    texts = [words(1001 + n) for n in range(6)]
    layout = Layout(start=2, skip=(3, 6), outline=True)
    grid = grid_of("letter")
    first, second = read(pdf_of(lay_out_tags(texts, grid, layout))).pages

    all_places = grid.positions(grid.per_page)
    for place in (1, 3, 6):
        at = all_places[place - 1]
        assert not [
            text
            for text, x, y in spots(first)
            if at.x_mm <= x < at.x_mm + 101 and at.y_mm <= y < at.y_mm + 63
        ]
    # Places 2, 4, 5, 7 and 8 take five of the six; the last goes on to a fresh sheet.
    assert "P1006" not in said(first)
    assert "P1006" in said(second)


def test_backs_stand_behind_their_fronts_when_the_sheet_is_turned():
    texts = [words(1001 + n, fibre=[f"100% Kind{n}"]) for n in range(4)]
    grid = grid_of("letter", shift_x_tenths=5)
    front, back = read(pdf_of(lay_out_tags(texts, grid, Layout(two_sided=True)))).pages
    middle = 8.5 * 25.4 / 2 + 0.5

    def left_half(page, start):
        found = {text for text, x, _ in spots(page) if text.startswith(start) and x < middle}
        return {text.partition(" 7½")[0] for text in found}

    assert left_half(front, "P10") == {"P1001", "P1003"}
    assert left_half(back, "100%") == {"100% Kind1", "100% Kind3"}
    assert {code.text for code in codes(back)} == {text["address"] for text in texts}
    assert "100%" not in said(front)


def test_a_tent_reads_upright_on_both_faces_once_folded():
    grid = grid_of("letter-tent")
    [page] = read(pdf_of(lay_out_tags([words()], grid, Layout()))).pages
    fold = grid.margin_top_mm + grid.label_height_mm / 2
    at = {text: (x, y) for text, x, y in spots(page)}

    # The back hangs upside down above the fold: its first line is next to it, from the right.
    assert at["75% Wool"][1] < fold < at["Harbour plain"][1]
    assert at["75% Wool"][1] > at["25% Nylon"][1]
    assert at["75% Wool"][0] > grid.margin_left_mm + grid.label_width_mm / 2


def test_a_book_has_its_front_on_the_right_of_the_fold():
    [page] = read(pdf_of(lay_out_tags([words()], BOOK, Layout()))).pages
    at = {text: x for text, x, _ in spots(page)}

    assert at["75% Wool"] < 15 + 90 < at["Harbour plain"]


@pytest.mark.parametrize("fold", ["", "tent", "book"])
@pytest.mark.parametrize("two_sided", [False, True])
def test_the_hole_is_kept_free_on_every_face(fold, two_sided):
    grid = Grid(210, 297, 2, 3, 10, 16.5, 95, 80, fold=fold, **HOLED)
    for panel in panels(grid, two_sided=two_sided):
        free = room(grid, panel)

        assert free.width_mm > 20
        assert free.height_mm > 20
    text = words()
    for page in read(pdf_of(lay_out_tags([text], grid, Layout(two_sided=two_sided)))).pages:
        [at] = grid.positions(1)
        x_mm = at.x_mm if "Harbour" in said(page) else grid.behind(at).x_mm
        for _, x, y in spots(page):
            hole_x = x_mm + (47.5 if x_mm == at.x_mm else 95 - 47.5)
            assert (x - hole_x) ** 2 + (y - at.y_mm - 6) ** 2 > 2.5**2


UMLAUTS = {
    "brand": "Übermütige Füße & Söhne",
    "design": "Größe Ölspur, ñandú, à l’été",
    "fibre": ["55% wool, 30% angora, 15% cashmere"],
    "fibre_again": ["55% Wolle, 30% Angora, 15% Kaschmir"],
    "second_text": "Von Hand gekurbelt; schonend waschen, liegend trocknen. Für schmale Füße.",
}


@pytest.mark.parametrize("name", GEOMETRIES)
def test_long_names_and_two_languages_print_whole(name):
    grid, layout = GEOMETRIES[name]
    [page] = read(pdf_of(lay_out_tags([words(**UMLAUTS)], grid, layout))).pages

    printed = said(page)
    for value in UMLAUTS.values():
        for word in " ".join([value] if isinstance(value, str) else value).split():
            assert word in printed


def test_what_cannot_fit_is_refused_by_its_name():
    with pytest.raises(TagDoesNotFitError, match=r"P1001: .*smallest type of 6 pt") as refusal:
        lay_out_tags([words(second_text="wash " * 400)], grid_of("letter"))

    assert refusal.value.field == "words in the second language"


def test_letters_that_the_typeface_lacks_are_refused_by_their_field():
    with pytest.raises(TagDoesNotFitError, match=r"no Ж \(design\)"):
        lay_out_tags([words(design="Ж")], grid_of("letter"))
