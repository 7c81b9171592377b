"""The book's addresses, and a page with nothing on it behind the same sign-in."""

from django.http import HttpRequest, HttpResponse
from django.urls import include, path

from socktrade.access import table


def bare(_request: HttpRequest) -> HttpResponse:
    """Answer with two letters: what remains is the way there."""
    return HttpResponse("ok")


# A page that stands nowhere in the table is open to nobody.
table.EVERYBODY |= {"bare"}

urlpatterns = [path("bare/", bare, name="bare"), path("", include("socktrade.urls"))]
