"""Opening the book loads only what the first page needs."""

import subprocess
import sys

import pytest

from socktrade import papers
from tests.socktrade.house import ROOT

SLOW = ("weasyprint", "icalendar", "pypdf", "PIL", "pint")


@pytest.mark.parametrize("library", SLOW)
def test_the_addresses_load_without(library, all_loaded):
    assert library not in all_loaded


@pytest.fixture(scope="module")
def all_loaded():
    code = (
        "import django, sys; django.setup(); from django.urls import get_resolver; "
        "get_resolver().url_patterns; print(*{name.partition('.')[0] for name in sys.modules})"
    )
    said = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    loaded = set(said.stdout.split())
    assert {"django", "sales"} <= loaded
    return loaded


def test_another_process_tells_whether_pdfs_can_be_made():
    assert papers.pdf_ready_elsewhere() == papers.pdf_ready()[0]


def test_where_the_library_does_not_load_there_is_advice(monkeypatch):
    monkeypatch.setattr(papers.sys, "executable", "false")

    assert not papers.pdf_ready_elsewhere()
    assert "libpango" in papers.how_to_install()
