"""The request as our views see it: signed in, with htmx."""

from django.contrib.auth.models import User
from django.http import HttpRequest
from django_htmx.middleware import HtmxDetails


class Request(HttpRequest):
    """A request after our middleware."""

    user: User
    htmx: HtmxDetails
