"""Papers as PDF, and the same page for the browser's own print where that cannot be had."""

import atexit
import base64
import contextlib
import functools
import io
import subprocess
import sys
import threading
from collections.abc import Iterable
from pathlib import Path
from typing import Any
from urllib.parse import urlparse
from urllib.request import url2pathname

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string

from patterns.core.words import say

FONTS = Path(settings.BASE_DIR) / "static" / "fonts"
PAPER_CSS = Path(settings.BASE_DIR) / "static" / "css" / "print-paper.css"

INSTALL_LINES = (
    ("Debian, Ubuntu", "sudo apt install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"),
    ("macOS", "brew install pango"),
    ("Windows", "winget install MSYS2.MSYS2, then in its window: pacman -S mingw-w64-x86_64-pango"),
)

_PNG = "data:image/png;base64,"

_ONE_AT_A_TIME = threading.Lock()
"""Guards the shared typeface, and keeps two long prints from filling the memory together."""

_PAGE_CSS = {
    "letter": "@page { size: 215.9mm 279.4mm }",
    "a4": "@page { size: 210mm 297mm }",
}


@functools.cache
def pdf_ready() -> tuple[bool, str]:
    """Say whether PDFs can be made here; if not, what to install on which system."""
    try:
        # Where it cannot load it prints a page of advice of its own; ours follows.
        with contextlib.redirect_stdout(io.StringIO()):
            import weasyprint  # noqa: F401 - slow to load, and may not load at all
    except (ImportError, OSError):
        return False, how_to_install()
    return True, ""


def pdf_ready_elsewhere() -> bool:
    """Say whether PDFs can be made here, without loading their library into this process."""
    tried = subprocess.run(
        [sys.executable, "-c", "import weasyprint"], capture_output=True, check=False
    )
    return tried.returncode == 0


def how_to_install() -> str:
    """Return what makes PDFs possible, on which system."""
    return "; ".join(f"{system}: {line}" for system, line in INSTALL_LINES)


def paper_for(rules: str) -> str:
    """Return the usual office paper where these label rules hold: `letter` or `a4`."""
    return "letter" if rules == "us" else "a4"


def render_pdf(html: str, *, page: str = "") -> bytes:
    """Return an HTML document as PDF; nothing but our own fonts is read from outside it.

    Args:
        html: A whole document.
        page: `letter` or `a4`; empty when the document sets its own page.

    Raises:
        OSError: If the system libraries are missing; ask `pdf_ready` first.
    """
    from weasyprint import HTML

    with _ONE_AT_A_TIME:
        fetcher, fonts, paper_css = _kit()
        sheets = [paper_css, _page_css(page)] if page else [paper_css]
        document = HTML(string=html, base_url=PAPER_CSS.as_uri(), url_fetcher=fetcher)
        pdf: bytes = document.write_pdf(stylesheets=sheets, font_config=fonts)
    return pdf


def render_bare(html: str) -> bytes:
    """Return an HTML document as PDF in the library's own style: the floor of `bench`."""
    from weasyprint import HTML

    pdf: bytes = HTML(string=html, url_fetcher=_kit()[0]).write_pdf()
    return pdf


def join_pdfs(parts: Iterable[bytes]) -> bytes:
    """Return the pages of several papers as one, in their order."""
    from pypdf import PdfWriter

    joined = PdfWriter()
    for part in parts:
        joined.append(io.BytesIO(part))
    out = io.BytesIO()
    joined.write(out)
    joined.close()
    return out.getvalue()


def pdf_response(html: str, name: str, *, page: str = "") -> HttpResponse:
    """Answer with the document as a PDF shown in the browser, called `name` when saved."""
    answer = HttpResponse(render_pdf(html, page=page), content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name}"'
    return answer


def pdf_or_page(
    request: HttpRequest,
    template: str,
    context: dict[str, Any],
    filename: str,
    *,
    page: str = "letter",
) -> HttpResponse:
    """Answer with the paper as PDF, or with the same page to print from the browser.

    The template extends `print/base.html`; it finds `for_pdf` in its context.
    """
    ready, install = pdf_ready()
    if not ready:
        return render(request, template, {**context, "for_pdf": False, "pdf_install": install})
    html = render_to_string(template, {**context, "for_pdf": True}, request)
    return pdf_response(html, filename, page=page)


def may_fetch(url: str) -> bool:
    """Say whether a paper may read `url`: data inside it, or one of our own fonts."""
    parts = urlparse(url)
    if parts.scheme == "data":
        return True
    if parts.scheme != "file" or parts.netloc:
        return False
    path = Path(url2pathname(parts.path)).resolve()
    return path.is_relative_to(FONTS.resolve())


@functools.cache
def _kit() -> tuple[Any, Any, Any]:
    """Load typeface and style sheet once: for a short paper they are half the work."""
    from weasyprint import CSS
    from weasyprint.text.fonts import FontConfiguration

    # The library cannot give its fonts back once the interpreter is half gone.
    atexit.register(_kit.cache_clear)
    fetcher, fonts = _fetcher(), FontConfiguration()
    return fetcher, fonts, CSS(filename=str(PAPER_CSS), url_fetcher=fetcher, font_config=fonts)


@functools.cache
def _page_css(page: str) -> Any:
    from weasyprint import CSS

    return CSS(string=_PAGE_CSS[page])


def _fetcher() -> Any:
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class OwnFontsOnly(URLFetcher):  # type: ignore[misc]
        """Refuses whatever does not come with the app."""

        def fetch(self, url: str, headers: dict[str, str] | None = None) -> Any:
            """Read `url` if a paper may, else refuse; the paper is then made without it."""
            if not may_fetch(url):
                msg = say("{url:.80} is outside this app; papers read nothing from there.", url=url)
                raise ValueError(msg)
            if url.startswith(_PNG):  # by far the most; the general way is slow for them
                picture = base64.b64decode(url[len(_PNG) :])
                return URLFetcherResponse(url, picture, {"Content-Type": "image/png"})
            return super().fetch(url, headers)

    return OwnFontsOnly(allowed_protocols={"data", "file"}, allow_redirects=False)
