"""Tags: time and memory against a bare page of the same library with the same lines.

Each case runs in a process of its own, so that its peak of memory is its own.
"""

import json
import subprocess
import sys
import time
from html import escape
from statistics import median
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string

from production.core.tagpanels import Layout
from production.documents.pages import tag_pages
from production.documents.tags import lay_out_tags
from production.services.longprints import CHUNK
from production.services.tagsheets import BUILT_IN
from socktrade.bench import Asked, Say
from socktrade.papers import join_pdfs, render_bare, render_pdf

TITLE = "Tags: the whole way from words to PDF, against a bare page with the same lines"

COUNTS = (24, 240, 2400)
TARGET = 1.5


def run(say: Say, _asked: Asked) -> None:
    """Measure every count, and say whether time grows with the number of tags."""
    per_tag: list[float] = []
    for count in COUNTS:
        rounds = 3 if count <= 240 else 1
        tags = [_apart("tags", count) for _ in range(rounds)]
        bare = [_apart("bare", count) for _ in range(rounds)]
        mine, floor = (median(case["seconds"] for case in cases) for cases in (tags, bare))
        per_tag.append(mine / count)
        peak, bare_peak = tags[0]["peak_mb"], bare[0]["peak_mb"]
        say(
            f"  {count:5d} tags: {count / mine:4.0f} a second, {mine / floor:4.2f} of the bare "
            f"page (target {TARGET:g}); peak {peak:.0f} MB, bare {bare_peak:.0f} MB"
        )
    say(f"  a tag of {COUNTS[-1]} costs {per_tag[-1] / per_tag[1]:.2f} of one of {COUNTS[1]}")


def _apart(what: str, count: int) -> dict[str, float]:
    program = (
        "import django; django.setup(); from socktrade.bench.tags import one_case; "
        f"one_case({what!r}, {count:d})"
    )
    done = subprocess.run(  # noqa: S603 - our own words only
        [sys.executable, "-c", program],
        cwd=settings.BASE_DIR, capture_output=True, text=True, check=True,
    )  # fmt: skip
    case: dict[str, float] = json.loads(done.stdout.splitlines()[-1])
    return case


def one_case(what: str, count: int) -> None:
    """Run `tags` or `bare` and print seconds of the processor and the peak of memory as JSON."""
    page = _bare_page(count) if what == "bare" else ""
    # Loading library and typeface is paid once a process, whatever is printed.
    _tags(1)
    render_bare("<p>Warm</p>")
    began = time.process_time()
    if what == "bare":
        render_bare(page)
    else:
        _tags(count)
    case = {"seconds": time.process_time() - began, "peak_mb": _peak_mb()}
    sys.stdout.write(f"{json.dumps(case)}\n")


def tag_words(number: int) -> dict[str, Any]:
    """Return the words of a usual tag."""
    return {
        "number": f"P{number}",
        "brand": "Gullwing Lane Socks",
        "maker": "Gullwing Lane Socks, Port Ellery",
        "design": "Harbour plain",
        "size_name": "Women 8½",
        "sizes": [
            {"system": "US women", "range": "7½–10"},
            {"system": "US men", "range": "6–8½"},
        ],
        "sock_size": "Sock size 9",
        "origin": "Knitted in USA of imported yarn",
        "fibre": ["75% Wool", "25% Nylon", "Except 5% Nylon added to toe and heel"],
        "care": ["Machine wash cold, gentle cycle.", "With like colors.", "Dry flat."],
        "price": "$28.00",
        "fault": "",
        "tracking": "",
        "cautions": [],
        "made_how": "Knitted on a hand-cranked machine",
        "address": f"http://192.168.1.20:8000/pairs/P{number}/",
    }


def _tags(count: int) -> None:
    """Make the tags as a long print does: whole sheets at a time, then joined."""
    grid, parts = BUILT_IN["letter"][1], []
    for first in range(0, count, CHUNK):
        texts = [tag_words(1000 + n) for n in range(first, min(first + CHUNK, count))]
        paper = lay_out_tags(texts, grid, Layout())
        context = {**tag_pages(paper), "for_pdf": True}
        parts.append(render_pdf(render_to_string("print/tags.html", context)))
    if len(parts) > 1:
        join_pdfs(parts)


def _bare_page(count: int) -> str:
    """Return the lines of those tags, each a paragraph, with no style and no picture."""
    paper = lay_out_tags([tag_words(1000 + n) for n in range(count)], BUILT_IN["letter"][1])
    return "".join(
        f"<p>{escape(line)}</p>"
        for page in paper.pages
        for box in page
        for node in box.nodes
        for line in node.text.splitlines()
    )


def _peak_mb() -> float:
    try:
        import resource
    except ImportError:  # not on Windows
        return float("nan")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / 1024 / (1024 if sys.platform == "darwin" else 1)
