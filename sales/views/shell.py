"""Which files the till on the phone consists of, each with the mark of its content."""

import hashlib
from functools import lru_cache
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles import finders
from django.template.loader import get_template
from django.templatetags.static import static
from django.urls import reverse
from django.utils.translation import get_language

from socktrade.scriptwords import words_address, words_version

MODULES = (
    "js/till/app.js",
    "js/till/book.js",
    "js/till/language.js",
    "js/till/money.js",
    "js/till/purchase.js",
    "js/till/scan.js",
    "js/till/screen.js",
    "js/till/store.js",
    "js/till/sync.js",
    "js/words.js",
    "vendor/idb/idb.js",
)
ASSETS = (
    "css/socktrade.css",
    "css/stall.css",
    "fonts/atkinson-next-latin.woff2",
    "icons/sock.svg",
    "icons/till-192.png",
    "vendor/jsqr/jsQR.js",
)
TEMPLATE = "sales/stall_till.html"


def kept_on_phone() -> list[dict[str, str]]:
    """Return the addresses a phone keeps, each with the mark of what it held just now.

    Modules name each other by their plain paths, so they are kept under those; their mark
    tells one version from the next.
    """
    kept = [{"url": static(path), "revision": _mark(path)} for path in ASSETS]
    kept += [{"url": f"{settings.STATIC_URL}{path}", "revision": _mark(path)} for path in MODULES]
    if words := words_address():
        kept.append({"url": words, "revision": words_version(get_language() or "")})
    return [{"url": reverse("sales:till_shell"), "revision": shell_version()}, *kept]


def shell_version() -> str:
    """Return the mark of the till as a whole."""
    names = "".join(f"{static(path)}{_mark(path)}" for path in (*ASSETS, *MODULES))
    template = get_template(TEMPLATE).template.source  # type: ignore[attr-defined]
    return hashlib.sha256(f"{names}{template}{_spoken()}".encode()).hexdigest()[:12]


def _spoken() -> str:
    """Return what the language adds to the mark: the page is another one in each."""
    language = get_language() or settings.LANGUAGE_CODE
    if language == settings.LANGUAGE_CODE:
        return ""
    return f"{language}{words_version(language)}{words_version(language, 'django')}"


def _mark(path: str) -> str:
    found = finders.find(path)
    if not isinstance(found, str):
        msg = f"{path} is not among the static files."
        raise FileNotFoundError(msg)
    return _mark_of(found, Path(found).stat().st_mtime_ns)


@lru_cache(maxsize=64)
def _mark_of(file: str, _changed_ns: int) -> str:
    return hashlib.sha256(Path(file).read_bytes()).hexdigest()[:12]
