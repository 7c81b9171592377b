"""The pages named in the masthead, and which of them a request is on."""

from collections.abc import Callable
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.functional import Promise, SimpleLazyObject
from django.utils.translation import gettext_lazy as _

from socktrade.access.table import may_open
from socktrade.roles import role_of

PAGES = (
    (_("Today"), "today"),
    (_("Patterns"), "patterns:pattern_list"),
    (_("Yarn"), "production:yarn_list"),
    (_("Strings"), "production:string_list"),
    (_("Baskets"), "production:basket_list"),
    (_("Pairs"), "production:pair_list"),
    (_("Tags"), "production:tag_list"),
    (_("Shelf"), "sales:shelf"),
    (_("Markets"), "sales:market_list"),
    (_("Orders"), "sales:order_list"),
    (_("What sells"), "sales:sells"),
    (_("Workshop"), "workshop"),
)


@dataclass(frozen=True, slots=True)
class PageLink:
    """One entry of the masthead."""

    name: Promise
    href: str
    here: bool


class PathsMiddleware:
    """Puts the masthead on the request; computed only when a template asks."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Attach the links and go on."""
        request.paths_of_book = SimpleLazyObject(lambda: _links(request))  # type: ignore[attr-defined]
        return self.get_response(request)


def _links(request: HttpRequest) -> list[PageLink]:
    path, role = request.path, role_of(request.user)
    links = []
    for name, address in PAGES:
        if role is None or not may_open(role, address):
            continue
        href = reverse(address)
        here = path == href if href == "/" else path.startswith(href)
        links.append(PageLink(name, href, here))
    return links
