"""Tags read back from the PDF by other programs: pypdf for the paper, zxing-cpp for the codes.

Printed sizes of letter (8 1/2 x 11 in, ANSI/ASME Y14.1) and A4 (210 x 297 mm, ISO 216).
"""

import threading
from dataclasses import asdict
from http.server import BaseHTTPRequestHandler, HTTPServer

import pytest
from fontTools.ttLib import TTFont

from production.core.care import CareSet, care_words
from production.core.caresymbols import care_symbols
from production.core.tagpanels import Layout
from production.documents.tags import SVG_URI, lay_out_outlines, lay_out_tags
from production.documents.typeface import measure
from production.services.tagsheets import grid_of
from socktrade.papers import FONTS, may_fetch, render_pdf
from tests.external.tag_reading import BABY, POINT_MM, codes, pdf_of, read, said, spots, words


@pytest.mark.parametrize(
    ("sheet", "width", "height"),
    [("letter", 8.5 * 25.4, 11 * 25.4), ("a4", 210, 297), ("roll", 62, 100)],
)
def test_the_page_is_the_sheet(sheet, width, height):
    [page] = read(pdf_of(lay_out_tags([words()], grid_of(sheet)))).pages

    assert float(page.mediabox.width) * POINT_MM == pytest.approx(width, abs=0.01)
    assert float(page.mediabox.height) * POINT_MM == pytest.approx(height, abs=0.01)


@pytest.mark.parametrize(("sheet", "per_page"), [("letter", 8), ("a4", 8), ("roll", 1)])
@pytest.mark.parametrize("shift", [0, 7, -12])
def test_words_stand_where_the_sheet_was_measured(sheet, per_page, shift):
    grid = grid_of(sheet, shift_x_tenths=shift, shift_y_tenths=-shift)
    [page] = read(pdf_of(lay_out_outlines(grid))).pages
    face = TTFont(FONTS / "atkinson-hyperlegible-next-latin-700-normal.woff2")
    up, down, em = face["hhea"].ascent, -face["hhea"].descent, face["head"].unitsPerEm
    # A number of 14 pt in a line of 1.15 times that: half the leading, then the ascent.
    baseline = ((1.15 - (up + down) / em) / 2 + up / em) * 14 * POINT_MM

    found = spots(page)

    assert [text for text, _, _ in found] == [str(n) for n in range(1, per_page + 1)]
    for at, (_, x, y) in zip(grid.positions(per_page), found, strict=True):
        assert x == pytest.approx(at.x_mm + 3, abs=0.2)
        assert y == pytest.approx(at.y_mm + 3 + baseline, abs=0.2)


@pytest.mark.parametrize("sheet", ["letter", "a4", "roll"])
@pytest.mark.parametrize("stub", [True, False])
@pytest.mark.parametrize("changes", [{}, BABY], ids=["women", "baby"])
def test_every_word_of_the_tag_is_on_the_paper(sheet, stub, changes):
    text = words(**changes)
    [page] = read(pdf_of(lay_out_tags([text], grid_of(sheet), Layout(stub=stub)))).pages

    printed = said(page)
    wanted = [text[key] for key in ("number", "brand", "design", "origin", "price", "made_how")]
    wanted += [*text["fibre"], *text["care"], *text["cautions"]]
    wanted += [size["range"] for size in text["sizes"]]
    wanted += [text[key] for key in ("fault", "tracking", "sock_size", "maker") if text[key]]
    for phrase in wanted:
        assert phrase in printed
    assert printed.count(text["number"]) == (2 if stub else 1)
    assert printed.count(text["price"]) == (2 if stub else 1)


def test_origin_stands_beside_the_size_in_the_same_row():
    # 16 CFR 303.15(d): the country next to the size, on the front.
    for sheet in ("letter", "a4", "roll"):
        [page] = read(pdf_of(lay_out_tags([words()], grid_of(sheet), Layout(stub=False)))).pages
        at = {text: (x, y) for text, x, y in spots(page)}
        size, origin = at["7½–10"], next(v for k, v in at.items() if k.startswith("Knitted in"))

        assert origin[0] > size[0]
        assert abs(origin[1] - size[1]) < 9


def test_tags_go_on_over_the_pages_from_the_first_free_place():
    texts = [words(1001 + n) for n in range(12)]
    pages = read(pdf_of(lay_out_tags(texts, grid_of("letter"), Layout(start=6)))).pages

    # Three places left on the first sheet, eight on the second, one on the third.
    numbers = [sorted({w for w in said(page).split() if w.startswith("P10")}) for page in pages]
    assert [len(found) for found in numbers] == [3, 8, 1]
    assert [n for found in numbers for n in found] == [text["number"] for text in texts]


