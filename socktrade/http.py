"""The request as our views see it: signed in, with htmx."""

from django.contrib.auth.models import User
from django.http import HttpRequest
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django_htmx.middleware import HtmxDetails


class Request(HttpRequest):
    """A request after our middleware."""

    user: User
    htmx: HtmxDetails


def way_back(request: HttpRequest, *, otherwise: str) -> str:
    """Return the address that a form names to go back to, if it is one of this book.

    A path only: a bare word would be looked up as the name of a page.
    """
    back = request.POST.get("next", "")
    here = url_has_allowed_host_and_scheme(back, allowed_hosts={request.get_host()})
    return back if here and back.startswith("/") else reverse(otherwise)


def day_of_pass(request: HttpRequest) -> int | None:
    """Return the one market day that a stall pass is for; None for everybody else."""
    found: int | None = getattr(request, "stall_day_id", None)
    return found
