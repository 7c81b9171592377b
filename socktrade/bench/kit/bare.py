"""The floor: a signed-in page with nothing on it, through the very stack of the real ones.

The address map of the bench is the real one with two addresses before it. Every page needs a
role, and the table of roles knows only real pages, so the two go by the names of real pages
that everybody may open; links still lead to the real ones, which come later in the map.
"""

import datetime as dt
from functools import cache

from django.http import HttpRequest, HttpResponse
from django.template import engines
from django.urls import include, path

from sales.models import Change

PAGE = "/bench/page/"
ACT = "/bench/act/"


@cache
def _empty():  # type: ignore[no-untyped-def]
    return engines["django"].from_string('{% extends "base.html" %}')


def page(request: HttpRequest) -> HttpResponse:
    """Answer with an empty page."""
    return HttpResponse(_empty().render({}, request))


def act(request: HttpRequest) -> HttpResponse:
    """Write one row for good, and answer with an empty page."""
    Change.objects.create(at=dt.datetime.now(tz=dt.UTC), by=request.user, words="Nothing")
    return page(request)


urlpatterns = [
    path(PAGE[1:], page, name="glossary"),
    path(ACT[1:], act, name="act_undo"),
    path("", include("socktrade.urls")),
]