def test_the_typeface_is_inside_the_file():
    [page] = read(pdf_of(lay_out_tags([words()], grid_of("letter")))).pages
    fonts = [font.get_object() for font in page["/Resources"]["/Font"].values()]

    assert {font["/BaseFont"].partition("+")[2] for font in fonts} == {
        "Atkinson-Paper", "Atkinson-Paper-Bold",
    }  # fmt: skip
    for font in fonts:
        descriptor = font["/DescendantFonts"][0].get_object()["/FontDescriptor"].get_object()
        assert {"/FontFile2", "/FontFile3"} & set(descriptor)


def test_two_runs_say_the_same_in_the_same_places():
    one, other = (
        [spots(page) for page in read(pdf_of(lay_out_tags([words()], grid_of("a4")))).pages]
        for _ in range(2)
    )

    assert one == other


@pytest.mark.parametrize("sheet", ["letter", "a4", "roll"])
def test_the_code_leads_to_the_pair(sheet):
    texts = [words(1042), words(1043, **BABY)]
    pages = read(pdf_of(lay_out_tags(texts, grid_of(sheet)))).pages
    found = [code for page in pages for code in codes(page)]

    assert {code.text for code in found} == {text["address"] for text in texts}
    assert {code.ec_level for code in found} == {"Q"}


@pytest.mark.parametrize(("bold", "weight"), [(False, 400), (True, 700)])
def test_a_line_is_never_printed_wider_than_measured(bold, weight):
    # In a box as wide as measured the layout engine, too, finds room for it on one line.
    line = "Except 5% Nylon added to toe and heel, AVATAR Type 7½–10 éñ"
    boxes = [measure(line, 10, bold=bold), measure(line, 10, bold=bold) * 0.97]
    html = "".join(
        f'<p style="font-size:10pt;font-kerning:none;font-weight:{weight};width:{width}mm">'
        f"{line}</p>"
        for width in boxes
    )
    [page] = read(render_pdf(html, page="a4")).pages

    lines = sorted({round(y, 1) for text, _, y in spots(page) if "/" not in text})
    assert len(lines) == 3  # one for the first box, two for the narrower


@pytest.mark.parametrize(
    ("url", "may"),
    [
        ("data:image/png;base64,AAAA", True),
        ((FONTS / "atkinson-next-latin.woff2").as_uri(), True),
        ((FONTS.parent / "css" / "socktrade.css").as_uri(), False),
        (f"{FONTS.as_uri()}/../../manage.py", False),
        (f"{FONTS.as_uri()}/%2e%2e/%2e%2e/manage.py", False),
        ("file:///etc/hostname", False),
        ("file://elsewhere/fonts/x.woff2", False),
        ("http://127.0.0.1/x.png", False),
        ("https://example.org/x.css", False),
        ("ftp://example.org/x", False),
    ],
)
def test_papers_read_their_own_fonts_and_nothing_else(url, may):
    assert may_fetch(url) is may


def test_a_paper_that_names_another_place_asks_nothing_there():
    asked = []

    class Listener(BaseHTTPRequestHandler):
        def do_GET(self):
            asked.append(self.path)
            self.send_response(404)
            self.end_headers()

    with HTTPServer(("127.0.0.1", 0), Listener) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        place = f"http://127.0.0.1:{server.server_port}"
        html = (
            f'<link rel="stylesheet" href="{place}/a.css"><img src="{place}/b.png">'
            f'<style>@import url("{place}/c.css"); p {{ background: url("{place}/d.png") }}</style>'
            "<p>Still a paper</p>"
        )
        [page] = read(render_pdf(html, page="a4")).pages
        server.shutdown()

    assert asked == []
    assert "Still a paper" in said(page)


@pytest.mark.parametrize("sheet", ["letter", "a4", "roll"])
@pytest.mark.parametrize("drawn", [1, 4, 5])
def test_care_drawings_stand_under_the_care_words(sheet, drawn):
    solvents = {1: ("none", "any"), 4: ("machine", "unsaid"), 5: ("machine", "none")}
    wash, dry_clean = solvents[drawn]
    care = CareSet(wash, "cold", "none", "flat", dry_clean=dry_clean)
    plain = words(care=care_words(care))
    text = plain | {"care_symbols": [asdict(one) for one in care_symbols(care)]}

    paper = lay_out_tags([text], grid_of(sheet))
    [page] = read(pdf_of(paper)).pages
    [bare] = read(pdf_of(lay_out_tags([plain], grid_of(sheet)))).pages

    sources = [node.src for sheet in paper.pages for box in sheet for node in box.nodes]
    assert sum(source.startswith(SVG_URI) for source in sources) == drawn
    assert len(page.get_contents().get_data()) > len(bare.get_contents().get_data())
    assert all(sentence in said(page) for sentence in text["care"])
