"""Pictures of every page and paper of the demo book: `python -m tests.browser.shots`.

They go to `.shots/`, which git ignores. Printed along the way: pages that scroll sideways
at 360 px, script errors, and requests that leave the machine. `--readme` makes the pictures
of README.md instead.
"""

import argparse
import re
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from http import HTTPStatus
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from tests.browser.chromium import ARGS, find_chromium
from tests.socktrade.house import ROOT
from tests.socktrade.opened import environment, free_port

OUT = ROOT / ".shots"
PHONE, DESK = (360, 740), (1280, 800)
README = {
    "today": "/",
    "rowcard": "{card}",
    "baskets": "/baskets/",
    "till": "{stall}",
    "sells": "/sells/",
    "tag": "/tags/",
}
PAGES = {
    "today": "/",
    "sizes": "/patterns/sizes/",
    "size-run": "{run}",
    "will-it-fit": "/patterns/fits/?foot=245+mm",
    "settings": "/patterns/gauges/settings/",
    "machine": "/patterns/machine/",
    "learn": "{learn}",
    "compare": "/patterns/compare/?a=1&b=2",
    "old-directions": "/patterns/old-directions/?needles=36&leg=50&foot=65&swatch=1",
    "stripes": "/patterns/stripes/?version=1&repeat=26",
    "find": "/find/?q=quay",
    "workshop": "/workshop/",
    "people": "/workshop/people/",
    "data": "/workshop/data/",
    "data-rows": "/workshop/data/stock/",
    "glossary": "/glossary/",
    "patterns": "/patterns/",
    "pattern": "{pattern}",
    "cylinders": "/patterns/cylinders/",
    "gauges": "/patterns/gauges/",
    "knee-socks": "/patterns/knee-socks/?line=7&foot=245+mm&ease=10",
    "plan": "/patterns/plan/",
    "planned": "{planned}",
    "rowcard": "{card}",
    "rowcard-paper": "{card}paper/",
    "yarn": "/yarn/",
    "yarn-new": "/yarn/new/",
    "lot": "{lot}",
    "lot-story": "{lot}story/",
    "yarn-enough": "/yarn/enough/",
    "yarn-low": "/yarn/low/",
    "care": "/yarn/care/",
    "care-new": "/yarn/care/new/?from=Superwash/nylon",
    "strings": "/strings/",
    "string-new": "/strings/new/",
    "string": "{string}",
    "string-slip": "{string}slip/",
    "sock": "{string}1/",
    "baskets": "/baskets/",
    "basket-seam": "/baskets/seam/",
    "basket-wash": "/baskets/wash/",
    "basket-dry": "/baskets/dry/",
    "basket-block": "/baskets/block/",
    "loads": "/baskets/loads/",
    "load": "/baskets/loads/1/",
    "mating": "/pairs/mate/",
    "pairs": "/pairs/",
    "pair": "{pair}",
    "pair-content": "{pair}content/",
    "prices": "/pairs/prices/",
    "tags": "/tags/",
    "tag-sheets": "/tags/sheets/",
    "tag-words": "/tags/words/",
    "shelf": "/shelf/",
    "count": "/shelf/count/",
    "count-numbers": "/shelf/count/numbers/",
    "markets": "/markets/",
    "market-new": "/markets/new/",
    "market-tax": "/markets/1/tax/",
    "calendar": "/markets/calendar/",
    "day": "{day}",
    "day-edit": "{day}edit/",
    "day-sheet": "{closed}",
    "pack": "{day}pack/",
    "pack-list": "{day}pack/list/",
    "tally": "{day}tally/",
    "day-paper-sheet": "{closed}sheet/",
    "day-open": "{day}open/",
    "stall": "{stall}",
    "stall-asked": "{stall}asked-for/",
    "stall-till": "/stall/till/",
    "day-close": "{day}close/",
    "day-paper": "{closed}paper/",
    "stall-back": "{stall}brought-back/",
    "receipt": "/receipts/1/",
    "sort-out": "/markets/to-sort-out/",
    "orders": "/orders/",
    "order-new": "/orders/new/",
    "order": "{order}",
    "sells": "/sells/",
    "sells-detail": "{sells}",
    "sells-by": "/sells/by/market/",
    "make": "/sells/make/",
    "season": "/sells/season/",
    "cost": "/sells/prices/",
    "cost-pair": "/sells/prices/1/",
    "cost-figures": "/sells/figures/",
    "sheets": "/sells/sheets/",
    "sheet-season": "/sells/sheets/season/",
    "sheet-stock": "/sells/sheets/stock/",
    "sheet-takings": "/sells/sheets/takings/",
    "count-sheet": "/tags/count-sheet.pdf",
    "shelf-cards": "/tags/shelf-cards.pdf",
    "price-board": "/tags/price-board.pdf",
    "care-cards": "/tags/care-cards.pdf",
    "string-slip-pdf": "{string}slip.pdf",
}
NARROW = ("rowcard", "till")
PRINTED = (
    "rowcard-paper", "string-slip", "day-sheet", "count", "shelf", "sells", "prices",
    "calendar", "orders", "make", "season", "cost", "receipt",
    "today", "pattern", "planned", "rowcard", "size-run", "sizes", "compare", "knee-socks",
    "string", "pair", "lot", "yarn", "baskets",
)  # fmt: skip


