"""The words of a paper, read back from its PDF by another program."""

import io

from pypdf import PdfReader


def pages_of(answer):
    assert answer["content-type"] == "application/pdf"
    return [sheet.extract_text() for sheet in PdfReader(io.BytesIO(answer.content)).pages]


def text_of(answer):
    return " ".join(" ".join(pages_of(answer)).split())
