"""From the host name of a request to the book that it may see."""

from collections.abc import Callable, Iterable, Iterator

from django.conf import settings
from django.core.exceptions import DisallowedHost
from django.db import connection
from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseNotFound, JsonResponse
from django.urls import reverse
from django.utils import translation
from django.utils.html import format_html
from django.utils.translation import gettext as _

from socktrade.guild.names import book_of_host
from socktrade.guild.standing import NoBookError, in_book

PAGE = (
    '<!doctype html><html lang="{}"><head><meta charset="utf-8"><title>{}</title>'
    '<meta name="viewport" content="width=device-width"></head>'
    "<body><main><h1>{}</h1><p>{}</p></main></body></html>"
)


class GuildMiddleware:
    """Opens the book of the host for the length of a request; comes before all others."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer inside one book, or say that there is none."""
        if request.path_info == reverse("health"):  # asked by machines, under any name
            return JsonResponse({"app": "socktrade", "guild": settings.GUILD})
        book = _book_of(request)
        if book is None:
            return no_such_book(request)
        with in_book(book):
            try:
                connection.cursor().close()  # steps into the book, if it is there
            except NoBookError:
                return no_such_book(request)
            request.book = book  # type: ignore[attr-defined]
            response = self.get_response(request)
        if response.streaming and not isinstance(response, FileResponse):
            response.streaming_content = _inside(book, response.streaming_content)
        return response


def no_such_book(request: HttpRequest) -> HttpResponseNotFound:
    """Say that no book has this address, in words that need no book."""
    with translation.override(translation.get_language_from_request(request)):
        title = _("There is no book at this address")
        way = _(
            "Each maker's book has an address of its own, such as wren.%(guild)s. "
            "Look again how yours is spelled, or ask whoever runs this server."
        ) % {"guild": settings.GUILD}
        return HttpResponseNotFound(
            format_html(PAGE, translation.get_language(), title, title, way)
        )


def _book_of(request: HttpRequest) -> str | None:
    try:
        return book_of_host(request.get_host(), settings.GUILD)
    except DisallowedHost:
        return None


def _inside(book: str, chunks: Iterable[bytes]) -> Iterator[bytes]:
    """Yield what is sent piece by piece, after the request, each piece made inside its book."""
    pieces = iter(chunks)
    while True:
        with in_book(book):
            piece = next(pieces, None)
        if piece is None:
            return
        yield piece
