"""Reading printed tags back with programs that had no part in printing them."""

import io

import zxingcpp
from django.template.loader import render_to_string
from pypdf import PdfReader

from production.documents.pages import tag_pages
from socktrade.papers import render_pdf

POINT_MM = 25.4 / 72


def words(number=1001, **changes):
    """Return the words of a tag, as the services write them."""
    text = {
        "number": f"P{number}",
        "brand": "Gullwing Lane Socks",
        "maker": "Gullwing Lane Socks, Port Ellery",
        "design": "Harbour plain",
        "size_name": "Women 8½",
        "sizes": [
            {"system": "US women", "range": "7½–10"}, {"system": "US men", "range": "6–8½"},
        ],
        "sock_size": "Sock size 9",
        "origin": "Knitted in USA of imported yarn",
        "fibre": ["75% Wool", "25% Nylon", "Except 5% Nylon added to toe and heel"],
        "care": ["Machine wash cold, gentle cycle.", "Dry flat."],
        "price": "$28.00",
        "fault": "",
        "tracking": "",
        "cautions": [],
        "made_how": "Knitted on a hand-cranked machine",
        "address": f"http://192.168.1.20:8000/pairs/P{number}/",
    }  # fmt: skip
    return {**text, **changes}


BABY = {
    "sizes": [{"system": "US child", "range": "2½–3½"}],
    "fault": "Second: dropped stitch near the toe, mended",
    "cautions": ["Turn inside out and check for loose threads before each use."],
    "tracking": "Gullwing Lane Socks, Port Ellery, USA. Made 2026-06. Batch 212.",
}


def pdf_of(paper):
    """Print laid-out tags."""
    return render_pdf(render_to_string("print/tags.html", {**tag_pages(paper), "for_pdf": True}))


def read(pdf):
    """Open a PDF with pypdf."""
    return PdfReader(io.BytesIO(pdf))


def said(page):
    """Return the text of a page, its blanks evened out."""
    return " ".join(page.extract_text().split())


def spots(page):
    """Return each text with the left end of its baseline, from the upper left corner [mm]."""
    found = []
    height = float(page.mediabox.height)

    def visit(text, cm, tm, _font, _size):
        if text.strip():
            x = tm[4] * cm[0] + tm[5] * cm[2] + cm[4]
            y = tm[4] * cm[1] + tm[5] * cm[3] + cm[5]
            found.append((text.strip(), x * POINT_MM, (height - y) * POINT_MM))

    page.extract_text(visitor_text=visit)
    return found


def rectangles(page):
    """Return left, top, width and height of each rectangle drawn, from the upper left [mm]."""
    found = []
    tall = float(page.mediabox.height)

    def visit(operator, operands, cm, _tm):
        if operator == b"re":
            x, y, width, height = (float(number) for number in operands)
            left, right = sorted((cm[0] * x + cm[4], cm[0] * (x + width) + cm[4]))
            low, high = sorted((cm[3] * y + cm[5], cm[3] * (y + height) + cm[5]))
            box = (left, tall - high, right - left, high - low)
            found.append(tuple(side * POINT_MM for side in box))

    page.extract_text(visitor_operand_before=visit)
    return found


def codes(page):
    """Return what zxing-cpp reads in the pictures of a page."""
    read_codes = []
    for image in page.images:
        picture = image.image.convert("L")
        picture = picture.resize([4 * side for side in picture.size], resample=0)
        read_codes += zxingcpp.read_barcodes(picture)
    return read_codes