def main() -> None:
    """Open a demo book and take the pictures."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--readme", action="store_true", help="make the pictures of README.md")
    words.add_argument("--only", nargs="*", help="names of pages")
    words.add_argument("--dark", action="store_true", help="also in dark")
    words.add_argument("--language", default="en-US", help="what the browser asks for, as de")
    asked = words.parse_args()
    with tempfile.TemporaryDirectory() as data:
        port = free_port()
        app = subprocess.Popen(
            [sys.executable, "manage.py", "open", "--demo", "--port", str(port)],
            cwd=ROOT,
            env=environment(Path(data)),
            stdout=subprocess.PIPE,
            text=True,
        )
        try:
            door = next(line.strip() for line in app.stdout if "/demo/" in line)
            _wait_for(door)
            with sync_playwright() as play:
                browser = play.chromium.launch(executable_path=find_chromium(), args=ARGS)
                _take(browser, door, asked)
                browser.close()
        finally:
            app.terminate()
            app.wait()


def _take(browser, door, asked):
    site = door.partition("/demo/")[0]
    OUT.mkdir(exist_ok=True)
    places = _addresses(browser, door, site)
    if asked.readme:
        _readme(browser, door, site, places)
        return
    wanted = {n: a for n, a in PAGES.items() if not asked.only or n in asked.only}
    kinds = [("phone", PHONE, "light"), ("desk", DESK, "light")]
    if asked.dark:
        kinds += [("dark", PHONE, "dark"), ("desk-dark", DESK, "dark")]
    for kind, size, scheme in kinds:
        page = _page(browser, door, size, scheme=scheme, site=site, locale=asked.language)
        for name, address in wanted.items():
            _picture(page, f"{name}-{kind}", site + address.format_map(places))
    page = _page(browser, door, DESK)
    for name in set(PRINTED) & set(wanted):
        page.goto(site + PAGES[name].format_map(places))
        page.pdf(path=OUT / f"{name}.pdf", prefer_css_page_size=True)


def _readme(browser, door, site, places):
    folder = ROOT / "static" / "readme"
    folder.mkdir(exist_ok=True)
    for name, address in README.items():
        page = _page(browser, door, (420, 760) if name in NARROW else (820, 900))
        page.goto(site + address.format_map(places), wait_until="networkidle")
        if name == "tag":
            _tags_on_paper(page, folder / name)
        else:
            page.screenshot(path=folder / f"{name}.png", scale="css")


def _tags_on_paper(page, target):
    """Picture the sheet of tags itself, by way of its PDF."""
    address = page.get_by_role("button", name="See the PDF").evaluate(
        "b => b.form.action + '?' + new URLSearchParams(new FormData(b.form))"
    )
    with tempfile.NamedTemporaryFile(suffix=".pdf") as paper:
        paper.write(page.request.get(address).body())
        paper.flush()
        words = [
            "pdftoppm",
            "-png",
            "-r",
            "90",
            "-singlefile",
            "-H",
            "500",
            paper.name,
            str(target),
        ]
        subprocess.run(words, check=True)


def _picture(page, name, address):
    answer = page.request.get(address)
    if answer.status != HTTPStatus.OK:
        _say(f"{name}: answered {answer.status}")
    if answer.headers.get("content-type") == "application/pdf":
        (OUT / f"{name}.pdf").write_bytes(answer.body())
        return
    # The stall hands over to its offline till by script, so wait until it is quiet.
    page.goto(address, wait_until="networkidle")
    wide = page.evaluate("document.documentElement.scrollWidth - innerWidth")
    if wide > 0:
        _say(f"{name}: {wide} px too wide")
    page.screenshot(path=OUT / f"{name}.png", full_page=True)


def _say(text):
    sys.stdout.write(f"{text}\n")


def _page(browser, door, size, *, scheme="light", site="", locale="en-US"):
    context = browser.new_context(
        viewport={"width": size[0], "height": size[1]}, color_scheme=scheme, locale=locale
    )
    page = context.new_page()
    page.on("pageerror", lambda error: _say(f"script error on {page.url}: {error}"))
    page.on("console", lambda said: said.type == "error" and _say(f"{page.url}: {said.text}"))
    if site:
        page.on(
            "request",
            lambda sent: (
                sent.url.startswith(("data:", "blob:", "chrome", site))
                or _say(f"leaves the machine: {sent.url}")
            ),
        )
    page.goto(door)
    return page


def _addresses(browser, door, site):
    """Find one of each thing by following the book's own links; open the next day."""
    page = _page(browser, door, DESK)

    def first(at: str, pattern: str) -> str:
        page.goto(site + at)
        found = page.eval_on_selector_all("main a[href]", "all => all.map(a => a.pathname)")
        return next(path for path in found if re.fullmatch(pattern, path))

    day = first("/", r"/markets/days/\d+/")
    page.goto(site + day + "open/")
    page.locator("main form button").first.click()
    number = day.rstrip("/").rsplit("/", 1)[-1]
    pattern = first("/patterns/", r"/patterns/\d+/")
    card = first(pattern, r"/patterns/versions/\d+/card/")
    page.goto(site + "/markets/")
    closed = page.eval_on_selector_all(
        "main a[href*='/markets/days/']", "all => all.map(a => a.pathname)"
    )
    return {
        "pattern": pattern,
        "card": card,
        "learn": card.replace("/card/", "/learn/"),
        "run": _run_of(page, site, pattern),
        "planned": _planned(page, site),
        "lot": first("/yarn/", r"/yarn/lots/\d+/"),
        "string": first("/strings/", r"/strings/\d+/"),
        "pair": first("/pairs/", r"/pairs/P\d+/"),
        "order": first("/orders/", r"/orders/\d+/"),
        "sells": _with_query(page, site),
        "day": day,
        "closed": closed[-1],
        "stall": f"/stall/{number}/",
    }


def _run_of(page: Page, site: str, pattern: str) -> str:
    page.goto(site + pattern)
    page.get_by_text("All sizes like it").click()
    with page.expect_navigation():
        page.locator("main form:has-text('Plan all sizes')").evaluate("form => form.submit()")
    return page.url.removeprefix(site)


def _planned(page: Page, site: str) -> str:
    page.goto(site + "/patterns/plan/")
    page.locator("[name=foot]").fill("245.5 mm")
    page.locator("[name=swatch]").select_option(index=1)
    page.locator("[name=count]").fill("100 g / 400 m")
    with page.expect_navigation():
        page.get_by_role("button", name="Plan it").click()
    return page.url.removeprefix(site)


def _with_query(page: Page, site: str) -> str:
    page.goto(site + "/sells/")
    return page.locator("main a[href*='/sells/sales/']").first.get_attribute("href")


def _wait_for(address: str) -> None:
    site = address.partition("/demo/")[0]
    for _ in range(100):
        try:
            urllib.request.urlopen(f"{site}/health/", timeout=1)  # noqa: S310
        except (urllib.error.URLError, ConnectionError):
            time.sleep(0.1)
        else:
            return


if __name__ == "__main__":
    main()
