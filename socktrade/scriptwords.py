"""Words of the scripts: the catalogue of a language at an address that browsers may keep."""

import hashlib
from functools import lru_cache
from pathlib import Path
from urllib.parse import urlencode

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import translation
from django.views.decorators.http import require_GET
from django.views.i18n import JavaScriptCatalog

DOMAIN = "djangojs"
YEAR_S = 365 * 24 * 3600


def words_address() -> str:
    """Return where a page finds the words of its scripts; empty in English, which they hold."""
    language = translation.get_language() or settings.LANGUAGE_CODE
    if language == settings.LANGUAGE_CODE:
        return ""
    told = urlencode({"language": language, "version": words_version(language)})
    return f"{reverse('words')}?{told}"


def words_version(language: str, domain: str = DOMAIN) -> str:
    """Return the mark of a catalogue's content."""
    roots = map(Path, settings.LOCALE_PATHS)
    files = [root / language / "LC_MESSAGES" / f"{domain}.mo" for root in roots]
    there = [file for file in files if file.exists()]
    return "-".join(_mark_of(file, file.stat().st_mtime_ns) for file in there) or "none"


@login_not_required
@require_GET
def words(request: HttpRequest) -> HttpResponse:
    """Hand out the words of the scripts; the address changes when they do."""
    language = request.GET.get("language", settings.LANGUAGE_CODE)
    if language not in dict(settings.LANGUAGES):
        raise Http404
    with translation.override(language):
        answer = JavaScriptCatalog.as_view(domain=DOMAIN)(request)
    answer.headers["Cache-Control"] = f"public, max-age={YEAR_S}, immutable"
    return answer


@lru_cache(maxsize=8)
def _mark_of(file: Path, _changed_ns: int) -> str:
    return hashlib.sha256(file.read_bytes()).hexdigest()[:12]
